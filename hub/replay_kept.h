// A start: what is kept is read into a Hub that is empty yet, from a checkpoint on if there is one.
//
// A journal of a day is read whole, and each link of it checked, before anybody is let in. Of a
// long one only what comes behind its checkpoint, if that is good and the journal has its record;
// what comes before is then for Checkpointing to look at. Hub thread, with threads of its own
// meanwhile.
#pragma once

#include <filesystem>
#include <functional>
#include <string>

#include "hub/core/hub.h"
#include "hub/fault.h"

namespace honbu {

// So many records are folded anew in an instant.
inline constexpr std::uint32_t records_worth_a_checkpoint = 5'000;
CheckpointFor this_program();

// The record of the checkpoint that it began from; 0: from the first record.
[[nodiscard]] OrFault<RecordNumber> replay_kept(Hub& hub, const std::filesystem::path& folder,
                                                const std::function<void(const std::string&)>& log);

}  // namespace honbu

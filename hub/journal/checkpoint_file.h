// The file DIR/checkpoint: written whole or not at all, and never a reason not to start.
//
// What is in it is hub/core's to say. A copy of a journal has none. Any thread, one at a time.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>

#include "hub/fault.h"

namespace honbu {

std::filesystem::path checkpoint_file(const std::filesystem::path& folder);
std::optional<std::string> read_checkpoint_file(const std::filesystem::path& folder);
// In its place, once it is on the disk. Not where little room is left: that is the journal's.
[[nodiscard]] OrFault<void> write_checkpoint_file(const std::filesystem::path& folder,
                                                  std::string_view bytes);
void remove_checkpoint_file(const std::filesystem::path& folder);

}  // namespace honbu

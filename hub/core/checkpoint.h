// A checkpoint: what the records have made up to one of them, so that a start need not fold them
// all again. A cache and nothing else: a journal without it is whole.
//
// Made and read by the Hub (Hub::checkpoint, Hub::from_checkpoint); what stands before the state,
// and what must be true of it, is looked at here. It names its form, the program and fold version
// that made it, the journal's schema, epoch, the number and hash of its last record and the hash of
// each rule set, and ends with its own SHA-256; what does not fit is not used, and the sentence
// says why. Whoever reads one still has to see that the journal has that record with that hash.
// Holds no athlete's name: those are read from beside the chain; hands as in the chain. Layout:
// docs/journal.md.
// Pure functions, any thread.
#pragma once

#include <string>
#include <string_view>
#include <variant>

#include "engine/record/record.h"

namespace honbu {

// Who makes it, and for which journal: one made by or for another is not used.
struct CheckpointFor {
    std::string_view program;  // its version
    std::uint32_t schema = 0;  // of the journal
};

struct Checkpoint {
    Epoch epoch;
    RecordNumber number;  // it ends with this record
    Hash hash{};
    std::string_view state;  // in the bytes it was read from
};

// The sentence says why it can't be used, to stand behind "The checkpoint is not used: ".
std::variant<Checkpoint, std::string> read_checkpoint(std::string_view bytes,
                                                      const CheckpointFor& by);

}  // namespace honbu

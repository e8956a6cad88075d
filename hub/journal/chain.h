// What the journal knows of a record's bytes, and no more: its number and the hash of the record
// before, which are the first two things in it (layout: docs/journal.md).
//
// The same check runs before a record is stored and after it is loaded. Pure functions, any thread.
#pragma once

#include <string>
#include <string_view>

#include "engine/record/record.h"

namespace honbu {

// Where a chain has got to. Before record 1 all of it is zero.
struct ChainEnd {
    RecordNumber number;
    Hash hash{};
};

// Does this row follow? An empty text if it does; else a sentence that names the record.
std::string check_follows(const ChainEnd& before, RecordNumber number, std::string_view bytes);
// And are its bytes those that were stored?
std::string check_unchanged(RecordNumber number, const Hash& of_bytes, std::string_view kept_hash);

}  // namespace honbu

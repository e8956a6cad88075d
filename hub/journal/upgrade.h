// From an older schema of the journal to the one that this program writes: never by itself, never
// while a hub runs, and never without a copy that was read back first.
//
// The copy goes to DIR/before-upgrade-N (N: the schema it has), as it was to the byte of each row,
// and is compared with the journal row by row. Then one transaction changes the schema, and
// everything is read and compared once more. Broken off at any moment, the journal is as it was or
// upgraded, whole; the same command said again goes on. Holds the folder's Lock. One thread.
#pragma once

#include <filesystem>

#include "hub/fault.h"
#include "hub/journal/chain.h"

namespace honbu {

struct Upgraded {
    std::int64_t from = 0;  // schemas
    std::int64_t to = 0;    // the same: there was nothing to do
    ChainEnd end;
    std::filesystem::path copy;  // where it was made; empty: there was nothing to do
};
[[nodiscard]] OrFault<Upgraded> upgrade_journal_file(const std::filesystem::path& folder);

}  // namespace honbu

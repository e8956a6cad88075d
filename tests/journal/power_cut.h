// A machine whose power fails: SQLite's file system with a memory of what was synced.
//
// Stands before the ordinary one as the default of this process, for good: install it in a child.
// What is written goes to the real files, which is what the living see; beside them it keeps what
// each file and folder would have after a power cut. At the n-th operation the power fails: every
// file gets what was synced and any of what was written since, each write whole, torn between
// sectors of 512 bytes, or lost; names of files that no folder's sync has covered may be gone, or
// deleted files there again; and the process ends on the spot. The log's index (-shm) is memory: it
// is rubbish then. Any thread.
#pragma once

#include <cstdint>
#include <string>

namespace honbu::power {

struct Failing {
    std::uint64_t at = 0;  // the operation, from 1; 0: the power stays
    std::uint64_t seed = 1;
    bool sync_lies = false;  // says it has synced, and has not
};

inline constexpr int exit_power_cut = 3;

void install(const Failing& failing);
std::uint64_t operations();  // so far

}  // namespace honbu::power

// honbu replay: the calls of one bout from a file or from standard input, taken one by one as at a
// table, and told line by line for people or for programs. docs/replay.md is its contract.
//
// Prints to standard output what came of the calls, to standard error what can't be read. Exit
// codes: 0 every call was taken; 1 the input can't be used; 2 the command line can't; 3 all was
// read, but at least one call was not taken. One thread.
#pragma once

#include <optional>
#include <string>

namespace honbu {

struct ReplayOptions {
    std::optional<std::string> rules;  // a name, or a file
    std::optional<std::string> time;   // M:SS, or an age group
    std::optional<std::string> until;  // M:SS
    bool json = false;
    std::string file = "-";  // "-": standard input
};

int replay_bout(const ReplayOptions& options);

}  // namespace honbu

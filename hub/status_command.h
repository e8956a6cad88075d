// honbu status: how a hub stands, asked of the hub itself; or what its folder holds if none runs.
//
// The exit code says the same: 0 all is well, 1 something to look at, 2 no hub runs there.
#pragma once

#include <filesystem>
#include <string>

namespace honbu {

struct StatusOptions {
    std::filesystem::path data;       // the hub's folder, on this machine; or
    std::string at;                   // its address, from anywhere in the hall
    std::filesystem::path authority;  // whom to trust for an https address; empty: the system's
};
int status(const StatusOptions& options);

inline constexpr int exit_look = 1;
inline constexpr int exit_not_running = 2;

// The lines, and whether all is well, as for exit codes.
struct Told {
    std::string text;
    int code = 0;
};
Told status_of(const StatusOptions& options);

}  // namespace honbu

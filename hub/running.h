// What a running hub leaves in its folder, so that other commands find it: DIR/running, there from
// the moment it lets people in until it stops; and DIR/settings, as it was started last.
//
// A hub that was killed leaves `running` behind: whoever reads it looks whether the process is
// there. Neither may keep a hub from starting: what can't be written is said in the log.
#pragma once

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>

#include "hub/fault.h"

namespace honbu {

struct Running {
    std::int64_t process = 0;
    std::string url;    // of the hall's entrance, from this machine
    std::string since;  // by this machine's clock
    std::string version;
};

// A text in the folder that people may read; the old one stays if it can't be written whole.
[[nodiscard]] OrFault<void> put_beside(const std::filesystem::path& folder, const char* name,
                                       const std::string& text);
[[nodiscard]] OrFault<void> say_running(const std::filesystem::path& folder, const Running& now);
void say_stopped(const std::filesystem::path& folder);
// Nothing: no hub says that it runs.
std::optional<Running> running_in(const std::filesystem::path& folder);
// The process is there, and is this program.
bool still_there(const Running& hub);

// How this machine reaches what listens there: 0.0.0.0 is reached as 127.0.0.1.
std::string own_url(bool encrypted, const std::string& ip, std::uint16_t port);

inline constexpr const char* settings_name = "settings";

}  // namespace honbu

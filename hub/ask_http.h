// One HTTP request to a hub, for commands: asks, waits a few seconds at most, hands back the body.
//
// HTTP/1.1 with "Connection: close" (RFC 9112). Over https the answer's sender is checked against
// the authorities given, or the system's; only for a hub on this machine, where nothing secret is
// sent and the answer is only shown, it may be left out. Blocks its thread.
#pragma once

#include <chrono>
#include <filesystem>
#include <string>

#include "hub/fault.h"

namespace honbu {

struct HttpQuestion {
    std::string url;                  // "https://192.0.2.7:8443"
    std::string target;               // "/v1/status"
    std::filesystem::path authority;  // PEM; empty: those of the system
    bool checked = true;              // that the other end is who it says
    std::chrono::seconds patience{5};
};
// A fault: nobody there, nothing said in time, not trusted, or another answer than 200.
[[nodiscard]] OrFault<std::string> ask_http(const HttpQuestion& question);

}  // namespace honbu

// Where a hub listens, as it is typed. Pure, any thread.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

#include "hub/fault.h"

namespace honbu {

// "192.0.2.7:8080", "[::1]:8080"; port 0 lets the system choose.
struct ListenAddress {
    std::string ip;
    std::uint16_t port = 0;

    bool only_this_machine() const;  // a loopback address: 127.0.0.0/8, ::1
    bool every_network() const { return ip == "0.0.0.0" || ip == "::"; }
    std::string host() const;  // as in a page's address: an IPv6 one in brackets
};
[[nodiscard]] OrFault<ListenAddress> parse_listen(std::string_view text);

}  // namespace honbu

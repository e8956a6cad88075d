// Which addresses to listen at are reached from this machine only: there everything is allowed that
// needs no encryption. Sources: RFC 1122, 3.2.1.3 (127.0.0.0/8), RFC 4291, 2.5.2, 2.5.3 and 2.5.5.2
// (unspecified, loopback, and IPv4-mapped addresses, which are not taken for loopback: too careful
// is safe).
#include "hub/net/listen_address.h"

#include <gtest/gtest.h>

namespace honbu {
namespace {

struct Case {
    const char* typed;
    bool only_this_machine;
    bool every_network;
};

TEST(ListenAddress, WhatIsThisMachineOnly) {
    for (const auto& [typed, only_this_machine, every_network] :
         {Case{"127.0.0.1:8080", true, false}, Case{"127.0.0.2:8080", true, false},
          Case{"127.255.255.254:0", true, false}, Case{"localhost:8080", true, false},
          Case{"[::1]:8080", true, false}, Case{"[0:0::0:1]:8080", true, false},
          Case{"[::]:8080", false, true}, Case{"0.0.0.0:8080", false, true},
          Case{"[::ffff:127.0.0.1]:8080", false, false}, Case{"192.0.2.7:8080", false, false},
          Case{"128.0.0.1:8080", false, false}, Case{"126.0.0.1:8080", false, false},
          Case{"[2001:db8::7]:8080", false, false}, Case{"[fe80::1]:8080", false, false},
          Case{"[::2]:8080", false, false}, Case{"[100::1]:8080", false, false}}) {
        const auto address = parse_listen(typed);
        ASSERT_TRUE(address) << typed;
        EXPECT_EQ(address->only_this_machine(), only_this_machine) << typed;
        EXPECT_EQ(address->every_network(), every_network) << typed;
    }
}

}  // namespace
}  // namespace honbu

// The names and addresses under which devices reach a hub: what a certificate is made for.
//
// Pure but for this_machines(), which asks the system. Any thread.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "hub/fault.h"

namespace honbu {

struct HubNames {
    std::vector<std::string> names;      // "hub.example", lower case
    std::vector<std::string> addresses;  // "192.0.2.7", "2001:db8::7", as inet_ntop writes them
    friend bool operator==(const HubNames&, const HubNames&) = default;

    bool empty() const { return names.empty() && addresses.empty(); }
    // `host` as a page's address has it: without port, an IPv6 address without its brackets.
    bool cover(std::string_view host) const;
    std::string in_words() const;  // "hub.example, 192.0.2.7"
};

// As typed, checked and written the one way; each once. Nothing given is nothing.
[[nodiscard]] OrFault<HubNames> hub_names(const std::vector<std::string>& names,
                                          const std::vector<std::string>& addresses);
// What this machine is called and the addresses it has now, its own loopback among them.
HubNames this_machines();
// Only those that others in its networks can reach, IPv4 first.
std::vector<std::string> hall_addresses();
// The four or sixteen bytes of an address; empty: it is none.
std::string address_bytes(const std::string& address);
std::string address_text(std::string_view bytes);

}  // namespace honbu

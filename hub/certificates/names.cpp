#include "hub/certificates/names.h"

#include <algorithm>
#include <array>
#include <utility>

#include <arpa/inet.h>
#include <ifaddrs.h>
#include <net/if.h>
#include <unistd.h>

namespace honbu {
namespace {

constexpr std::size_t name_size_max = 253;  // RFC 1035, 2.3.4, written with dots
constexpr std::size_t label_size_max = 63;
constexpr std::size_t names_max = 64;  // a machine has a few

char lower(char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; }

std::string lower(std::string_view text) {
    std::string out(text);
    for (char& c : out)
        c = lower(c);
    return out;
}

bool is_letter_or_digit(char c) { return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9'); }

// Letters, digits and hyphens (RFC 1123, 2.1), no wildcards, and not a number that looks like part
// of an address at the end.
bool is_name(std::string_view name) {
    if (name.empty() || name.size() > name_size_max) return false;
    std::string_view last;
    for (std::string_view rest = name; !rest.empty();) {
        const std::size_t dot = rest.find('.');
        const std::string_view label = rest.substr(0, dot);
        if (label.empty() || label.size() > label_size_max) return false;
        if (!is_letter_or_digit(label.front()) || !is_letter_or_digit(label.back())) return false;
        for (const char c : label) {
            if (!is_letter_or_digit(c) && c != '-') return false;
        }
        last = label;
        if (dot == std::string_view::npos) break;
        rest.remove_prefix(dot + 1);
        if (rest.empty()) return false;
    }
    return !std::all_of(last.begin(), last.end(), [](char c) { return c >= '0' && c <= '9'; });
}

std::string written(int family, const void* bytes) {
    std::array<char, INET6_ADDRSTRLEN> text{};
    if (inet_ntop(family, bytes, text.data(), text.size()) == nullptr) return {};
    return text.data();
}

void add(std::vector<std::string>& to, std::string one) {
    if (one.empty() || to.size() >= names_max) return;
    if (std::find(to.begin(), to.end(), one) == to.end()) to.push_back(std::move(one));
}

enum class Which : std::uint8_t { hall, all };

// Link-local IPv6 addresses are left out: they need a zone, which no page address can carry.
std::vector<std::string> addresses_of_this_machine(Which which) {
    std::vector<std::string> found;
    std::vector<std::string> later;
    ifaddrs* all = nullptr;
    if (getifaddrs(&all) != 0) return found;
    for (const ifaddrs* one = all; one != nullptr; one = one->ifa_next) {
        if (one->ifa_addr == nullptr || (one->ifa_flags & IFF_UP) == 0) continue;
        if (which == Which::hall && (one->ifa_flags & IFF_LOOPBACK) != 0) continue;
        if (one->ifa_addr->sa_family == AF_INET) {
            const auto* address = reinterpret_cast<const sockaddr_in*>(one->ifa_addr);
            add(found, written(AF_INET, &address->sin_addr));
        } else if (one->ifa_addr->sa_family == AF_INET6) {
            const auto* address = reinterpret_cast<const sockaddr_in6*>(one->ifa_addr);
            if (IN6_IS_ADDR_LINKLOCAL(&address->sin6_addr) == 0) {
                add(later, written(AF_INET6, &address->sin6_addr));
            }
        }
    }
    freeifaddrs(all);
    for (std::string& one : later)
        add(found, std::move(one));
    return found;
}

}  // namespace

std::string address_bytes(const std::string& address) {
    in6_addr bytes{};
    const auto* const first = reinterpret_cast<const char*>(&bytes);
    if (inet_pton(AF_INET, address.c_str(), &bytes) == 1) return {first, sizeof(in_addr)};
    if (inet_pton(AF_INET6, address.c_str(), &bytes) == 1) return {first, sizeof(in6_addr)};
    return {};
}

std::string address_text(std::string_view bytes) {
    if (bytes.size() != sizeof(in_addr) && bytes.size() != sizeof(in6_addr)) return {};
    return written(bytes.size() == sizeof(in_addr) ? AF_INET : AF_INET6, bytes.data());
}

bool HubNames::cover(std::string_view host) const {
    const std::string bytes = address_bytes(std::string(host));
    if (bytes.empty()) {
        return std::find(names.begin(), names.end(), lower(host)) != names.end();
    }
    return std::any_of(addresses.begin(), addresses.end(),
                       [&bytes](const std::string& one) { return address_bytes(one) == bytes; });
}

std::string HubNames::in_words() const {
    std::string out;
    for (const auto* list : {&names, &addresses}) {
        for (const std::string& one : *list)
            out += (out.empty() ? "" : ", ") + one;
    }
    return out;
}

OrFault<HubNames> hub_names(const std::vector<std::string>& names,
                            const std::vector<std::string>& addresses) {
    HubNames found;
    for (const std::string& given : names) {
        const std::string name = lower(given);
        if (!address_bytes(name).empty()) {
            return Fault{"'" + given + "' is an address, not a name. Give it with --address."};
        }
        if (!is_name(name)) {
            return Fault{"'" + given +
                         "' can't be a machine's name: it has letters, digits, hyphens and dots "
                         "only, like hub.example."};
        }
        add(found.names, name);
    }
    for (const std::string& given : addresses) {
        const std::string bytes = address_bytes(given);
        if (bytes.empty()) {
            return Fault{"'" + given +
                         "' is not an IP address. Write it like 192.0.2.7, without a port; a name "
                         "is given with --name."};
        }
        add(found.addresses, address_text(bytes));
    }
    return found;
}

HubNames this_machines() {
    HubNames own;
    std::array<char, name_size_max + 1> text{};
    if (gethostname(text.data(), text.size() - 1) == 0) {
        const std::string host = lower(text.data());
        if (is_name(host)) {
            add(own.names, host);
            // How machines of a network without a name server find each other (RFC 6762).
            if (host.find('.') == std::string::npos) add(own.names, host + ".local");
        }
    }
    add(own.names, "localhost");
    own.addresses = addresses_of_this_machine(Which::all);
    return own;
}

std::vector<std::string> hall_addresses() { return addresses_of_this_machine(Which::hall); }

}  // namespace honbu

#include "hub/net/listen_address.h"

#include <charconv>

#include "hub/certificates/names.h"

namespace honbu {

bool ListenAddress::only_this_machine() const {
    const std::string bytes = address_bytes(ip);
    return (bytes.size() == 4 && bytes.front() == 127) || bytes == std::string(15, '\0') + '\x01';
}

std::string ListenAddress::host() const {
    return ip.find(':') == std::string::npos ? ip : "[" + ip + "]";
}

OrFault<ListenAddress> parse_listen(std::string_view text) {
    const Fault wrong{"'" + std::string(text) +
                      "' is not an address and a port. Write it like 0.0.0.0:8080."};
    const std::size_t colon = text.rfind(':');
    if (colon == std::string_view::npos) return wrong;
    std::string_view ip = text.substr(0, colon);
    if (ip.starts_with('[') && ip.ends_with(']')) ip = ip.substr(1, ip.size() - 2);
    const std::string_view digits = text.substr(colon + 1);
    ListenAddress address{std::string(ip), 0};
    const auto read = std::from_chars(digits.data(), digits.data() + digits.size(), address.port);
    const bool number = read.ec == std::errc() && read.ptr == digits.data() + digits.size();
    if (address.ip == "localhost") address.ip = "127.0.0.1";
    if (!number || address_bytes(address.ip).empty()) return wrong;
    return address;
}

}  // namespace honbu

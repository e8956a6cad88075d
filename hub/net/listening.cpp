#include "hub/net/listening.h"

namespace honbu {
namespace {

constexpr int backlog = 4'096;  // a hall that comes back all at once; the system may allow less

Fault cannot_listen(const ListenAddress& address, const std::string& option, const error_code& ec) {
    const std::string port = std::to_string(address.port);
    if (ec == asio::error::address_in_use) {
        return Fault{"Port " + port + " is taken by another program. Choose another with " +
                     option +
                     ", for "
                     "example " +
                     option + " " + address.host() + ":" + std::to_string(address.port + 1) + "."};
    }
    if (ec == asio::error::access_denied) {
        return Fault{"Port " + port +
                     " needs an administrator's rights. Choose one above 1023 with " + option +
                     "."};
    }
    return Fault{"The hub can't listen on " + address.host() + ":" + port + " (" + ec.message() +
                 "). Is that an address of this machine? 0.0.0.0 stands for all of them."};
}

}  // namespace

OrFault<ListenAddress> take_port(Acceptor& acceptor, const ListenAddress& address,
                                 const std::string& option) {
    const asio::ip::tcp::endpoint endpoint(asio::ip::make_address(address.ip), address.port);
    error_code ec;
    acceptor.open(endpoint.protocol(), ec);
    if (!ec) acceptor.set_option(Acceptor::reuse_address(true), ec);
    if (!ec) acceptor.bind(endpoint, ec);
    if (!ec) acceptor.listen(backlog, ec);
    if (ec) return cannot_listen(address, option, ec);
    return ListenAddress{address.ip, acceptor.local_endpoint(ec).port()};
}

}  // namespace honbu

// Taking a port, with words for whoever typed the command if it can't be had. Any thread.
#pragma once

#include <string>

#include "hub/net/asio.h"
#include "hub/net/listen_address.h"

namespace honbu {

// `option` is the one it was given with. Returns the address with the port it got. Who comes waits
// for the first accept.
[[nodiscard]] OrFault<ListenAddress> take_port(Acceptor& acceptor, const ListenAddress& address,
                                               const std::string& option);

}  // namespace honbu

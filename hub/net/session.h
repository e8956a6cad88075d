// One WebSocket connection, from the handshake to the close.
//
// A reader coroutine hands what comes to the doors, one message at a time. What the hub says waits
// in a bounded outbox, views and results with the feed; when its turn comes, all that waits goes
// out in one write that does not wait for the socket. What the socket does not take, a coroutine
// of its own writes, and until it is done nobody else does. The session ends when its reader has
// ended and its last byte is written. Hub thread.
#pragma once

#include <string>

#include "hub/net/asio.h"
#include "hub/net/switchboard.h"
#include "hub/wire/flavour.h"

namespace honbu {

// The handshake has been found good (answer_upgrade). `key` is its Sec-WebSocket-Key; `flavour` was
// agreed on (flavour_of) and holds for the whole connection.
void start_session(Socket socket, const std::string& key, Flavour flavour, Counted counted,
                   Switchboard& board);

}  // namespace honbu

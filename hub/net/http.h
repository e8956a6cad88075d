// One TCP connection that speaks HTTP: answers pages until it ends or becomes a WebSocket.
//
// Whoever sends its request too slowly, or one too long, is cut off. Hub thread.
#pragma once

#include "hub/net/asio.h"
#include "hub/net/switchboard.h"

namespace honbu {

void start_http(Socket socket, Counted counted, Switchboard& board);

}  // namespace honbu

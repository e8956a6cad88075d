// What goes out to one client in one write.
//
// A write that does not wait is over when it returns, so all sessions of a thread gather in one
// place (gathered_now), and an idle one has none. Hub thread.
#pragma once

#include <cstddef>
#include <vector>

#include "hub/net/asio.h"
#include "hub/net/outbox.h"

namespace honbu {

struct Gathered {
    std::vector<Piece> pieces;
    std::vector<asio::const_buffer> buffers;

    void point_at_pieces();  // fills `buffers`
    void clear() {
        pieces.clear();
        buffers.clear();
    }
};
Gathered& gathered_now();

// Writes what the socket takes at once. False: not all of it; the rest has gone into `rest`.
[[nodiscard]] bool taken_at_once(Socket& socket, Gathered& now, Gathered& rest);

}  // namespace honbu

#include "hub/net/gathered.h"

#include <span>
#include <utility>

namespace honbu {

void Gathered::point_at_pieces() {
    for (const Piece& piece : pieces) {
        if (piece.head_size > 0) buffers.emplace_back(piece.head.data(), piece.head_size);
        buffers.emplace_back(piece.body->data(), piece.body->size());
    }
}

Gathered& gathered_now() {
    thread_local Gathered gathered;
    return gathered;
}

bool taken_at_once(Socket& socket, Gathered& now, Gathered& rest) {
    error_code ec;  // whoever writes the rest finds it again
    const std::span<const asio::const_buffer> all(now.buffers);
    std::size_t taken = socket.write_some(all, ec);
    auto next = now.buffers.begin();
    for (; next != now.buffers.end() && taken >= next->size(); ++next)
        taken -= next->size();
    const bool whole = next == now.buffers.end();
    if (!whole) {
        *next += taken;
        rest.buffers.assign(next, now.buffers.end());
        rest.pieces = std::move(now.pieces);
    }
    now.clear();
    return whole;
}

}  // namespace honbu

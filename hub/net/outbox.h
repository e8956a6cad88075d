// What waits to be written to one client, framed for WebSocket (RFC 6455, section 5).
//
// Messages to this client alone are kept here, bounded in number and bytes; what many clients get
// stays with the feed and is fetched when there is time to write. The frame's few header bytes are
// ours and the message itself is shared, so nothing is copied or encoded per client. Hub thread.
#pragma once

#include <array>
#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "hub/feed/feed.h"

namespace honbu {

// One frame, or bytes that are frames already.
struct Piece {
    std::array<char, 10> head{};
    std::size_t head_size = 0;
    Shared body;
};
Piece framed(Shared message, Flavour flavour);  // whole, as a binary or a text message
std::string close_frame(std::uint16_t code, std::string_view words);
std::uint16_t close_code(Cause reason);  // RFC 6455, 7.4.1
// The code of a close frame by which a broken line is ended (7.1.7); 0: it is none.
std::uint16_t failed_with(std::string_view frame);

class Outbox {
public:
    explicit Outbox(Flavour flavour) : flavour_(flavour) {}

    // False: more than `bytes_max` would wait; whoever reads so slowly comes back for the latest
    // state.
    [[nodiscard]] bool push(Shared message, std::size_t bytes_max);
    // The WebSocket library's own: the handshake, pongs, its answer to a close.
    [[nodiscard]] bool push_raw(std::string_view bytes);
    // The last words. With `at_once` they jump the queue, which is dropped.
    void finish(Shared goodbye, std::string close, bool at_once);

    bool finished() const { return finished_; }
    bool empty() const { return waiting_.empty(); }
    std::size_t bytes() const { return bytes_ + raw_bytes_; }
    // Moves at most `limit` pieces to the end of `pieces`.
    void take(std::vector<Piece>& pieces, std::size_t limit);

private:
    Flavour flavour_;
    std::vector<Piece> waiting_;  // idle it holds nothing; a deque would hold half a kilobyte
    std::size_t bytes_ = 0;
    std::size_t raw_bytes_ = 0;
    bool finished_ = false;
};

}  // namespace honbu

// WebSocket framing for the reference programs and the load, in as few lines as RFC 6455 allows.
//
// Only for these programs among themselves and with the hub: a client's mask is always zero, so
// that masking changes nothing and a reference program need not take it off; a handshake's answer
// is not checked beyond its status. Pure functions.
#pragma once

#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>

namespace honbu::bench {

inline constexpr std::string_view end_of_head = "\r\n\r\n";

std::string server_frame(std::string_view payload);  // RFC 6455, 5.2: final, binary
std::string client_frame(std::string_view payload);  // the same, masked
std::string handshake_request(std::uint16_t port);   // 4.1
std::string handshake_answer();                      // 4.2.2, for our own clients

// Where a frame's payload is in `bytes`, which begin with the frame. Size 0: not all of it is here.
struct FrameAt {
    std::size_t begin = 0;
    std::size_t size = 0;  // of the whole frame
    unsigned opcode = 0;
};
FrameAt frame_at(std::string_view bytes);

// Gives the payload of each whole binary frame; returns how many bytes were used.
template<class Each> std::size_t take_frames(std::string_view bytes, const Each& each) {
    constexpr unsigned binary = 2;
    std::size_t used = 0;
    for (;;) {
        const FrameAt at = frame_at(bytes.substr(used));
        if (at.size == 0) return used;
        if (at.opcode == binary) each(bytes.substr(used + at.begin, at.size - at.begin));
        used += at.size;
    }
}

}  // namespace honbu::bench

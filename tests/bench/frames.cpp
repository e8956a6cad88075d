#include "tests/bench/frames.h"

namespace honbu::bench {
namespace {

constexpr char final_binary = '\x82';
constexpr unsigned mask_bit = 0x80;

std::string head(std::size_t size, unsigned mask) {
    std::string out(1, final_binary);
    const auto put = [&out](std::size_t value) { out.push_back(static_cast<char>(value)); };
    if (size < 126) {
        put(size | mask);
    } else if (size <= 0xFFFF) {
        put(126 | mask);
        put(size >> 8);
        put(size & 0xFF);
    } else {
        put(127 | mask);
        for (int shift = 56; shift >= 0; shift -= 8)
            put(size >> shift & 0xFF);
    }
    if (mask != 0) out.append(4, '\0');
    return out;
}

std::size_t byte(std::string_view bytes, std::size_t at) {
    return static_cast<unsigned char>(bytes[at]);
}

}  // namespace

std::string server_frame(std::string_view payload) {
    return head(payload.size(), 0).append(payload);
}

std::string client_frame(std::string_view payload) {
    return head(payload.size(), mask_bit).append(payload);
}

// The key is the one in RFC 6455, 1.3.
std::string handshake_request(std::uint16_t port) {
    return "GET /ws HTTP/1.1\r\nHost: 127.0.0.1:" + std::to_string(port) +
           "\r\nUpgrade: websocket\r\nConnection: Upgrade\r\nSec-WebSocket-Version: 13\r\n"
           "Sec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ==\r\n"
           "Sec-WebSocket-Protocol: honbu.v1.proto\r\n\r\n";
}

std::string handshake_answer() {
    return "HTTP/1.1 101 Switching Protocols\r\nUpgrade: websocket\r\nConnection: Upgrade\r\n"
           "Sec-WebSocket-Accept: s3pPLMBiTxaQ9kYGzzhZRbK+xOo=\r\n"
           "Sec-WebSocket-Protocol: honbu.v1.proto\r\n\r\n";
}

FrameAt frame_at(std::string_view bytes) {
    if (bytes.size() < 2) return {};
    FrameAt at{2, 0, static_cast<unsigned>(byte(bytes, 0)) & 0x0FU};
    std::size_t payload = byte(bytes, 1) & 0x7FU;
    const int length_bytes = payload == 126 ? 2 : payload == 127 ? 8 : 0;
    if (length_bytes > 0) {
        if (bytes.size() < 2U + static_cast<unsigned>(length_bytes)) return {};
        payload = 0;
        for (int i = 0; i < length_bytes; ++i)
            payload = payload << 8 | byte(bytes, at.begin++);
    }
    if ((byte(bytes, 1) & mask_bit) != 0) at.begin += 4;
    if (bytes.size() < at.begin + payload) return {};
    at.size = at.begin + payload;
    return at;
}

}  // namespace honbu::bench

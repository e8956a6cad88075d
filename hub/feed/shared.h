// Encoded bytes that many sessions send at once, and how a follower is written to. Constant, any
// thread.
#pragma once

#include <cstdint>
#include <memory>
#include <string>
#include <utility>

namespace honbu {

using Shared = std::shared_ptr<const std::string>;
inline Shared shared(std::string text) {
    return std::make_shared<const std::string>(std::move(text));
}

// Messages of the WebSocket, or server-sent events.
enum class Form : std::uint8_t { wire, events };

}  // namespace honbu

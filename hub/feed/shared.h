// Encoded bytes that many sessions send at once. Constant, any thread; an Encoded is its owner's.
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

// How a follower is written to: messages of the WebSocket in one of its two flavours, or
// server-sent events.
enum class Form : std::uint8_t { binary, json, events };

// One ToClient. The text is made when somebody first takes it.
struct Encoded {
    Shared bytes;
    Shared text;
    const Shared& in(Form form);
};

}  // namespace honbu

#include "hub/net/farewells.h"

#include <string>

namespace honbu {
namespace {

constexpr std::uint16_t bad_payload = 1007;
constexpr std::uint16_t too_big = 1009;

constexpr const char* text_in_binary_words =
    "This connection speaks honbu.v1.proto: binary messages, and this was text. For JSON connect "
    "with honbu.v1.json.";
constexpr const char* binary_in_json_words =
    "This connection speaks honbu.v1.json: text messages, and this was a binary one. For protobuf "
    "connect with honbu.v1.proto.";

}  // namespace

Goodbye too_slow_farewell() {
    return {Cause::too_slow,
            "This screen did not keep up with what it was sent. It comes back with the latest "
            "state.",
            true};
}

Goodbye silent_farewell() {
    return {Cause::silent,
            "Nothing was heard from this page for ten seconds. It connects again by itself.", true};
}

Goodbye no_hello_farewell() {
    return {Cause::silent, "This connection has not said hello. Reload the page.", true};
}

Goodbye too_big_farewell(std::size_t bytes_max) {
    return {Cause::too_big,
            "This message is bigger than the hub takes (" + std::to_string(bytes_max / 1024) +
                " KiB). Reload the page.",
            false};
}

Goodbye other_kind_farewell(Flavour spoken) {
    const bool binary = spoken == Flavour::binary;
    return {Cause::unreadable, binary ? text_in_binary_words : binary_in_json_words, false};
}

Goodbye broken_farewell(std::uint16_t code, std::size_t bytes_max) {
    if (code == too_big) return too_big_farewell(bytes_max);
    const bool text = code == bad_payload;
    return {Cause::unreadable,
            text ? "A text message was not UTF-8 (RFC 6455, 8.1)."
                 : "What came is no proper WebSocket message (RFC 6455).",
            false};
}

}  // namespace honbu

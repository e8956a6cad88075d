// The two flavours of the protocol: the same messages as protobuf bytes or as proto3 JSON text.
//
// JSON is for integrators without protobuf (docs/protocol.md, section 12). What it says takes the
// same way through the same checks as the bytes do. Names are written in lowerCamelCase, enums by
// name and zeros too, as over HTTP (hub/wire/call_json.h). from_json never trusts its input: text
// of any content and depth is read in bounded time, fields it does not know are passed over, and
// what is wrong is a WireFault that repeats nothing of the text. Pure functions, any thread.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <variant>

#include "hub/wire/wire.h"

namespace honbu {

enum class Flavour : std::uint8_t { binary, json };

std::variant<Command, WireFault> from_json(std::string_view text);
std::string to_json(const Reply& reply);
std::string to_json(const Command& command);  // for C++ clients: the tests

// The same ToClient as text; the bytes are to_wire()'s or record_to_wire()'s.
std::string client_json(std::string_view bytes);

// In the flavour that a connection speaks.
std::variant<Command, WireFault> read_as(Flavour flavour, std::string_view message);
std::string written_as(Flavour flavour, const Reply& reply);

}  // namespace honbu

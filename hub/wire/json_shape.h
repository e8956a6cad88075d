// Whether a JSON text can be a message of the schema, before protobuf reads it.
//
// protobuf's reader is lenient where a table must not be misread: a word it does not know becomes a
// zero, of two fields of one name the last counts. What passes here means to it what it says. The
// sentences name fields as hub.proto does and repeat nothing that was sent. Internal to hub/wire.
// Pure, any thread.
#pragma once

#include <google/protobuf/descriptor.h>
#include <google/protobuf/struct.pb.h>

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "hub/wire/parts.h"

namespace honbu::wire {

// Deeper or more than any message of the schema can be, as a sentence; empty: no.
std::string too_much_json(std::string_view text);

// The first thing in a known field that can't stand there goes to `check`.
void look_at_shape(const google::protobuf::Struct& said, const google::protobuf::Descriptor& type,
                   Check& check);

// A whole number of 32 bits, unsigned, with quotes around it or without.
std::optional<std::uint32_t> whole_number(const google::protobuf::Value& value);

}  // namespace honbu::wire

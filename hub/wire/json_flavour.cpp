// Text to commands and replies to text. There is one mapping and one set of checks for both
// flavours (to_wire.cpp, from_wire.cpp): a text becomes the message it stands for, and then goes
// their way.
#include <google/protobuf/stubs/logging.h>
#include <google/protobuf/util/json_util.h>

#include "hub/insist.h"
#include "hub/wire/call_names.h"
#include "hub/wire/flavour.h"
#include "hub/wire/json_shape.h"
#include "hub/wire/json_slips.h"
#include "hub/wire/parts.h"

namespace honbu {
namespace wire {
namespace {

namespace pb = google::protobuf;

// What protobuf's reader says of a text, without the parts it repeats of it.
std::string without_echo(std::string_view reader_words) {
    reader_words = reader_words.substr(0, reader_words.find('\n'));  // then comes the place itself
    const auto says = [reader_words](std::string_view part) {
        return reader_words.find(part) != std::string_view::npos;
    };
    if (says("Repeated map key")) return "a name stands twice in one object; keep one.";
    if (says("non UTF-8")) return "it is not UTF-8.";
    if (says("Unexpected end")) return "it is empty, or ends in the middle.";
    if (says("Root element")) return "it does not begin with {.";
    if (says("Octal/hex") || says("parse number")) {
        return "a number is not written as JSON has it; write it like 10.";
    }
    if (says("exceeds the range")) return "a number is bigger than any field can hold.";
    if (says("surrogate") || says("code point") || says("escape")) {
        return "what follows a \\u is no letter, or half of one.";
    }
    if (says("Expected :") || says("Expected , or }")) return plainer(reader_words);
    return "something stands where JSON (RFC 8259) does not have it.";
}

bool parsed(std::string_view text, pb::Message& out, Check& check) {
    pb::util::JsonParseOptions options;
    options.ignore_unknown_fields = true;
    const auto status = pb::util::JsonStringToMessage(pb::StringPiece(text.data(), text.size()),
                                                      &out, options);
    if (status.ok()) return true;
    check.wrong(without_echo(std::string_view(status.message().data(), status.message().size())));
    return false;
}

// Of a hello of another version all that counts is which (hello_of in from_wire.cpp).
std::optional<std::uint32_t> other_schema(const pb::Struct& said) {
    const auto hello = said.fields().find("hello");
    if (hello == said.fields().end() || !says(hello->second.struct_value(), "schema")) {
        return std::nullopt;
    }
    const auto schema = whole_number(hello->second.struct_value().fields().at("schema"));
    return schema == wire_schema ? std::nullopt : schema;
}

std::string json(const pb::Message& message) {
    pb::util::JsonPrintOptions options;
    options.always_print_primitive_fields = true;
    std::string out;
    INSIST(pb::util::MessageToJsonString(message, &out, options).ok());
    return out;
}

}  // namespace
}  // namespace wire

std::variant<Command, WireFault> from_json(std::string_view text) {
    const google::protobuf::LogSilencer quiet;  // as for the bytes: nobody fills the log
    const auto not_json = [](const std::string& why) {
        return WireFault{"The text does not hold a ToHub message of honbu/v1/hub.proto in JSON: " +
                         why};
    };
    std::string slip = wire::too_much_json(text);
    if (slip.empty()) slip = wire::json_slip(text, wire::Slips::of_a_message);
    if (!slip.empty()) return not_json(slip);

    wire::Check reading;
    google::protobuf::Struct said;
    if (!wire::parsed(text, said, reading)) return not_json(reading.words());
    if (const auto schema = wire::other_schema(said)) {
        Hello hello;
        hello.schema = *schema;
        return hello;
    }
    wire::Check shape;
    wire::look_at_shape(said, *v1::ToHub::descriptor(), shape);
    if (!shape.good()) return WireFault{shape.words()};
    v1::ToHub message;
    if (!wire::parsed(text, message, reading)) return not_json(reading.words());
    return from_wire(message.SerializeAsString());
}

std::string to_json(const Reply& reply) {
    v1::ToClient message;
    wire::put(reply, message);
    return wire::json(message);
}

std::string to_json(const Command& command) {
    v1::ToHub message;
    wire::put(command, message);
    return wire::json(message);
}

std::string client_json(std::string_view bytes) {
    v1::ToClient message;
    INSIST(message.ParseFromArray(bytes.data(), static_cast<int>(bytes.size())));
    return wire::json(message);
}

std::variant<Command, WireFault> read_as(Flavour flavour, std::string_view message) {
    return flavour == Flavour::json ? from_json(message) : from_wire(message);
}

std::string written_as(Flavour flavour, const Reply& reply) {
    return flavour == Flavour::json ? to_json(reply) : to_wire(reply);
}

}  // namespace honbu

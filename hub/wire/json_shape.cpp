#include "hub/wire/json_shape.h"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <limits>
#include <map>
#include <set>
#include <utility>

#include "hub/wire/call_names.h"

namespace honbu::wire {
namespace {

namespace pb = google::protobuf;

// A call within a replacement takes six levels, and a confirmation some fifty values. protobuf's
// reader takes a microsecond for each value, so a message full of commas would hold up the hall.
constexpr std::size_t depth_max = 24;
constexpr std::size_t values_max = 1'000;

bool is_digit(char c) { return c >= '0' && c <= '9'; }

bool is_letter(char c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z'); }

// RFC 4648, sections 4 and 5: either alphabet, and the padding may be left out.
bool is_base64(std::string_view text) {
    for (int padding = 0; padding < 2 && text.ends_with('='); ++padding)
        text.remove_suffix(1);
    return text.size() % 4 != 1 && std::all_of(text.begin(), text.end(), [](char c) {
               return is_digit(c) || is_letter(c) || c == '+' || c == '/' || c == '-' || c == '_';
           });
}

class Shape {
public:
    explicit Shape(Check& check) : check_(check) {}

    void object(const pb::Struct& said, const pb::Descriptor& type, const std::string& at) {
        std::set<const pb::FieldDescriptor*> seen;
        std::map<const pb::OneofDescriptor*, const pb::FieldDescriptor*> kinds;
        for (const std::string& name : sorted(said)) {
            const pb::FieldDescriptor* field = find(type, name);
            const pb::Value& value = said.fields().at(name);
            // null is the same as not there (Protocol Buffers language guide, "JSON Mapping").
            if (field == nullptr || value.kind_case() == pb::Value::kNullValue) continue;
            const std::string place = at + field->name();
            if (!seen.insert(field).second) {
                check_.wrong(place + " stands twice, under both ways to write it; keep one.");
            }
            if (const pb::OneofDescriptor* group = field->real_containing_oneof()) {
                const pb::FieldDescriptor* before = std::exchange(kinds[group], field);
                if (before != nullptr) {
                    check_.wrong(at + before->name() + " and " + place +
                                 " exclude each other; send one of them in a message.");
                }
            }
            field->is_repeated() ? list(value, *field, place) : one(value, *field, place);
        }
    }

private:
    static const pb::FieldDescriptor* find(const pb::Descriptor& type, const std::string& name) {
        const pb::FieldDescriptor* field = type.FindFieldByName(name);
        return field != nullptr ? field : type.FindFieldByCamelcaseName(name);
    }

    void list(const pb::Value& value, const pb::FieldDescriptor& field, const std::string& at) {
        if (value.kind_case() != pb::Value::kListValue) {
            check_.wrong(at + " must be a list, in [ ].");
            return;
        }
        for (const pb::Value& item : value.list_value().values())
            one(item, field, at);
    }

    void one(const pb::Value& value, const pb::FieldDescriptor& field, const std::string& at) {
        switch (field.cpp_type()) {
        case pb::FieldDescriptor::CPPTYPE_MESSAGE:
            if (value.kind_case() == pb::Value::kStructValue) {
                object(value.struct_value(), *field.message_type(), at + ".");
            } else {
                check_.wrong(at + " must be an object, in { }.");
            }
            return;
        case pb::FieldDescriptor::CPPTYPE_ENUM: word(value, *field.enum_type(), at); return;
        case pb::FieldDescriptor::CPPTYPE_UINT32:
            if (!whole_number(value)) {
                check_.wrong(at + " must be a whole number from 0 to 4294967295.");
            }
            return;
        case pb::FieldDescriptor::CPPTYPE_BOOL:
            if (value.kind_case() != pb::Value::kBoolValue) {
                check_.wrong(at + " must be true or false, without quotes.");
            }
            return;
        case pb::FieldDescriptor::CPPTYPE_STRING:
            if (value.kind_case() != pb::Value::kStringValue) {
                check_.wrong(at + " must be a text in quotes.");
            } else if (field.type() == pb::FieldDescriptor::TYPE_BYTES &&
                       !is_base64(value.string_value())) {
                check_.wrong(at + " must be bytes in base64 (RFC 4648).");
            }
            return;
        // Not in the schema as it is; protobuf's reader judges them alone.
        case pb::FieldDescriptor::CPPTYPE_INT32:
        case pb::FieldDescriptor::CPPTYPE_INT64:
        case pb::FieldDescriptor::CPPTYPE_UINT64:
        case pb::FieldDescriptor::CPPTYPE_DOUBLE:
        case pb::FieldDescriptor::CPPTYPE_FLOAT: return;
        }
    }

    // By name, or by a number, of which Check says whether it can stand there.
    void word(const pb::Value& value, const pb::EnumDescriptor& type, const std::string& at) {
        const std::string words = type.name() + " in honbu/v1/hub.proto";
        if (value.kind_case() == pb::Value::kStringValue) {
            if (type.FindValueByName(value.string_value()) != nullptr) return;
            check_.wrong(at + " is a word this hub does not know; write one of " + words + ".");
            return;
        }
        constexpr double least = std::numeric_limits<int>::min();
        constexpr double most = std::numeric_limits<int>::max();
        const double number = value.number_value();
        if (value.kind_case() == pb::Value::kNumberValue && number >= least && number <= most &&
            std::floor(number) == number) {
            return;
        }
        check_.wrong(at + " must be a word in quotes, one of " + words + ".");
    }

    Check& check_;
};

}  // namespace

std::string too_much_json(std::string_view text) {
    std::size_t depth = 0;
    std::size_t values = 0;
    bool in_quotes = false;
    for (std::size_t i = 0; i < text.size(); ++i) {
        const char c = text[i];
        if (in_quotes && c == '\\') ++i;
        if (c == '"') in_quotes = !in_quotes;
        if (in_quotes) continue;
        const bool opens = c == '{' || c == '[';
        if (opens && ++depth > depth_max) {
            return "it is nested deeper than 24 levels, which no message of the schema is.";
        }
        if ((c == '}' || c == ']') && depth > 0) --depth;
        if ((opens || c == ',') && ++values > values_max) {
            return "it holds more than 1000 values, which no message of the schema does.";
        }
    }
    return {};
}

void look_at_shape(const pb::Struct& said, const pb::Descriptor& type, Check& check) {
    Shape(check).object(said, type, "");
}

std::optional<std::uint32_t> whole_number(const pb::Value& value) {
    constexpr std::uint32_t most = std::numeric_limits<std::uint32_t>::max();
    if (value.kind_case() == pb::Value::kNumberValue) {
        const double number = value.number_value();
        if (number < 0 || number > most || std::floor(number) != number) return std::nullopt;
        return static_cast<std::uint32_t>(number);
    }
    if (value.kind_case() != pb::Value::kStringValue) return std::nullopt;
    const std::string& digits = value.string_value();
    std::uint32_t number = 0;
    const char* const end = digits.data() + digits.size();
    const auto read = std::from_chars(digits.data(), end, number);
    if (read.ec != std::errc() || read.ptr != end) return std::nullopt;
    return number;
}

}  // namespace honbu::wire

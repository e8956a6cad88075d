// The JSON writer itself; what it writes is in json.cpp.
#include <utility>

#include "engine/bout/text.h"
#include "engine/view/json.h"

namespace honbu {
namespace {

constexpr std::string_view hex_digits = "0123456789abcdef";

void append_escaped(std::string& out, std::string_view text) {
    for (const char c : text) {
        const auto byte = static_cast<unsigned char>(c);
        if (c == '"' || c == '\\') {
            out += '\\';
            out += c;
        } else if (c == '\n') {
            out += "\\n";
        } else if (c == '\r') {
            out += "\\r";
        } else if (c == '\t') {
            out += "\\t";
        } else if (byte < 0x20 || byte == 0x7f) {
            out += "\\u00";
            out += hex_digits[byte >> 4];
            out += hex_digits[byte & 0x0f];
        } else {
            out += c;
        }
    }
}

// Three bytes become four letters; the last group is filled up with '='.
void append_base64(std::string& out, std::string_view bytes) {
    constexpr std::string_view letters =
        "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    for (std::size_t i = 0; i < bytes.size(); i += 3) {
        const std::size_t have = bytes.size() - i < 3 ? bytes.size() - i : 3;
        std::uint32_t group = 0;
        for (std::size_t k = 0; k < 3; ++k) {
            group <<= 8;
            if (k < have) group |= static_cast<unsigned char>(bytes[i + k]);
        }
        for (std::size_t k = 0; k < 4; ++k) {
            out += k <= have ? letters[(group >> (18 - 6 * k)) & 0x3f] : '=';
        }
    }
}

}  // namespace

void JsonWriter::separate() {
    if (comma_) out_ += ',';
    comma_ = true;
}

void JsonWriter::open(char bracket) {
    separate();
    out_ += bracket;
    comma_ = false;
}

void JsonWriter::close(char bracket) {
    out_ += bracket;
    comma_ = true;
}

void JsonWriter::key(const char* name) {
    text(std::string_view(name));
    out_ += ':';
    comma_ = false;
}

void JsonWriter::text(std::string_view value) {
    separate();
    out_ += '"';
    append_escaped(out_, value);
    out_ += '"';
}

void JsonWriter::number(std::uint32_t value) {
    separate();
    append(out_, value);
}

void JsonWriter::flag(bool value) {
    separate();
    out_ += value ? "true" : "false";
}

void JsonWriter::name(std::uint64_t value) { text(name_text(value)); }

void JsonWriter::base64(std::string_view bytes) {
    separate();
    out_ += '"';
    append_base64(out_, bytes);
    out_ += '"';
}

void JsonWriter::raw(std::string_view json) {
    separate();
    out_ += json;
}

void JsonWriter::text(const char* k, std::string_view value) {
    key(k);
    text(value);
}

void JsonWriter::text(const char* k, const std::string& value) { text(k, std::string_view(value)); }

void JsonWriter::text(const char* k, const char* value) { text(k, std::string_view(value)); }

void JsonWriter::number(const char* k, std::uint32_t value) {
    key(k);
    number(value);
}

void JsonWriter::flag(const char* k, bool value) {
    key(k);
    flag(value);
}

void JsonWriter::name(const char* k, std::uint64_t value) {
    key(k);
    name(value);
}

void JsonWriter::base64(const char* k, std::string_view bytes) {
    key(k);
    base64(bytes);
}

void JsonWriter::raw(const char* k, const std::string& json) {
    key(k);
    raw(json);
}

void JsonWriter::begin_object(const char* k) {
    key(k);
    begin_object();
}

void JsonWriter::begin_array(const char* k) {
    key(k);
    begin_array();
}

std::string JsonWriter::take() {
    comma_ = false;
    return std::exchange(out_, {});
}

std::string name_text(std::uint64_t value) {
    std::string text(16, '0');
    for (std::size_t i = 16; i > 0; --i) {
        text[i - 1] = hex_digits[value & 0x0f];
        value >>= 4;
    }
    return text;
}

}  // namespace honbu

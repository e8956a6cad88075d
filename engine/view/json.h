// JSON for the pages: a small writer, and views, calls and heads for any proto3 JSON parser.
//
// The names are the lowerCamelCase ones of proto/honbu/v1/hub.proto, enums are numbers, bytes are
// base64, and what is zero or absent is left out (the proto3 JSON mapping allows all of it). Keys
// and values must be UTF-8, which is what the wire and the page give. The writer puts the commas
// and trusts its caller to close what it opens. Pure, any thread.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

#include "engine/bout/call.h"
#include "engine/view/mat_view.h"

namespace honbu {

class JsonWriter {
public:
    void begin_object() { open('{'); }
    void end_object() { close('}'); }
    void begin_array() { open('['); }
    void end_array() { close(']'); }
    void key(std::string_view name);  // inside an object, before its value

    void text(std::string_view value);
    void number(std::uint32_t value);
    void flag(bool value);
    void flag(const char*) = delete;      // a key without its value would pass for true
    void name(std::uint64_t value);       // a device, run or epoch: 16 hex digits
    void base64(std::string_view bytes);  // RFC 4648 section 4, with padding
    void raw(std::string_view json);      // one whole value that is JSON already

    // A key and its value in one.
    void text(std::string_view k, std::string_view value) {
        key(k);
        text(value);
    }
    void number(std::string_view k, std::uint32_t value) {
        key(k);
        number(value);
    }
    void flag(std::string_view k, bool value) {
        key(k);
        flag(value);
    }
    void name(std::string_view k, std::uint64_t value) {
        key(k);
        name(value);
    }
    void base64(std::string_view k, std::string_view bytes) {
        key(k);
        base64(bytes);
    }
    void raw(std::string_view k, std::string_view json) {
        key(k);
        raw(json);
    }
    void begin_object(std::string_view k) {
        key(k);
        begin_object();
    }
    void begin_array(std::string_view k) {
        key(k);
        begin_array();
    }

    std::string take();  // and begins anew

private:
    void separate();
    void open(char bracket);
    void close(char bracket);

    std::string out_;
    bool comma_ = false;  // a value stands before this place in the same object or array
};

std::string to_json(const MatView& view);
std::string to_json(const BoutHead& head);
std::string to_json(const Call& call);

// The text form of a device, run or epoch: 16 hex digits, lower case.
std::string name_text(std::uint64_t value);

}  // namespace honbu

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
    [[gnu::noinline]] void key(const char* name);  // inside an object, before its value

    [[gnu::noinline]] void text(std::string_view value);
    [[gnu::noinline]] void number(std::uint32_t value);
    [[gnu::noinline]] void flag(bool value);
    void flag(const char*) = delete;  // a key without its value would pass for true
    [[gnu::noinline]] void name(std::uint64_t value);       // a device, run or epoch: 16 hex digits
    [[gnu::noinline]] void base64(std::string_view bytes);  // RFC 4648 section 4, with padding
    [[gnu::noinline]] void raw(std::string_view json);      // one whole value that is JSON already

    // A key and its value in one.
    [[gnu::noinline]] void text(const char* k, std::string_view value);
    [[gnu::noinline]] void text(const char* k, const std::string& value);
    [[gnu::noinline]] void text(const char* k, const char* value);
    [[gnu::noinline]] void number(const char* k, std::uint32_t value);
    [[gnu::noinline]] void flag(const char* k, bool value);
    [[gnu::noinline]] void name(const char* k, std::uint64_t value);
    [[gnu::noinline]] void base64(const char* k, std::string_view bytes);
    [[gnu::noinline]] void raw(const char* k, const std::string& json);
    [[gnu::noinline]] void begin_object(const char* k);
    [[gnu::noinline]] void begin_array(const char* k);

    [[gnu::noinline]] std::string take();  // and begins anew

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

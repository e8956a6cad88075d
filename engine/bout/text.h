// A sentence put together from its parts: Text() << "Bout " << 7 << " is confirmed."
//
// Instead of std::string's +, which leaves one string behind for each part: in honbu.wasm that was
// more code than the rules of judo. Becomes the std::string it is used as, and is empty then.
// Everything is called, not copied to where it is used, for the same reason. Pure, any thread.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

namespace honbu {

class Text {
public:
    [[gnu::noinline]] Text();
    [[gnu::noinline]] Text& operator<<(const char* part);
    [[gnu::noinline]] Text& operator<<(const std::string& part);
    [[gnu::noinline]] Text& operator<<(std::string_view part);
    [[gnu::noinline]] Text& operator<<(std::uint32_t number);

    [[gnu::noinline]] operator std::string();

private:
    std::string whole_;
};

void append(std::string& to, std::uint32_t number);  // in decimal digits

}  // namespace honbu

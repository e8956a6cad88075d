// "1 bout", "2 bouts": a number with its noun, for people. Any thread.
#pragma once

#include <cstddef>
#include <string>

namespace honbu {

inline std::string how_many(std::size_t number, const char* one, const char* more) {
    return std::to_string(number) + " " + (number == 1 ? one : more);
}

}  // namespace honbu

#include "engine/bout/text.h"

#include <array>
#include <utility>

namespace honbu {

Text::Text() = default;

Text& Text::operator<<(const char* part) {
    whole_.append(part);
    return *this;
}

Text& Text::operator<<(const std::string& part) {
    whole_.append(part);
    return *this;
}

Text& Text::operator<<(std::string_view part) {
    whole_.append(part);
    return *this;
}

Text& Text::operator<<(std::uint32_t number) {
    append(whole_, number);
    return *this;
}

Text::operator std::string() { return std::exchange(whole_, {}); }

// Not std::to_string: its tables of digits are larger than all the numbers of a bout.
void append(std::string& to, std::uint32_t number) {
    std::array<char, 10> digits{};
    std::size_t at = digits.size();
    do {
        digits[--at] = static_cast<char>('0' + number % 10);
        number /= 10;
    } while (number != 0);
    to.append(&digits[at], digits.size() - at);
}

}  // namespace honbu

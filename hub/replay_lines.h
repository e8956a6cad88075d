// The lines of a file of calls that say something: not blank, not a remark.
//
// Never holds more than one line, and no line longer than 64 KiB. One thread.
#pragma once

#include <cstddef>
#include <cstdint>
#include <istream>
#include <string>

namespace honbu {

struct InputLine {
    std::string text;
    std::uint32_t number = 0;
};

class Lines {
public:
    static constexpr std::size_t line_bytes_max = std::size_t{64} * 1024;

    explicit Lines(std::istream& in) : in_(in) {}

    // false: there are no more, or the line is too long (then too_long()).
    bool next(InputLine& out) {
        for (;;) {
            out.text.clear();
            if (!read(out.text)) return false;
            out.number = ++number_;
            if (number_ == 1 && out.text.starts_with("\xEF\xBB\xBF")) out.text.erase(0, 3);
            const std::size_t first = out.text.find_first_not_of(" \t\r");
            if (first != std::string::npos && out.text[first] != '#') return true;
        }
    }
    bool too_long() const { return too_long_; }
    std::uint32_t number() const { return number_; }

private:
    bool read(std::string& text) {
        char c = 0;
        bool any = false;
        while (in_.get(c)) {
            any = true;
            if (c == '\n') return true;
            if (text.size() == line_bytes_max) {
                too_long_ = true;
                ++number_;
                return false;
            }
            text += c;
        }
        return any;
    }

    std::istream& in_;
    std::uint32_t number_ = 0;
    bool too_long_ = false;
};

}  // namespace honbu

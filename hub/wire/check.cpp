#include <optional>

#include "hub/core/plain_text.h"
#include "hub/wire/parts.h"

namespace honbu::wire {
namespace {

std::optional<std::uint64_t> digits_of(const std::string& text) {
    if (text.size() != 16) return std::nullopt;
    std::uint64_t value = 0;
    for (const char c : text) {
        if (c >= '0' && c <= '9') {
            value = value << 4 | static_cast<std::uint64_t>(c - '0');
        } else if (c >= 'a' && c <= 'f') {
            value = value << 4 | static_cast<std::uint64_t>(c - 'a' + 10);
        } else {
            return std::nullopt;
        }
    }
    return value;
}

}  // namespace

std::uint64_t Check::name(const std::string& text, std::string_view field) {
    const std::optional<std::uint64_t> value = digits_of(text);
    // The text itself is not repeated: it may be anything, and the sentence ends on a screen.
    if (!value) {
        wrong(std::string(field) + " must be a name of 16 hex digits in lower case.");
        return 0;
    }
    if (*value == 0) {
        wrong(std::string(field) + " is all zeros, which names nobody; make a random name.");
    }
    return *value;
}

std::uint64_t Check::optional_name(const std::string& text, std::string_view field) {
    return text.empty() ? 0 : name(text, field);
}

std::uint64_t Check::hash(const std::string& text, std::string_view field) {
    if (text.empty()) return 0;
    const std::optional<std::uint64_t> value = digits_of(text);
    if (!value) {
        wrong(std::string(field) +
              " must be the first 16 hex digits of a SHA-256 in lower case, or empty.");
    }
    return value.value_or(0);
}

std::string Check::text(const std::string& text, std::size_t bytes_max, std::string_view field) {
    if (text.size() > bytes_max) {
        wrong(std::string(field) + " has " + std::to_string(text.size()) + " bytes; at most " +
              std::to_string(bytes_max) + " fit.");
    }
    // It is printed and logged: a line break in it could pass for a line of the hub's own.
    if (has_control(text)) {
        wrong(std::string(field) +
              " holds a line break or another control character; take it out.");
    }
    return without_hidden(text);
}

std::string Check::reason(const std::string& text, std::string_view field) {
    std::string reason = this->text(text, words_bytes_max, field);
    if (reason.find_first_not_of(' ') == std::string::npos) {
        wrong(std::string(field) +
              " is empty; what the desk changes is kept with the reason, so say why.");
    }
    return reason;
}

MatId Check::mat(std::uint32_t value, std::string_view field) {
    if (value == 0 || value > 65535) {
        wrong(std::string(field) + " is " + std::to_string(value) +
              "; mats are numbered from 1 to 65535.");
        return MatId{};
    }
    return MatId{static_cast<std::uint16_t>(value)};
}

BoutId Check::bout(std::uint32_t value, std::string_view field) {
    if (value == 0) wrong(std::string(field) + " is 0; bouts are numbered from 1.");
    return BoutId{value};
}

Side Check::side(v1::Side value, std::string_view field) {
    if (value != v1::SIDE_WHITE && value != v1::SIDE_BLUE) {
        wrong(std::string(field) + " is " + std::to_string(value) +
              "; it must be white (1) or blue (2).");
        return Side::white;
    }
    return static_cast<Side>(value);
}

Sides Check::sides(v1::Side value, std::string_view field) {
    if (value != v1::SIDE_WHITE && value != v1::SIDE_BLUE && value != v1::SIDE_BOTH) {
        wrong(std::string(field) + " is " + std::to_string(value) +
              "; it must be white (1), blue (2) or both (3).");
        return only(Side::white);
    }
    return Sides{static_cast<std::uint8_t>(value)};
}

std::uint8_t Check::count(std::uint32_t value, std::string_view field) {
    if (value > 255) {
        wrong(std::string(field) + " is " + std::to_string(value) + "; it must be from 0 to 255.");
        return 0;
    }
    return static_cast<std::uint8_t>(value);
}

std::uint8_t Check::flags(std::uint32_t value, Way way, std::string_view field) {
    if (value != 0 && way != Way::hantei) {
        wrong(std::string(field) + " is " + std::to_string(value) +
              "; flags are shown at a hantei only.");
        return 0;
    }
    if (value != 0 && value != 2 && value != 3) {
        wrong(std::string(field) + " is " + std::to_string(value) +
              "; a hantei is decided by 2 or 3 flags, 0 means not said.");
        return 0;
    }
    return static_cast<std::uint8_t>(value);
}

void Check::out_of_range(std::string_view field, int value, int first, int last) {
    wrong(std::string(field) + " is " + std::to_string(value) + "; it must be from " +
          std::to_string(first) + " to " + std::to_string(last) + ".");
}

}  // namespace honbu::wire

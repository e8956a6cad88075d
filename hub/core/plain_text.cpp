#include "hub/core/plain_text.h"

#include <algorithm>
#include <array>

#include "hub/core/combining_marks.h"

namespace honbu {
namespace {

constexpr char32_t replacement = 0xFFFD;
constexpr char32_t non_joiner = 0x200C;
constexpr char32_t joiner = 0x200D;

// Default_Ignorable_Code_Point of the Unicode Character Database (DerivedCoreProperties, 14.0),
// with the bidi controls of UAX #9 among them (U+061C, U+200E, U+200F, U+202A to U+202E, U+2066 to
// U+2069), and the interlinear annotations. Left out are the variation selectors, with which some
// names are written (Mongolian; Han of Japan), and the two joiners, which are looked at apart.
constexpr std::array hidden = std::to_array<CharacterRange>({
    {0xAD, 0xAD},
    {0x34F, 0x34F},
    {0x61C, 0x61C},
    {0x115F, 0x1160},
    {0x17B4, 0x17B5},
    {0x180E, 0x180E},
    {0x200B, 0x200B},
    {0x200E, 0x200F},
    {0x202A, 0x202E},
    {0x2060, 0x206F},
    {0x3164, 0x3164},
    {0xFEFF, 0xFEFF},
    {0xFFA0, 0xFFA0},
    {0xFFF0, 0xFFFB},
    {0x1BCA0, 0x1BCA3},
    {0x1D173, 0x1D17A},
    {0xE0000, 0xE00FF},
    {0xE01F0, 0xE0FFF},
});

bool is_control(char32_t c) {
    return c < 0x20 || (c >= 0x7F && c < 0xA0) || c == 0x2028 || c == 0x2029;
}

bool is_hidden(char32_t c) {
    return std::any_of(hidden.begin(), hidden.end(), [c](const CharacterRange& range) {
        return c >= range.first && c <= range.last;
    });
}

// Calls `each` with every character that is hidden, and where it stands.
template<class Each> void for_each_hidden(std::string_view text, const Each& each) {
    const std::string_view whole = text;
    char32_t before = 0;
    while (!text.empty()) {
        const std::size_t from = whole.size() - text.size();
        const char32_t c = take_character(text);
        bool goes = is_hidden(c);
        if (c == joiner || c == non_joiner) {
            std::string_view behind = text;
            const char32_t after = behind.empty() ? 0 : take_character(behind);
            goes = before < 0x80 || after < 0x80;
        }
        if (goes) {
            each(c, from, whole.size() - text.size());
        } else {
            before = c;
        }
    }
}

}  // namespace

char32_t take_character(std::string_view& text) {
    const auto byte = [&text](std::size_t i) {
        return static_cast<char32_t>(static_cast<unsigned char>(text[i]));
    };
    const char32_t first = byte(0);
    const std::size_t length = first < 0x80   ? 1
                               : first < 0xC2 ? 0
                               : first < 0xE0 ? 2
                               : first < 0xF0 ? 3
                               : first < 0xF5 ? 4
                                              : 0;
    if (length == 0 || length > text.size()) {
        text.remove_prefix(1);
        return replacement;
    }
    char32_t c = length == 1 ? first : first & (0xFFU >> (length + 1));
    for (std::size_t i = 1; i < length; ++i) {
        if ((byte(i) & 0xC0U) != 0x80U) {
            text.remove_prefix(i);
            return replacement;
        }
        c = c << 6 | (byte(i) & 0x3FU);
    }
    text.remove_prefix(length);
    return c;
}

bool has_control(std::string_view text) {
    while (!text.empty()) {
        if (is_control(take_character(text))) return true;
    }
    return false;
}

std::optional<char32_t> hidden_in(std::string_view text) {
    std::optional<char32_t> found;
    for_each_hidden(text, [&found](char32_t c, std::size_t, std::size_t) {
        if (!found) found = c;
    });
    return found;
}

std::string without_hidden(std::string_view text) {
    std::string out;
    std::size_t kept = 0;
    for_each_hidden(text, [&](char32_t, std::size_t from, std::size_t end) {
        out += text.substr(kept, from - kept);
        kept = end;
    });
    out += text.substr(kept);
    return out;
}

std::string text_problem(std::string_view text) {
    if (has_control(text)) return "holds a tab, a line break or another control character";
    if (const auto hidden_one = hidden_in(text)) {
        return "holds a character that can't be seen (" + code_point_text(*hidden_one) +
               ") and can make a text look like another one";
    }
    return {};
}

std::string code_point_text(char32_t character) {
    constexpr std::string_view digits = "0123456789ABCDEF";
    std::string out;
    for (char32_t rest = character; rest > 0 || out.size() < 4; rest >>= 4)
        out.insert(out.begin(), digits[rest & 0xFU]);
    return "U+" + out;
}

}  // namespace honbu

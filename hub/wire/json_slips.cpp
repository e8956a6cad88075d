#include "hub/wire/json_slips.h"

#include <array>

namespace honbu::wire {
namespace {

constexpr std::string_view blanks = " \t\r\n";

bool begins_with_curly_quote(std::string_view text) {
    constexpr std::array curly = {"\xE2\x80\x9C", "\xE2\x80\x9D", "\xE2\x80\x9E", "\xE2\x80\x98",
                                  "\xE2\x80\x99", "\xE2\x80\x9A", "\xC2\xAB",     "\xC2\xBB"};
    for (const std::string_view quote : curly) {
        if (text.starts_with(quote)) return true;
    }
    return false;
}

// The letters that go together from the front.
std::string_view whole_word(std::string_view text) {
    const std::size_t end = text.find_first_of(" \t\r\n{}[]:,\"'");
    return text.substr(0, end);
}

bool is_value(std::string_view word) {
    if (word == "true" || word == "false" || word == "null") return true;
    return word.find_first_not_of("0123456789+-.eE") == std::string_view::npos &&
           word.find_first_of("0123456789") != std::string_view::npos;
}

// Behind the closing quote of a text that begins at `at`; npos: it is not closed.
std::size_t behind_text(std::string_view line, std::size_t at) {
    for (std::size_t i = at + 1; i < line.size(); ++i) {
        if (line[i] == '\\') {
            ++i;
        } else if (line[i] == '"') {
            return i + 1;
        }
    }
    return std::string_view::npos;
}

// RFC 8259, section 7: what must be escaped, and how.
std::string_view slip_in_text(std::string_view text) {
    for (std::size_t i = 0; i < text.size(); ++i) {
        if (static_cast<unsigned char>(text[i]) < 0x20) {
            return "a text holds a line break or another control character; write it as \\n, or as "
                   "\\u and four digits.";
        }
        if (text[i] != '\\') continue;
        ++i;
        if (std::string_view("\"\\/bfnrtu").find(text[i]) == std::string_view::npos) {
            return "a text holds a \\ before something that takes none; a \\ itself is written "
                   "twice.";
        }
    }
    return {};
}

}  // namespace

std::string json_slip(std::string_view line, Slips where) {
    const bool message = where == Slips::of_a_message;
    const std::size_t first = line.find_first_not_of(blanks);
    if (first == std::string_view::npos) return {};
    if (line[first] == '[') {
        if (message) return "it is a list; send each message by itself, as one object in { }.";
        return "the calls stand in a list; write each call on a line of its own, without [ and ] "
               "around them and without commas between them.";
    }
    std::size_t open = 0;
    bool comma = false;  // the last mark
    for (std::size_t i = first; i < line.size();) {
        const char c = line[i];
        if (blanks.find(c) != std::string_view::npos) {
            ++i;
            continue;
        }
        if (begins_with_curly_quote(line.substr(i))) {
            return "it has the curly quotes of a word processor; write straight ones: \".";
        }
        if (open == 0 && i > first) {
            return c == ','  ? "there is a comma at its end; take it out."
                   : message ? "something stands behind its last }; send one object in a message."
                             : "something stands behind its last }; write one call a line.";
        }
        if (c == '\'') return "names and words stand in double quotes: \", not '.";
        if (c == '"') {
            const std::size_t begin = i;
            i = behind_text(line, i);
            if (i == std::string_view::npos) return "a quote \" is not closed.";
            const std::string_view wrong = slip_in_text(line.substr(begin, i - begin));
            if (!wrong.empty()) return std::string(wrong);
            comma = false;
            continue;
        }
        const bool closes = c == '}' || c == ']';
        if (closes && comma) {
            return std::string("there is a comma too many before ") + c + "; take it out.";
        }
        if (c == '{' || c == '[') ++open;
        if (closes && open > 0) --open;
        comma = c == ',';
        if (closes || comma || c == '{' || c == '[' || c == ':') {
            ++i;
            continue;
        }
        const std::string_view word = whole_word(line.substr(i));
        if (!is_value(word)) {
            return open == 0 ? "it does not begin with {."
                             : "names and words stand in double quotes: \".";
        }
        i += word.size();
    }
    return open == 0 ? std::string() : "its last } is missing.";
}

std::string plainer(std::string_view parser_words) {
    const auto says = [parser_words](std::string_view part) {
        return parser_words.find(part) != std::string_view::npos;
    };
    if (says("non UTF-8")) return "it is not UTF-8 text; save the file as UTF-8.";
    if (says("Repeated map key")) {
        const std::size_t begin = parser_words.find('\'');
        const std::size_t end = parser_words.find('\'', begin + 1);
        if (end == std::string_view::npos) return "a name stands twice; keep one.";
        return std::string(parser_words.substr(begin, end - begin + 1)) +
               " stands twice; keep one.";
    }
    if (says("Expected :")) return "a colon is missing between a name and its value.";
    if (says("Expected , or }")) return "a comma is missing between two of its parts.";
    return std::string(parser_words);
}

}  // namespace honbu::wire

#include "hub/competition/csv.h"

#include <algorithm>

#include "hub/core/plain_text.h"

namespace honbu {
namespace {

constexpr std::string_view no_break_space = "\xC2\xA0";

unsigned byte_at(std::string_view text, std::size_t i) {
    return static_cast<unsigned char>(text[i]);
}

bool continues(unsigned byte) { return (byte & 0xC0U) == 0x80U; }

// Length of the character at i by the table in RFC 3629 section 4; 0: not one. Overlong forms,
// surrogates and what lies above U+10FFFF show in the second byte.
std::size_t character_length(std::string_view text, std::size_t i) {
    const unsigned first = byte_at(text, i);
    if (first < 0x80) return 1;
    const std::size_t length = first < 0xC2   ? 0
                               : first < 0xE0 ? 2
                               : first < 0xF0 ? 3
                               : first < 0xF5 ? 4
                                              : 0;
    if (length == 0 || text.size() - i < length) return 0;
    const unsigned second = byte_at(text, i + 1);
    if (first == 0xE0 && second < 0xA0) return 0;
    if (first == 0xED && second > 0x9F) return 0;
    if (first == 0xF0 && second < 0x90) return 0;
    if (first == 0xF4 && second > 0x8F) return 0;
    for (std::size_t k = 1; k < length; ++k) {
        if (!continues(byte_at(text, i + k))) return 0;
    }
    return length;
}

std::size_t blank_at_front(std::string_view text) {
    if (text.starts_with(' ') || text.starts_with('\t')) return 1;
    return text.starts_with(no_break_space) ? no_break_space.size() : 0;
}

std::size_t blank_at_back(std::string_view text) {
    if (text.ends_with(' ') || text.ends_with('\t')) return 1;
    return text.ends_with(no_break_space) ? no_break_space.size() : 0;
}

std::string_view without_front_blanks(std::string_view text) {
    while (const std::size_t blank = blank_at_front(text))
        text.remove_prefix(blank);
    return text;
}

constexpr std::string_view written_twice = "a quote inside a quoted cell is written twice";

// Takes a quoted cell from the front of text, up to its separator. Returns what is wrong.
std::string take_quoted(std::string_view& text, char separator, std::string& cell) {
    text.remove_prefix(1);
    while (true) {
        const std::size_t quote = text.find('"');
        if (quote == std::string_view::npos) {
            return "a quoted cell is not closed; " + std::string(written_twice);
        }
        cell += text.substr(0, quote);
        text.remove_prefix(quote + 1);
        if (!text.starts_with('"')) break;
        cell += '"';
        text.remove_prefix(1);
    }
    text = without_front_blanks(text);
    if (text.empty() || text.front() == separator) return {};
    return "text stands behind a closing quote; " + std::string(written_twice);
}

std::string take_plain(std::string_view& text, char separator, std::string& cell) {
    cell = text.substr(0, text.find(separator));
    text.remove_prefix(cell.size());
    if (cell.find('"') == std::string::npos) return {};
    return "a quote stands in a cell that is not quoted; put the whole cell in quotes and write "
           "the quote inside twice";
}

}  // namespace

std::size_t utf8_length(std::string_view text) {
    std::size_t i = 0;
    while (i < text.size()) {
        const std::size_t length = character_length(text, i);
        if (length == 0) break;
        i += length;
    }
    return i;
}

std::size_t character_count(std::string_view text) {
    return static_cast<std::size_t>(std::count_if(text.begin(), text.end(), [](char c) {
        return !continues(static_cast<unsigned char>(c));
    }));
}

std::string_view without_blanks(std::string_view text) {
    text = without_front_blanks(text);
    while (const std::size_t blank = blank_at_back(text))
        text.remove_suffix(blank);
    return text;
}

std::string in_small_letters(std::string_view text) {
    std::string out(text);
    for (char& c : out) {
        if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
    }
    return out;
}

std::string shown(std::string_view text) {
    constexpr std::size_t characters_max = 40;
    const std::string seen = without_hidden(text);
    std::string out = "'";
    std::size_t characters = 0;
    for (std::string_view rest = seen; !rest.empty();) {
        if (characters++ == characters_max) {
            out += "...";
            break;
        }
        std::string_view behind = rest;
        take_character(behind);
        const std::string_view one = rest.substr(0, rest.size() - behind.size());
        out += has_control(one) ? " " : one;
        rest = behind;
    }
    return out + "'";
}

std::vector<std::string_view> lines_of(std::string_view text) {
    std::vector<std::string_view> lines;
    while (!text.empty()) {
        const std::size_t end = text.find('\n');
        std::string_view line = text.substr(0, end);
        text.remove_prefix(end == std::string_view::npos ? text.size() : end + 1);
        if (line.ends_with('\r')) line.remove_suffix(1);
        lines.push_back(line);
    }
    return lines;
}

bool is_empty_row(std::string_view line, char separator) {
    while (true) {
        line = without_front_blanks(line);
        if (!line.starts_with(separator)) return line.empty();
        line.remove_prefix(1);
    }
}

CsvRow cells_of(std::string_view line, char separator) {
    CsvRow row;
    while (true) {
        line = without_front_blanks(line);
        std::string cell;
        row.wrong = line.starts_with('"') ? take_quoted(line, separator, cell)
                                          : take_plain(line, separator, cell);
        if (!row.wrong.empty()) return row;
        row.cells.emplace_back(without_blanks(cell));
        if (line.empty()) return row;
        line.remove_prefix(1);  // the separator
    }
}

}  // namespace honbu

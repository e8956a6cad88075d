// Lines and cells of a CSV text, and what a cell's text is made of.
//
// RFC 4180 with three differences, all for people with spreadsheets: semicolons may separate,
// blanks around a cell are dropped, and a line break inside quotes is refused, so that line numbers
// are those an editor shows. Pure functions, any thread; views borrow from their argument.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace honbu {

// How many bytes at the beginning are UTF-8 as RFC 3629 has it; text.size() if all are.
std::size_t utf8_length(std::string_view text);

// Of UTF-8 text.
std::size_t character_count(std::string_view text);
std::string_view without_blanks(
    std::string_view text);  // spaces, tabs, no-break spaces at the ends

std::string in_small_letters(std::string_view text);  // ASCII letters only

// In quotes, for a message: short and on one line, whatever it was.
std::string shown(std::string_view text);

// Ends with LF or CRLF; the last line may end without.
std::vector<std::string_view> lines_of(std::string_view text);

// Blanks and separators only.
bool is_empty_row(std::string_view line, char separator);

struct CsvRow {
    std::vector<std::string> cells;  // without quotes and without blanks around
    std::string wrong;               // if not empty: what to mend, and the cells mean nothing
};
CsvRow cells_of(std::string_view line, char separator);

}  // namespace honbu

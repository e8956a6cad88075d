// Results and bout sheets as CSV: RFC 4180, UTF-8, a header line, commas, CRLF.
//
// Nothing in a cell is run by a spreadsheet: before each = + - @ tab or carriage return that would
// begin a cell, whichever character separates cells there, stands an apostrophe. Pure functions,
// any thread.
#pragma once

#include <initializer_list>
#include <string>
#include <string_view>

#include "hub/core/message.h"
#include "hub/core/sheet.h"

namespace honbu {

std::string csv_cell(std::string_view text);
std::string csv_row(std::initializer_list<std::string_view> cells);

std::string results_csv_head();
std::string results_csv_row(const Finished& item);
std::string sheet_csv(const BoutSheet& sheet);

}  // namespace honbu

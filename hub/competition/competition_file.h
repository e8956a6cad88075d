// The competition file: one CSV text in, a whole competition or everything that is wrong out.
//
// docs/competition-file.md is the contract, and the numbers of the checks are its numbers. Nothing
// is ever half-taken: with a single problem there is no competition. Reads no file and keeps
// nothing; pure functions, any thread.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "hub/competition/known_rules.h"
#include "hub/core/hub.h"

namespace honbu {

struct CsvFault {
    std::uint32_t line = 0;  // 1-based; 0: the file as a whole
    std::string column;      // empty: the line as a whole
    std::string reason;      // what is wrong and what to do
};

// At most 20 faults; if there are more, one last entry says "and N more".
std::variant<Competition, std::vector<CsvFault>> read_competition(std::string_view text,
                                                                  std::string title,
                                                                  const KnownRules& known);

// What is wrong with a competition's title, as with a cell of the file; empty: nothing.
std::string title_problem(std::string_view title);

// For people: "line 7, column mat: '21' is not a mat from 1 to 20".
std::string words(const CsvFault& fault);

}  // namespace honbu

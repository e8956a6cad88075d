// Competition files in one line: a good row, a row that is good but for some cells, and everything
// that is wrong with a text, as people read it.
#pragma once

#include <string>
#include <string_view>
#include <utility>
#include <variant>
#include <vector>

#include <gtest/gtest.h>

#include "hub/competition/competition_file.h"

namespace honbu::competition_rows {

using Sentences = std::vector<std::string>;

inline const std::string header =
    "bout,mat,category,rules,time,round,white,white_club,blue,blue_club\n";
// The end of the sentence about a rule set that is not there.
inline const std::string there_are =
    "; there are 2003, 2009, 2013, 2017, 2018, 2025, youth-decision, youth-running-clock and "
    "youth-short-golden-score";
inline const std::string if_your_own = "; add --rules FILE.rules if it is your own";
inline const std::string good_row =
    "1,1,women -57 kg,2025,4:00,final,Elin Testad,Dojo A,Ada Probe,Dojo B\n";

inline Sentences faults_of(std::string_view text, const KnownRules& known = {}) {
    const auto read = read_competition(text, "Test Cup", known);
    Sentences sentences;
    if (const auto* faults = std::get_if<std::vector<CsvFault>>(&read)) {
        for (const CsvFault& fault : *faults)
            sentences.push_back(words(fault));
    }
    return sentences;
}

inline Competition read(std::string_view text, const KnownRules& known = {}) {
    auto read = read_competition(text, "Test Cup", known);
    EXPECT_EQ(faults_of(text, known), Sentences{});
    auto* competition = std::get_if<Competition>(&read);
    return competition ? std::move(*competition) : Competition{};
}

// A file of one row, which is good but for the cells given.
struct Cell {
    std::string_view column;
    std::string text;
};
inline std::string row_with(const std::vector<Cell>& cells) {
    std::vector<Cell> row = {
        {"bout", "1"},    {"mat", "1"},           {"category", "-57 kg"}, {"rules", "2025"},
        {"time", "4:00"}, {"round", "final"},     {"white", "Elin"},      {"white_club", "Dojo A"},
        {"blue", "Ada"},  {"blue_club", "Dojo B"}};
    std::string line;
    for (Cell& own : row) {
        for (const Cell& cell : cells) {
            if (cell.column == own.column) own.text = cell.text;
        }
        line += own.text + ",";
    }
    line.back() = '\n';
    return line;
}
inline Sentences faults_with(const std::vector<Cell>& cells) {
    return faults_of(header + row_with(cells));
}

// One bout of the whole-file checks: everything else is good.
inline std::string bout(int number, std::string white, std::string blue, std::string mat = "1",
                        std::string category = "-57 kg") {
    const auto club = [](const std::string& side) { return side.find(" of ") < 10 ? "" : "Dojo"; };
    return row_with({{"bout", std::to_string(number)},
                     {"mat", std::move(mat)},
                     {"category", std::move(category)},
                     {"white", white},
                     {"white_club", club(white)},
                     {"blue", blue},
                     {"blue_club", club(blue)}});
}

inline std::string repeated(std::string_view text, std::size_t times) {
    std::string all;
    for (std::size_t i = 0; i < times; ++i)
        all += text;
    return all;
}

}  // namespace honbu::competition_rows

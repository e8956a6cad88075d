#include "hub/feed/tables_csv.h"

#include "engine/bout/clock_text.h"

namespace honbu {
namespace {

// Spreadsheets separate at semicolons or tabs where the comma is the decimal sign, and some then
// take the quotes for text: what follows one of these may find itself at a cell's beginning.
bool separates(char c) {
    return c == ',' || c == ';' || c == '\t' || c == '\n' || c == '\r' || c == '|' || c == '"';
}
// Also the full-width forms of these (U+FF1D, FF0B, FF0D, FF20), which some take for the same.
bool runs(std::string_view rest) {
    const char c = rest.front();
    if (c == '=' || c == '+' || c == '-' || c == '@' || c == '\t' || c == '\r') return true;
    return rest.starts_with("\xEF\xBC\x9D") || rest.starts_with("\xEF\xBC\x8B") ||
           rest.starts_with("\xEF\xBC\x8D") || rest.starts_with("\xEF\xBC\xA0");
}

std::string_view side_name(Winner winner) {
    switch (winner) {
    case Winner::undecided: return "";
    case Winner::white: return "first";
    case Winner::blue: return "second";
    case Winner::both_lose: return "both lose";
    case Winner::draw: return "draw";
    }
    return "";
}

std::string_view from_word(ResultFrom from) {
    switch (from) {
    case ResultFrom::table: return "table";
    case ResultFrom::paper: return "paper";
    case ResultFrom::desk: return "desk";
    case ResultFrom::other_record: return "other record";
    }
    return "";
}

std::string count(const BoardSide& side, Level level) {
    return std::to_string(side.score[index(level)]);
}

std::string_view yes(bool is) { return is ? "yes" : ""; }

}  // namespace

std::string csv_cell(std::string_view text) {
    std::string cell;
    bool quote = false;
    bool at_beginning = true;
    for (std::size_t i = 0; i < text.size(); ++i) {
        const char c = text[i];
        if (at_beginning && runs(text.substr(i))) cell += '\'';
        if (c == '"') cell += '"';
        quote = quote || separates(c) || c == '\'';
        // Blanks are dropped by many when they read, so a cell may begin after them.
        at_beginning = separates(c) || (at_beginning && c == ' ');
        cell += c;
    }
    const bool blanks = !text.empty() && (text.front() == ' ' || text.back() == ' ');
    return quote || blanks || cell.size() != text.size() ? "\"" + cell + "\"" : cell;
}

std::string csv_row(std::initializer_list<std::string_view> cells) {
    std::string row;
    std::string_view separator = "";
    for (const std::string_view cell : cells) {
        row += separator;
        row += csv_cell(cell);
        separator = ",";
    }
    return row + "\r\n";
}

std::string results_csv_head() {
    return csv_row({"number",       "mat",
                    "bout",         "category",
                    "round",        "first",
                    "first_club",   "second",
                    "second_club",  "winner",
                    "winner_name",  "way",
                    "result",       "points",
                    "golden_score", "time",
                    "first_ippon",  "first_waza_ari",
                    "first_yuko",   "first_koka",
                    "first_shido",  "first_hansoku_make",
                    "second_ippon", "second_waza_ari",
                    "second_yuko",  "second_koka",
                    "second_shido", "second_hansoku_make",
                    "from"});
}

std::string results_csv_row(const Finished& item) {
    const Result& result = item.result;
    const Seat& first = item.bout.white;
    const Seat& second = item.bout.blue;
    std::string_view winner;
    if (result.winner == Winner::white) winner = first.name;
    if (result.winner == Winner::blue) winner = second.name;
    return csv_row({std::to_string(item.number.value),
                    std::to_string(item.mat.value),
                    std::to_string(item.bout.bout.value),
                    item.bout.category,
                    item.bout.round,
                    first.name,
                    first.club,
                    second.name,
                    second.club,
                    side_name(result.winner),
                    winner,
                    word(result.way),
                    item.words,
                    std::to_string(result.points),
                    yes(result.golden_score),
                    clock_text(result.regular + result.golden),
                    count(result.white, Level::ippon),
                    count(result.white, Level::waza_ari),
                    count(result.white, Level::yuko),
                    count(result.white, Level::koka),
                    std::to_string(result.white.shido),
                    yes(result.white.hansoku_make),
                    count(result.blue, Level::ippon),
                    count(result.blue, Level::waza_ari),
                    count(result.blue, Level::yuko),
                    count(result.blue, Level::koka),
                    std::to_string(result.blue.shido),
                    yes(result.blue.hansoku_make),
                    from_word(item.from)});
}

std::string sheet_csv(const BoutSheet& sheet) {
    const std::string bout = std::to_string(sheet.bout.bout.value);
    const std::string mat = std::to_string(sheet.mat.value);
    std::string out = csv_row({"mat",
                               "bout",
                               "category",
                               "round",
                               "first",
                               "second",
                               "period",
                               "time",
                               "words",
                               "first_ippon",
                               "first_waza_ari",
                               "first_yuko",
                               "first_koka",
                               "first_shido",
                               "first_hansoku_make",
                               "second_ippon",
                               "second_waza_ari",
                               "second_yuko",
                               "second_koka",
                               "second_shido",
                               "second_hansoku_make"});
    for (const SheetLine& line : sheet.lines) {
        out += csv_row({mat,
                        bout,
                        sheet.bout.category,
                        sheet.bout.round,
                        sheet.bout.white.name,
                        sheet.bout.blue.name,
                        line.golden ? "golden score" : "regular time",
                        clock_text(line.elapsed),
                        line.words,
                        count(line.white, Level::ippon),
                        count(line.white, Level::waza_ari),
                        count(line.white, Level::yuko),
                        count(line.white, Level::koka),
                        std::to_string(line.white.shido),
                        yes(line.white.hansoku_make),
                        count(line.blue, Level::ippon),
                        count(line.blue, Level::waza_ari),
                        count(line.blue, Level::yuko),
                        count(line.blue, Level::koka),
                        std::to_string(line.blue.shido),
                        yes(line.blue.hansoku_make)});
    }
    return out;
}

}  // namespace honbu

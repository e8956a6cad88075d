#include "hub/competition/competition_file.h"

#include <algorithm>
#include <array>
#include <map>
#include <utility>

#include "hub/competition/csv.h"
#include "hub/competition/fault_list.h"
#include "hub/competition/row.h"
#include "hub/competition/whole.h"
#include "hub/core/plain_text.h"
#include "hub/insist.h"

namespace honbu {
namespace {

constexpr std::size_t file_bytes_max = std::size_t{1} << 20;
constexpr std::size_t bouts_max = 2000;
constexpr std::size_t title_characters_max = 60;
constexpr std::string_view byte_order_mark = "\xEF\xBB\xBF";

// What the header line says about all others.
struct Header {
    char separator = ',';
    std::array<std::size_t, column_names.size()> cell{};  // where each column stands
};

struct CsvLine {
    std::uint32_t number = 0;
    std::string_view text;
};

std::string ten_columns() {
    std::string all;
    for (const std::string_view column : column_names) {
        if (!all.empty()) all += ", ";
        all += column;
    }
    return all;
}

// What is wrong with the first line; empty: nothing, and the header is filled in. Checks 3 to 5.
std::string take_header(std::string_view line, Header& header) {
    if (without_blanks(line).empty()) {
        return "there is no header line; write the names of the ten columns there: " +
               ten_columns();
    }
    if (line.find('\r') != std::string_view::npos) {
        return "the lines end with CR alone; save the file so that they end with LF or CRLF";
    }
    const bool commas = line.find(',') != std::string_view::npos;
    const bool semicolons = line.find(';') != std::string_view::npos;
    if (commas && semicolons) {
        return "both commas and semicolons between the column names; use one of them";
    }
    if (!commas && !semicolons) {
        return "neither commas nor semicolons between the column names; save the file as CSV";
    }
    header.separator = commas ? ',' : ';';

    CsvRow row = cells_of(line, header.separator);
    if (!row.wrong.empty()) return row.wrong;
    for (std::string& cell : row.cells)
        cell = in_small_letters(cell);
    for (std::size_t i = 0; i < column_names.size(); ++i) {
        const auto found = std::find(row.cells.begin(), row.cells.end(), column_names[i]);
        if (found == row.cells.end()) {
            return "the column " + std::string(column_names[i]) +
                   " is missing; the ten columns are " + ten_columns();
        }
        header.cell[i] = static_cast<std::size_t>(found - row.cells.begin());
    }
    for (std::size_t i = 0; i < row.cells.size(); ++i) {
        const std::string& cell = row.cells[i];
        if (cell.empty()) {
            return "column " + std::to_string(i + 1) + " has no name; take it out";
        }
        const auto known = std::find(column_names.begin(), column_names.end(), cell);
        if (known == column_names.end())
            return "there is no column " + shown(cell) + "; take it out";
        const auto column = static_cast<std::size_t>(known - column_names.begin());
        if (header.cell[column] != i) return "the column " + cell + " stands twice; take one out";
    }
    return {};
}

// Checks 6 and 7: the cells of a line by column, or what is wrong with the line.
std::string take_cells(std::string_view line, const Header& header, Cells& cells) {
    CsvRow row = cells_of(line, header.separator);
    if (!row.wrong.empty()) return row.wrong;
    if (row.cells.size() != cells.size()) {
        return std::to_string(row.cells.size()) + (row.cells.size() == 1 ? " cell" : " cells") +
               ", but there are 10 columns; is a separator missing, or a name with a " +
               (header.separator == ',' ? "comma" : "semicolon") + " not quoted?";
    }
    for (std::size_t i = 0; i < cells.size(); ++i)
        cells[i] = std::move(row.cells[header.cell[i]]);
    return {};
}

// Everything a row names gets its number where it appears first.
class Numbering {
public:
    Numbering(std::string title, const KnownRules& known) : known_(known) {
        competition_.loaded.title = std::move(title);
    }

    void add(const Row& row) {
        CompetitionLoaded& loaded = competition_.loaded;
        BoutEntry bout;
        bout.bout = BoutId{row.bout};
        bout.mat = MatId{row.mat};
        bout.category = category(row);
        bout.round = row.round;
        bout.white = slot(row.white);
        bout.blue = slot(row.blue);
        loaded.bouts.push_back(std::move(bout));
    }

    Competition taken() && { return std::move(competition_); }

private:
    std::uint16_t category(const Row& row) {
        std::vector<CategoryEntry>& all = competition_.loaded.categories;
        const auto next = static_cast<std::uint16_t>(all.size());
        const auto [entry, is_new] = categories_.try_emplace(row.category, next);
        if (is_new) all.push_back({row.category, rule_set(row.rules), row.time, row.golden});
        return entry->second;
    }

    std::uint16_t rule_set(const std::string& wanted) {
        std::vector<RuleSet>& all = competition_.loaded.rules;
        const auto used = std::find_if(all.begin(), all.end(),
                                       [&](const RuleSet& r) { return r.name == wanted; });
        if (used != all.end()) return static_cast<std::uint16_t>(used - all.begin());
        const RuleSet* found = known_.find(wanted);
        INSIST(found != nullptr);  // check 12
        all.push_back(*found);
        return static_cast<std::uint16_t>(all.size() - 1);
    }

    Slot slot(const Entrant& side) {
        if (side.from != Slot::From::person) return {side.from, side.bout};
        std::vector<Person>& all = competition_.people;
        const PersonId next{static_cast<std::uint32_t>(all.size() + 1)};
        const auto [entry, is_new] = people_.try_emplace({side.athlete, side.club}, next);
        if (is_new) all.push_back({next, side.athlete, side.club});
        return {Slot::From::person, entry->second.value};
    }

    const KnownRules& known_;
    Competition competition_;
    std::map<std::string, std::uint16_t> categories_;
    std::map<std::pair<std::string, std::string>, PersonId> people_;  // name and club
};

std::vector<CsvFault> only(std::uint32_t line, std::string reason) {
    return {CsvFault{line, "", std::move(reason)}};
}

}  // namespace

std::variant<Competition, std::vector<CsvFault>> read_competition(std::string_view text,
                                                                  std::string title,
                                                                  const KnownRules& known) {
    if (text.size() > file_bytes_max) {
        return only(0, "the file is larger than 1 MiB; is this the right file?");
    }
    if (text.starts_with(byte_order_mark)) text.remove_prefix(byte_order_mark.size());
    const std::string_view good = text.substr(0, utf8_length(text));
    if (good.size() < text.size()) {
        const auto line = std::count(good.begin(), good.end(), '\n') + 1;
        return only(static_cast<std::uint32_t>(line),
                    "not UTF-8 text; save the file as \"CSV UTF-8\"");
    }

    const std::vector<std::string_view> lines = lines_of(text);
    Header header;
    std::string wrong = take_header(lines.empty() ? std::string_view{} : lines.front(), header);
    if (!wrong.empty()) return only(1, std::move(wrong));

    std::vector<CsvLine> bouts;
    for (std::size_t i = 1; i < lines.size(); ++i) {
        if (is_empty_row(lines[i], header.separator)) continue;
        bouts.push_back({static_cast<std::uint32_t>(i + 1), lines[i]});
    }
    if (bouts.empty()) return only(0, "the file has no bouts below its header line");
    if (bouts.size() > bouts_max) {
        return only(0, "the file has " + std::to_string(bouts.size()) +
                           " bouts, at most 2000 are possible; is this the right file?");
    }

    FaultList faults;
    std::vector<Row> rows;
    for (const CsvLine& line : bouts) {
        Cells cells;
        wrong = take_cells(line.text, header, cells);
        if (!wrong.empty()) {
            faults.add(line.number, "", std::move(wrong));
        } else {
            rows.push_back(read_row(line.number, cells, known, faults));
        }
    }
    if (faults.empty()) check_whole(rows, faults);
    if (!faults.empty()) return faults.all();

    Numbering numbering(std::move(title), known);
    for (const Row& row : rows)
        numbering.add(row);
    return std::move(numbering).taken();
}

std::string title_problem(std::string_view title) {
    if (utf8_length(title) < title.size()) return "it is not UTF-8 text";
    if (const std::string problem = text_problem(title); !problem.empty()) return "it " + problem;
    if (character_count(title) > title_characters_max) {
        return "it is longer than " + std::to_string(title_characters_max) + " characters";
    }
    const bool blank = !title.empty() && without_blanks(title).empty();
    return blank ? "it is only blanks" : "";
}

std::string words(const CsvFault& fault) {
    if (fault.line == 0) return fault.reason;
    std::string place = "line " + std::to_string(fault.line);
    if (!fault.column.empty()) place += ", column " + fault.column;
    return place + ": " + fault.reason;
}

}  // namespace honbu

#include "hub/competition/row.h"

#include <algorithm>
#include <charconv>

#include "engine/bout/clock_text.h"
#include "engine/bout/ruleset_text.h"
#include "hub/competition/csv.h"
#include "hub/core/plain_text.h"

namespace honbu {
namespace {

constexpr std::uint32_t bout_max = 9999;
constexpr std::uint32_t mat_max = 20;
constexpr std::size_t category_characters_max = 40;  // of a round, too
constexpr std::size_t athlete_characters_max = 60;   // of a club, too

// 1 to most, digits only.
std::optional<std::uint32_t> whole_number(std::string_view text, std::uint32_t most) {
    std::uint32_t value = 0;
    const char* end = text.data() + text.size();
    const auto [stop, error] = std::from_chars(text.data(), end, value);
    if (error != std::errc{} || stop != end || value == 0 || value > most) return std::nullopt;
    return value;
}

bool is_digit(char c) { return c >= '0' && c <= '9'; }

// Part of a word, in any script: beyond ASCII everything counts as a letter.
bool is_letter(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') ||
           static_cast<unsigned char>(c) >= 0x80;
}

std::string_view kind_word(Slot::From from) {
    switch (from) {
    case Slot::From::person: return "";
    case Slot::From::winner_of: return "winner";
    case Slot::From::loser_of: return "loser";
    }
    return "";
}

std::string reference_words(Slot::From from, std::uint32_t bout) {
    return std::string(kind_word(from)) + " of " + std::to_string(bout);
}

// Takes "of" as a word of its own from the front.
bool take_of(std::string_view& text) {
    text = without_blanks(text);
    if (!text.starts_with("of") || (text.size() > 2 && is_letter(text[2]))) return false;
    text = without_blanks(text.substr(2));
    return true;
}

// What is wrong with the text of a side, and if nothing is, who it names. Whoever is called Winner
// may stay so (Winner Ofori), but a number beside the word means a bout.
std::string take_side(std::string_view text, Entrant& entrant) {
    if (text.empty()) return "empty; write a name, or: winner of 3";
    entrant.athlete = text;
    const std::string small = in_small_letters(text);
    for (const auto from : {Slot::From::winner_of, Slot::From::loser_of}) {
        std::string_view rest = small;
        if (!rest.starts_with(kind_word(from))) continue;
        rest.remove_prefix(kind_word(from).size());
        const std::string_view behind = rest;
        const auto digits = std::find_if(behind.begin(), behind.end(), is_digit);
        const bool spaced = behind.empty() || !is_letter(behind.front());
        const bool of = spaced && take_of(rest);
        if (!of && digits == behind.end()) continue;
        if (const auto bout = of ? whole_number(rest, bout_max) : std::nullopt) {
            entrant = {from, *bout, "", ""};
            return {};
        }
        const auto digits_end = std::find_if_not(digits, behind.end(), is_digit);
        const auto meant = whole_number(std::string_view(digits, digits_end), bout_max);
        return shown(text) + " is not understood; write" +
               (meant ? ": " : " a bout's number, like: ") +
               reference_words(from, meant.value_or(3));
    }
    return {};
}

// What is wrong with a contest time that is no age group; empty: nothing.
std::string time_problem(std::string_view cell, std::optional<Duration> time,
                         const RuleSet* rules) {
    const std::string groups = rules == nullptr ? "" : group_names(*rules);
    if (cell.empty()) {
        return "empty; write a time like 4:00, in minutes:seconds" +
               (groups.empty() ? "" : ", or an age group: " + groups);
    }
    if (!time && is_digit(cell.front())) {
        return shown(cell) + " is not a time like 4:00; write minutes:seconds";
    }
    if (!time && groups.empty()) return {};  // the rule set is wrong, which is said already
    if (!time) {
        return "there is no age group " + shown(cell) + " in " + rules->name + "; there are " +
               groups + ", or write a time like 4:00";
    }
    const bool longer = *time > contest_max;
    if (!longer && *time >= contest_min) return {};
    return std::string(cell) + (longer ? " is longer than " : " is shorter than ") +
           clock_text(longer ? contest_max : contest_min) + "; write minutes:seconds";
}

std::size_t characters_max(Column column) {
    switch (column) {
    case Column::category:
    case Column::round: return category_characters_max;
    case Column::white:
    case Column::white_club:
    case Column::blue:
    case Column::blue_club: return athlete_characters_max;
    case Column::bout:
    case Column::mat:
    case Column::rules:
    case Column::time: return SIZE_MAX;  // their own checks leave no room
    }
    return SIZE_MAX;
}

// The cells of one line with its checks; a cell that failed one is not looked at again.
class Checked {
public:
    Checked(std::uint32_t line, const Cells& cells, FaultList& faults)
        : line_(line), cells_(cells), faults_(faults) {}

    const std::string& text(Column column) const { return cells_[at(column)]; }
    bool good(Column column) const { return !bad_[at(column)]; }
    void wrong(Column column, std::string reason) {
        bad_[at(column)] = true;
        faults_.add(line_, name(column), std::move(reason));
    }
    void wrong_line(std::string reason) { faults_.add(line_, "", std::move(reason)); }

    void characters() {  // check 8
        for (std::size_t i = 0; i < cells_.size(); ++i) {
            const auto column = static_cast<Column>(i);
            const std::size_t most = characters_max(column);
            if (std::string problem = text_problem(text(column)); !problem.empty()) {
                wrong(column, problem + "; write the cell anew");
            } else if (character_count(text(column)) > most) {
                wrong(column, "longer than " + std::to_string(most) + " characters");
            }
        }
    }

    std::uint32_t number(Column column, std::uint32_t most, std::string_view kind) {  // 9, 10
        if (!good(column)) return 0;
        const std::string range = std::string(kind) + " from 1 to " + std::to_string(most);
        const auto value = whole_number(text(column), most);
        if (value) return *value;
        const bool empty = text(column).empty();
        wrong(column, (empty ? "empty; write a " : shown(text(column)) + " is not a ") + range);
        return 0;
    }

    std::string filled(Column column, std::string_view example) {  // 11
        if (good(column) && text(column).empty()) {
            wrong(column, "empty; write the " + std::string(name(column)) +
                              ", for example: " + std::string(example));
        }
        return text(column);
    }

    const RuleSet* rule_set(const KnownRules& known) {  // 12
        const std::string& wanted = text(Column::rules);
        const RuleSet* found = known.find(wanted);
        if (!good(Column::rules) || found != nullptr) return found;
        const std::string none = "there is no rule set " + shown(wanted);
        const std::string there_are = "; there are " + known.names();
        const std::uint32_t first = faults_.first_line(none, line_);
        if (wanted.empty()) {
            wrong(Column::rules, "empty; write a rule set" + there_are);
        } else if (first < line_) {
            wrong(Column::rules, none + ", as on line " + std::to_string(first));
        } else {
            wrong(Column::rules, none + "; add --rules FILE.rules if it is your own" + there_are);
        }
        return nullptr;
    }

    void time(const RuleSet* rules, Row& row) {  // 13; a time, or an age group of the rule set
        if (!good(Column::time)) return;
        const std::string& cell = text(Column::time);
        const AgeGroup* group = rules == nullptr ? nullptr : rules->group(cell);
        if (group == nullptr && rules != nullptr) group = rules->group(in_small_letters(cell));
        const std::optional<Duration> time = group != nullptr ? group->time : clock_time(cell);
        std::string problem = group != nullptr ? "" : time_problem(cell, time, rules);
        if (!problem.empty()) wrong(Column::time, std::move(problem));
        row.time_cell = group != nullptr ? group->name : cell;
        row.time = time.value_or(Duration{});
        if (rules != nullptr) row.golden = rules->golden_limit_for(row.time, group);
    }

    Entrant side(Column column) {  // 14
        Entrant entrant;
        if (!good(column)) return entrant;
        std::string problem = take_side(text(column), entrant);
        if (!problem.empty()) wrong(column, std::move(problem));
        return entrant;
    }

    void club(Column column, Column side, Entrant& entrant) {  // 15
        if (!good(column) || !good(side)) return;
        if (entrant.from == Slot::From::person) {
            entrant.club = text(column);
        } else if (!text(column).empty()) {
            wrong(column, "must be empty beside '" + words(entrant) + "'");
        }
    }

private:
    static std::size_t at(Column column) { return static_cast<std::size_t>(column); }

    std::uint32_t line_;
    const Cells& cells_;
    FaultList& faults_;
    std::array<bool, std::tuple_size_v<Cells>> bad_{};
};

}  // namespace

std::string words(const Entrant& entrant) {
    if (entrant.from != Slot::From::person) return reference_words(entrant.from, entrant.bout);
    return entrant.club.empty() ? entrant.athlete : entrant.athlete + " (" + entrant.club + ")";
}

Row read_row(std::uint32_t line, const Cells& cells, const KnownRules& known, FaultList& faults) {
    Checked checked(line, cells, faults);
    Row row;
    row.line = line;
    checked.characters();
    row.bout = checked.number(Column::bout, bout_max, "number");
    row.mat = static_cast<std::uint16_t>(checked.number(Column::mat, mat_max, "mat"));
    row.category = checked.filled(Column::category, "women -57 kg");
    row.round = checked.filled(Column::round, "semi-final");
    const RuleSet* rules = checked.rule_set(known);
    row.rules = rules != nullptr ? rules->name : checked.text(Column::rules);
    checked.time(rules, row);
    row.white = checked.side(Column::white);
    row.blue = checked.side(Column::blue);
    checked.club(Column::white_club, Column::white, row.white);
    checked.club(Column::blue_club, Column::blue, row.blue);

    // Check 16, where all four cells can be trusted.
    const auto sides = {Column::white, Column::white_club, Column::blue, Column::blue_club};
    const bool trusted = std::all_of(sides.begin(), sides.end(),
                                     [&](Column column) { return checked.good(column); });
    if (trusted && row.white == row.blue) {
        checked.wrong_line(words(row.white) + " stands on both sides");
    }
    return row;
}

}  // namespace honbu

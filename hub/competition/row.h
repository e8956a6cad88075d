// One row of the competition file: its ten cells, and what they mean once checks 8 to 16 passed.
//
// What a row says about other rows is not looked at here (whole.h). Pure, any thread.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "engine/record/record.h"
#include "hub/competition/fault_list.h"
#include "hub/competition/known_rules.h"

namespace honbu {

enum class Column : std::uint8_t {
    bout,
    mat,
    category,
    rules,
    time,
    round,
    white,
    white_club,
    blue,
    blue_club,
};
inline constexpr std::array<std::string_view, 10> column_names = {
    "bout", "mat", "category", "rules", "time", "round", "white", "white_club", "blue", "blue_club",
};
constexpr std::string_view name(Column column) {
    return column_names[static_cast<std::size_t>(column)];
}

using Cells = std::array<std::string, column_names.size()>;  // by Column

// Who a side's two cells name: an athlete, or whoever wins or loses another bout.
struct Entrant {
    Slot::From from = Slot::From::person;
    std::uint32_t bout = 0;  // of winner_of and loser_of
    std::string athlete;
    std::string club;
    friend bool operator==(const Entrant&, const Entrant&) = default;
};
std::string words(const Entrant& entrant);  // "Elin Testad (Dojo Montebriar)", "winner of 3"

struct Row {
    std::uint32_t line = 0;
    std::uint32_t bout = 0;
    std::uint16_t mat = 0;
    std::string category;
    std::string rules;
    std::string time_cell;  // as written: "4:00", "juniors"
    Duration time;
    Duration golden;  // limit of golden score; 0: none
    std::string round;
    Entrant white;
    Entrant blue;
};

// Meaningful only if nothing was added to faults.
Row read_row(std::uint32_t line, const Cells& cells, const KnownRules& known, FaultList& faults);

}  // namespace honbu

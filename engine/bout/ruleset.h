// A rule set: everything in which the eras differ, as values. Nothing else knows a year.
//
// Parameters and their sources: docs/rules.md, "Rule sets". A rule set is one text file
// (engine/rules/*.rules, format in docs/rules.md); `parse_rules` refuses a wrong one with line,
// field and reason. The hash of a rule set covers its canonical encoding, not its text.
// Pure values, any thread.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "engine/bout/call.h"

namespace honbu {

// What the opponent's board shows after the n-th shido; `none` shows nothing.
enum class Equivalent : std::uint8_t { none = 0, koka = 1, yuko = 2, waza_ari = 3 };

enum class AtTime : std::uint8_t {
    scores = 1,            // level by level; equal goes on
    scores_then_shido = 2  // then fewer shido; equal goes on
};
enum class Tie : std::uint8_t { golden_score = 1, hantei = 2 };
enum class GoldenShido : std::uint8_t {
    nothing = 1,  // only hansoku-make ends golden score
    first = 2,    // the first shido ends it
    lead = 3,     // a shido that gives its receiver more than the opponent ends it
};
enum class GoldenHold : std::uint8_t {
    run_to_ippon = 1,         // decided from the first scoring second, but the hold goes on
    stop_at_first_score = 2,  // the first scoring second ends the hold and the bout
};
enum class BothHansokuMake : std::uint8_t { both_lose = 1, golden_score = 2 };

inline constexpr std::size_t shido_max = 4;

struct AgeGroup {
    std::string name;  // "seniors"
    Duration time;     // regular contest time
};

struct RuleSet {
    std::string name;                          // short: "2025"
    std::string title;                         // for people
    std::array<bool, level_count> levels{};    // which levels exist
    std::array<Duration, level_count> hold{};  // hold time that gives the level; 0: not by a hold
    bool two_waza_ari_are_ippon = true;
    bool sogo_gachi = false;     // own waza-ari plus the opponent's penalties worth one
    std::uint8_t shido_out = 3;  // this shido is hansoku-make
    std::array<Equivalent, shido_max> shido_equivalent{};
    AtTime at_time = AtTime::scores;
    Tie tie = Tie::golden_score;
    Duration golden_limit;  // 0: no limit
    bool golden_keeps_scores = true;
    bool golden_keeps_shido = true;
    GoldenShido golden_shido = GoldenShido::nothing;
    GoldenHold golden_hold = GoldenHold::run_to_ippon;
    BothHansokuMake both_hansoku_make = BothHansokuMake::both_lose;
    std::string white_word = "white";  // words of the two sides, first called first
    std::string blue_word = "blue";
    std::vector<AgeGroup> times;

    bool has(Level level) const { return levels[index(level)]; }
    Duration hold_for(Level level) const { return hold[index(level)]; }
};

struct RulesFault {
    std::uint32_t line = 0;  // 1-based; 0: the file as a whole
    std::string field;
    std::string reason;  // a sentence a volunteer understands, with what to do
};

std::variant<RuleSet, RulesFault> parse_rules(std::string_view text);

// The rule set that ships under this name.
std::optional<RuleSet> shipped(std::string_view name);

}  // namespace honbu

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
// What follows when time is up and all is equal.
enum class Tie : std::uint8_t { golden_score = 1, hantei = 2, hiki_wake = 3 };
enum class ClockRuns : std::uint8_t {
    to_mate = 1,   // mate stops it
    to_pause = 2,  // it runs through mate; only a called pause stops it
};
// Ippon for both by one call. In golden score both are always void.
enum class DoubleIppon : std::uint8_t { golden_score = 1, void_both = 2 };
// The end signal while a hold runs.
enum class EndSignal : std::uint8_t { sounds = 1, waits_for_hold = 2 };
enum class DecisionBy : std::uint8_t { flags = 1, one_person = 2 };
// How an athlete who is not there is called for.
enum class CallFor : std::uint8_t { countdown = 1, three_calls = 2 };
// What the book says of a grip on the leg: raises a prompt when something less is given.
enum class LegGrab : std::uint8_t { shido = 1, hansoku_make = 2, second_hansoku_make = 3 };
enum class ShidoGiven : std::uint8_t { after_mate = 1, on_the_spot = 2 };
enum class Colour : std::uint8_t { white = 1, blue = 2, red = 3 };  // of judogi or belt
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
    std::string name;                      // "seniors", "women"
    Duration time;                         // regular contest time
    std::optional<Duration> golden_limit;  // instead of the rule set's; 0: no limit
    friend bool operator==(const AgeGroup&, const AgeGroup&) = default;
};

// Sub-points of a win: the deciding level counts once.
struct Points {
    std::uint8_t ippon = 10;  // and what is worth it: awasete, hansoku-make, kiken- and fusen-gachi
    std::uint8_t waza_ari = 0;
    std::uint8_t yuko = 0;
    std::uint8_t koka = 0;
    std::uint8_t fewer_shido = 0;
    std::uint8_t hantei = 0;
    friend bool operator==(const Points&, const Points&) = default;
};

struct RuleSet {
    std::string name;                          // short: "2025"
    std::string title;                         // for people
    std::array<bool, level_count> levels{};    // which levels exist
    std::array<Duration, level_count> hold{};  // hold time that gives the level; 0: not by a hold
    bool two_waza_ari_are_ippon = true;
    bool sogo_gachi = false;        // own waza-ari plus the opponent's penalties worth one
    std::uint8_t ippon_needed = 1;  // so many, or their worth, end the bout
    DoubleIppon double_ippon = DoubleIppon::golden_score;
    std::uint8_t shido_out = 3;  // this shido is hansoku-make
    std::array<Equivalent, shido_max> shido_equivalent{};
    ShidoGiven shido_given = ShidoGiven::after_mate;
    LegGrab leg_grab = LegGrab::shido;
    BothHansokuMake both_hansoku_make = BothHansokuMake::both_lose;
    bool direct_excludes = false;  // a direct one ends the event for its receiver, whatever class
    ClockRuns clock_runs = ClockRuns::to_mate;
    EndSignal end_signal = EndSignal::sounds;
    AtTime at_time = AtTime::scores;
    Tie tie = Tie::golden_score;
    DecisionBy decision_by = DecisionBy::flags;  // of a hantei
    Duration golden_limit;                       // 0: no limit
    bool golden_as_contest = false;              // its limit is the regular time
    Tie golden_tie = Tie::hantei;                // at its limit, all equal: hantei or hiki-wake
    bool golden_keeps_scores = true;
    bool golden_keeps_shido = true;
    bool golden_keeps_medical = true;
    GoldenShido golden_shido = GoldenShido::nothing;
    GoldenHold golden_hold = GoldenHold::run_to_ippon;
    std::uint8_t bleeding_treatments = 2;  // of the same bleeding; the next raises a prompt
    CallFor call_for = CallFor::countdown;
    Duration call_wait = seconds(30);  // the countdown, or between two of the three calls
    bool default_at_third = true;      // three calls: at the third, else a wait after it
    Points points;
    std::string white_word = "white";  // words of the two sides, first called first
    std::string blue_word = "blue";
    Colour white_colour = Colour::white;
    Colour blue_colour = Colour::blue;
    std::vector<AgeGroup> times;
    friend bool operator==(const RuleSet&, const RuleSet&) = default;

    // The age group of this name, if there is one.
    const AgeGroup* group(std::string_view name) const;
    // The limit of golden score for a bout of this regular time; 0: none. `group` may be null.
    Duration golden_limit_for(Duration time, const AgeGroup* group) const;
    const std::string& side_word(Side side) const {
        return side == Side::white ? white_word : blue_word;
    }
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

// What a screen shows of one mat: the same facts for the hub's screens and for the table's own.
//
// A view is whole and carries frames: the state from the last call on, and one frame for each
// happening still to come. A screen shows the last frame that has begun and draws the clocks; it
// holds no rule. Frame instants are in whatever clock the caller's Timeline shift leads to.
// Pure functions, any thread.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "engine/bout/clock_text.h"
#include "engine/bout/fold.h"
#include "engine/record/record.h"

namespace honbu {

struct Seat {
    PersonId person;  // 0: not known yet
    std::string name;
    std::string club;
    Slot::From from = Slot::From::person;
    BoutId from_bout;
    friend bool operator==(const Seat&, const Seat&) = default;
};

struct BoutHead {
    BoutId bout;
    std::string category;
    std::string round;
    Seat white;
    Seat blue;
    std::string white_word;
    std::string blue_word;
    Colour white_colour = Colour::white;  // of judogi or belt, whatever the word is
    Colour blue_colour = Colour::blue;
    std::vector<Level> levels;  // high to low
    friend bool operator==(const BoutHead&, const BoutHead&) = default;
};

struct FrameShown {
    Instant from;
    Happening why = Happening::none;
    Phase phase = Phase::waiting;
    bool golden = false;
    bool time_up = false;
    bool clock_running = false;
    bool clock_down = true;
    Duration clock;  // remaining when counting down, elapsed when counting up
    bool hold_on = false;
    Side hold_by = Side::white;
    bool hold_running = false;
    Duration hold;
    std::uint8_t hold_reached = 0;
    BoardSide white;
    BoardSide blue;
    Winner winner = Winner::undecided;
    Way way = Way::none;
    std::string words;
    Duration regular;      // elapsed before golden score; total time is this and `clock`
    Duration limit;        // golden score ends at this; 0: never
    bool decided = false;  // the rules give a winner; everything can still be called
    bool review = false;
    bool signal_waits = false;  // time is up; the end signal sounds when the hold ends
    // The hold that ended last, as long as its value should be readable.
    bool past_hold = false;
    Side past_hold_by = Side::white;
    Duration past_hold_value;
    // Called for, and not there.
    Sides absent;
    std::uint8_t absent_calls = 0;
    bool absent_running = false;
    Duration absent_left;  // until the next call or the end of the countdown, counting down
    bool absent_over = false;
};

enum class TableLine : std::uint8_t { none = 0, live = 1, alone = 2 };

struct MatView {
    MatId mat;
    RecordNumber number;
    TableLine table = TableLine::none;
    bool has_bout = false;
    BoutHead bout;
    std::vector<FrameShown> frames;
    std::vector<BoutHead> next;
};

inline constexpr std::size_t next_shown = 2;  // bouts that follow, on every screen of a mat

// The levels that exist, high to low: what a board has a place for.
std::vector<Level> board_levels(const RuleSet& rules);

// What the rules say of a board: the sides' words and colours, the levels.
void put_rules(const RuleSet& rules, BoutHead& head);

// `shift_ms` carries the bout's timeline onto the viewer's clock.
FrameShown show(const Conditions& under, const Frame& frame, std::int64_t shift_ms);
std::vector<FrameShown> show_all(const Conditions& under, std::span<const Call> calls,
                                 std::int64_t shift_ms);
std::vector<FrameShown> show_all(const Conditions& under, const std::vector<Frame>& frames,
                                 std::int64_t shift_ms);

// The two seats changed if the names were exchanged.
BoutHead seated(BoutHead head, bool names_exchanged);

// The state in words for people: "golden score", "white wins by waza-ari".
std::string words(const RuleSet& rules, const State& state);
// The result in one line: "white wins by waza-ari, 4:00 + golden score 0:40 = 4:40".
std::string words(const RuleSet& rules, const Result& result);
// The rule that decided, as one sentence: "Two waza-ari are an ippon under these rules."
std::string because(const RuleSet& rules, const Result& result);

}  // namespace honbu

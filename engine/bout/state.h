// A bout's state at one instant of its timeline: what the fold makes of the calls.
//
// The timeline is the clock of the run in which the bout's first call was entered; joints carry
// later runs onto it. Clocks are given as (running, value, instant) so that a screen draws them by
// itself. Pure values, any thread.
#pragma once

#include <array>
#include <cstdint>
#include <string_view>

#include "engine/bout/call.h"
#include "engine/bout/instant.h"

namespace honbu {

// Raised whenever a kept journal would fold differently.
inline constexpr std::uint32_t fold_version = 2;

// What each takes: docs/bout.md, "The states of a bout". Decided is no phase but a fact beside
// it: the rules give a winner, and everything can still be called until kachi.
enum class Phase : std::uint8_t {
    waiting = 0,    // not called yet
    called = 1,     // names on the board, nothing has begun
    fighting = 2,   // between hajime and mate, or only the hold's clock after time is up
    stopped = 3,    // after mate, or the clock has run out
    frozen = 4,     // sono-mama
    over = 5,       // sore-made
    announced = 6,  // kachi
    confirmed = 7,  // by the table
    accepted = 8,   // by the desk
};

struct Stopwatch {
    bool running = false;
    Duration value;  // at `since`
    Instant since;
    constexpr Duration at(Instant t) const { return running ? value + (t - since) : value; }
    constexpr void start(Instant t) {
        if (!running) {
            running = true;
            since = t;
        }
    }
    constexpr void stop(Instant t) {
        value = at(t);
        running = false;
        since = t;
    }
};

struct Tally {  // what was given and noted, without equivalents
    std::array<std::uint8_t, level_count> score{};
    Means ippon_by = Means::none;  // the last ippon
    std::uint8_t shido = 0;
    std::uint8_t leg_grabs = 0;  // shido for a grip on the leg
    bool direct_hansoku_make = false;
    DirectClass direct_class = DirectClass::not_said;
    std::uint8_t doctor = 0;                          // times a doctor was at this athlete
    std::array<std::uint8_t, site_count> bleeding{};  // treatments, by index(site)
    bool asked_for_doctor = false;                    // himself, or the doctor stepped in
    std::uint8_t harm = 0;                            // bits: 1 << Harm
    Blame blame = Blame::not_said;                    // of the last injury
    std::uint8_t judogi = 0;                          // times it had to be put in order
};

struct Hold {
    bool on = false;
    Side by = Side::white;
    Stopwatch clock;
    std::uint8_t reached = 0;  // 0 or the Level reached so far
    // The last score called for the holder while it was on, which it may give by itself as well.
    std::uint8_t called = 0;
    Instant called_at;
};

// The hold that ended last. Its value stays readable until the next osaekomi or hajime, or for
// five seconds.
struct PastHold {
    bool readable = false;
    bool open = false;       // neither toketa nor mate has come for it yet
    bool by_signal = false;  // ended by reaching its last second: it may have been called before
    Side by = Side::white;
    Duration value;
    Instant ended;
    std::uint8_t reached = 0;  // 0 or the Level it gave
    bool decided = false;      // it had decided golden score when mate or sore-made ended it
    bool taken_out = false;    // and gives nothing: a penalty of the holder came before it
};

// What made a decision, and so what may still turn it.
enum class Basis : std::uint8_t {
    none = 0,
    score = 1,       // ippon or its worth, or the first score of golden score: stands
    comparison = 2,  // ahead when time was up: a call of that moment may still turn it
    hold = 3,        // a hold in golden score that has scored and goes on
    penalty = 4,
    person = 5,  // the referee's own word: only a later penalty or word goes over it
};

struct Decision {
    Winner winner = Winner::undecided;
    Way way = Way::none;
    Means means = Means::none;
    std::uint8_t flags = 0;  // of a hantei
    Instant at;
    Duration elapsed;  // contest time in its period
    Basis basis = Basis::none;
};

// Called for, and not there.
struct Absence {
    Sides who{};
    std::uint8_t calls = 0;
    Stopwatch clock;    // since the last call
    bool due = false;   // the next call
    bool over = false;  // the countdown is at zero, or the last call has passed
};

// A call that must have been missed: offered, never assumed.
enum class Missing : std::uint8_t { none = 0, hajime = 1, mate = 2 };

// Penalties given while the clocks stand are judged together, whatever their order.
struct Together {
    bool open = false;
    Decision before;
    std::array<std::uint8_t, 2> shido{};  // white, blue: before the first of them
    bool over_person = false;  // one of them goes over the referee's earlier word on the winner
};

struct State {
    Phase phase = Phase::waiting;
    bool golden = false;        // in golden score
    bool time_up = false;       // this period's time has run out
    bool time_up_late = false;  // and mate may still come, called before the signal
    Instant time_up_at;
    Stopwatch contest;            // elapsed in this period
    bool golden_next = false;     // regular time ended without a winner, whatever the board says
    bool frozen_running = false;  // the contest clock ran when sono-mama came
    Duration regular;             // elapsed in regular time, once golden score has begun
    Hold hold;
    PastHold past_hold;
    std::array<Tally, 2> tally;                                          // white, blue
    std::array<std::array<std::uint8_t, level_count>, 2> golden_base{};  // scores at its start
    Decision decision;
    Together together;
    Absence absence;
    Missing missing = Missing::none;
    Instant missing_since;
    // A toketa or mate that came just after the signal it should have come before: when it was
    // called, and the signal; 0: none.
    Instant late_call;
    Instant late_end;
    Instant twice;  // when a score was called that a hold has just given by itself; 0: none
    Side twice_by = Side::white;  // who held
    bool review = false;
    bool names_exchanged = false;
    bool ended_once = false;  // kachi was called, even if it can have no effect any more
    bool administrative = false;

    bool decided() const { return decision.winner != Winner::undecided; }
    const Tally& of(Side side) const { return tally[side == Side::white ? 0 : 1]; }
    Tally& of(Side side) { return tally[side == Side::white ? 0 : 1]; }
};

// One word for where the bout is: that of its phase, or "decided" where it is fighting or stopped
// and the rules give a winner.
std::string_view state_word(const State& state);

}  // namespace honbu

// A bout's state at one instant of its timeline: what the fold makes of the calls.
//
// The timeline is the clock of the run in which the bout's first call was entered; joints carry
// later runs onto it. Clocks are given as (running, value, instant) so that a screen draws them by
// itself. Pure values, any thread.
#pragma once

#include <array>
#include <cstdint>

#include "engine/bout/call.h"
#include "engine/bout/instant.h"

namespace honbu {

// Raised whenever a kept journal would fold differently.
inline constexpr std::uint32_t fold_version = 1;

enum class Phase : std::uint8_t {
    waiting = 0,    // not called yet
    called = 1,     // names on the board, nothing has begun
    fighting = 2,   // the contest clock runs, or only the hold's after time is up
    stopped = 3,    // after mate, or the clock has run out
    frozen = 4,     // sono-mama
    over = 5,       // sore-made
    announced = 6,  // kachi
    confirmed = 7,
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

struct Tally {  // what was given, without equivalents
    std::array<std::uint8_t, level_count> score{};
    std::uint8_t shido = 0;
    bool direct_hansoku_make = false;
};

struct Hold {
    bool on = false;
    Side by = Side::white;
    Stopwatch clock;
    std::uint8_t reached = 0;  // 0 or the Level reached so far
    bool decides = false;      // in golden score: this hold has decided the bout and runs on
};

struct Decision {
    Winner winner = Winner::undecided;
    Way way = Way::none;
    Instant at;
};

struct State {
    Phase phase = Phase::waiting;
    bool golden = false;          // in golden score
    bool time_up = false;         // this period's time has run out
    Stopwatch contest;            // elapsed in this period
    bool frozen_running = false;  // the contest clock ran when sono-mama came
    Duration regular;             // elapsed in regular time, once golden score has begun
    Hold hold;
    std::array<Tally, 2> tally;  // white, blue
    Decision decision;

    bool decided() const { return decision.winner != Winner::undecided; }
    const Tally& of(Side side) const { return tally[side == Side::white ? 0 : 1]; }
    Tally& of(Side side) { return tally[side == Side::white ? 0 : 1]; }
};

}  // namespace honbu

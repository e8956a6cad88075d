// The judging half of the fold: who wins, from the tallies, and what can be called in a state.
// Internal to engine/bout. Sources of every rule: docs/rules.md. Pure functions, any thread.
#pragma once

#include <optional>
#include <string>

#include "engine/bout/fold.h"

namespace honbu {

// This side is disqualified: directly, or by as many shido as the era allows and one more.
bool out(const RuleSet& rules, const Tally& tally);

// What the other side's shido show on this side's board, in eras where they do.
Equivalent equivalent(const RuleSet& rules, const Tally& other_tally);

// The way in which this side has reached ippon or its worth, or Way::none.
Way ippon_way(const RuleSet& rules, const State& state, Side side);

// Level by level from the top as shown: who is ahead, and by which level. Undecided: equal.
Decision compare(const RuleSet& rules, const State& state);

// Decided, but later calls may still turn it: by comparison when time is up, and by a hold in
// golden
// score that has scored and goes on. Every other decision stands from its instant on.
bool can_still_turn(const State& state);

inline constexpr const char* bout_is_open =
    "The bout is open: correct it, no reason is asked before kachi.";

// Nothing if it can be called; else why not and what to press instead. Strikes are not judged here.
std::optional<std::string> impossible(const Conditions& under, const State& state,
                                      const What& what);

}  // namespace honbu

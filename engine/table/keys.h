// The keys of a mat table: every call an operator can enter, by a lasting id, and how it fits now.
//
// The page binds buttons to ids and knows nothing else of the rules. `usual` is what one expects
// now, `unusual` is taken all the same and shown dimmed, `impossible` says what to press instead.
// Pure functions, any thread.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "engine/bout/fold.h"

namespace honbu {

enum class Fit : std::uint8_t { usual, unusual, impossible };

struct Key {
    std::string id;     // "waza_ari_white"
    std::string words;  // "waza-ari white", with the rule set's word for the side
    Fit fit = Fit::usual;
    std::string why;  // if impossible
};

// What this key means now ("start" depends on the state). `refers` is for "strike".
// Nothing: there is no such key.
std::optional<What> what_for(std::string_view id, const State& state, CallId refers);

// All keys that exist under these rules, in a fixed order.
std::vector<Key> keys(const Conditions& under, std::span<const Call> calls, const State& state);

// "waza-ari white": the call in words, with the rule set's word for the side.
std::string words_for(const RuleSet& rules, const What& what);

// Whom a call is about: bits of Sides, 0 for nobody in particular.
Sides sides_of(const What& what);

}  // namespace honbu

// The keys of a mat table: every call an operator can enter, by a lasting id, and how it fits now.
//
// The page binds buttons to ids and knows nothing else of the rules. `usual` is what one expects
// now, `unusual` is taken all the same and shown dimmed, `impossible` says what to press instead.
// What a pressed key means, with its argument, is engine/table/pressed.h. Pure, any thread.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "engine/bout/fold.h"

namespace honbu {

enum class Fit : std::uint8_t { usual, unusual, impossible };

struct Argument {
    std::string id;     // "leg_grab"
    std::string words;  // "grip on the leg"
};

struct Key {
    std::string id;     // "waza_ari_white"
    std::string words;  // "waza-ari white", with the rule set's word for the side
    Fit fit = Fit::usual;
    std::string why;                  // if impossible
    std::vector<Argument> arguments;  // what may follow the id after a colon
};

// What this key means without an argument ("start" depends on the state). Nothing: no such key.
std::optional<What> what_for(std::string_view id, const State& state);

// All keys that exist under these rules, in a fixed order.
std::vector<Key> keys(const Conditions& under, std::span<const Call> calls, const State& state);

// The id of the key for this call without its argument; empty: no key has it.
std::string_view id_for(const What& what);

// "waza-ari white", "shido blue: grip on the leg": with the rule set's word for the side.
std::string words_for(const RuleSet& rules, const What& what);

// Whom a call is about: bits of Sides, 0 for nobody in particular.
Sides sides_of(const What& what);

}  // namespace honbu

// What a pressed key means: the grammar of docs/table.md, section 4.
//
// `id`, `id:argument`, `back:ms:key`, `offer`, and what corrects a call of the list: `strike`,
// `give`, `replace:key`, `reason:argument`, `move:+ms`. Nothing is entered here; whether a call can
// be is for the fold. Pure functions, any thread.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "engine/table/keys.h"

namespace honbu {

struct Pressed {
    std::optional<What> what;
    Duration back;    // how long ago it took effect
    std::string why;  // if there is no call: what is wrong, and what to do
};

// A correction that this call is open to: an id to press on it, and words for its button.
using Correction = Argument;

// The bout a press is for. `now` is on its timeline.
struct AtTheMat {
    const Conditions& under;
    std::span<const Call> calls;
    const State& state;
    Instant now;
};

// `refers`: the call of the list on which a correction was pressed.
Pressed pressed(const AtTheMat& at, std::string_view key, CallId refers);

// What can be done about `call`, which stands as `is` (as replaced).
std::vector<Correction> corrections(const RuleSet& rules, const Call& call, const What& is);

}  // namespace honbu

// What may follow a key's id after a colon: a reason, a place that bleeds, a ground, a time.
//
// Internal to engine/table. Pure functions, any thread.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "engine/bout/fold.h"
#include "engine/table/keys.h"

namespace honbu {

// What the page can offer for this call; empty: it takes none, or one that is typed.
std::vector<Argument> arguments_of(const Conditions& under, const What& what);

// Puts the argument into the call. Empty: done. Otherwise what is wrong with it; `what` is then of
// no use.
std::string add_argument(const Conditions& under, const State& state, What& what,
                         std::string_view argument);

// Said if the key was pressed without the argument it can't do without; empty: it can.
std::string_view needs(const What& what);

}  // namespace honbu

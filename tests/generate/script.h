// What an operator presses: a contest as it is fought, or anything in any order, as keys.
//
// Calls of a contest become the keys that would enter them (docs/table.md, section 4); the table
// may refuse them, since what really stands there can be otherwise. One thread.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "engine/table/keys.h"
#include "tests/generate/contest.h"
#include "tests/generate/lots.h"

namespace honbu::generate {

struct KeyPress {
    std::uint32_t wait_ms = 0;  // since the one before
    std::string key;
    CallId as;                 // what the contest calls it
    std::optional<CallId> on;  // the contest's name for the call that it corrects
    bool on_any = false;       // on some call of the bout
};

std::vector<KeyPress> contest_script(const Conditions& under, Lots& lots);
std::vector<KeyPress> random_script(const Conditions& under, Lots& lots, std::uint32_t count);
std::vector<KeyPress> ending_script();
std::vector<KeyPress> correcting_script(Lots& lots);

}  // namespace honbu::generate

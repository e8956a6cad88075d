// What an operator presses: a contest as it is fought, or anything in any order, as keys.
//
// Calls of tests/generate become the keys that would enter them; the table may refuse them, since
// what really stands there can be otherwise. One thread.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "engine/table/keys.h"
#include "tests/generate/contest.h"
#include "tests/generate/lots.h"

namespace honbu::simulation {

struct Press {
    std::uint32_t wait_ms = 0;  // since the one before
    std::string key;
    CallId as;                 // what the contest calls it
    std::optional<CallId> on;  // the contest's name for the call that it corrects
    bool on_any = false;       // on some call of the bout
};

std::vector<Press> contest_script(const Conditions& under, generate::Lots& lots);
std::vector<Press> random_script(const Conditions& under, generate::Lots& lots,
                                 std::uint32_t count);
std::vector<Press> ending_script();
std::vector<Press> correcting_script(generate::Lots& lots);

}  // namespace honbu::simulation

// All rule sets that ship, made once: conditions only refer to a rule set, so it has to stay.
// Read-only after the first call. One thread makes them.
#pragma once

#include <vector>

#include "engine/bout/ruleset.h"

namespace honbu::generate {

const std::vector<RuleSet>& all_rules();

}  // namespace honbu::generate

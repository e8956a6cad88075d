// Rule set files that a person named, beside those that come with the program. Any thread.
#pragma once

#include <string>
#include <vector>

#include "hub/competition/known_rules.h"
#include "hub/fault.h"

namespace honbu {

// All of them, or the words for the first that can't be used.
[[nodiscard]] OrFault<KnownRules> read_rule_files(const std::vector<std::string>& files);

}  // namespace honbu

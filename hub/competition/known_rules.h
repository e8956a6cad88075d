// The rule sets a competition may be fought under: those that come with the program, and an
// organiser's own, each known by its name.
//
// An own one is taken whole or refused with line, field and reason; it never takes the place of
// another. Reads no file. A value, any thread.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "engine/bout/ruleset.h"

namespace honbu {

class KnownRules {
public:
    KnownRules();  // those that ship
    // The text of a rule set file; the fault, or nothing: it is taken, and is the last of all().
    std::optional<RulesFault> add(std::string_view text);

    // Capitals make no difference.
    const RuleSet* find(std::string_view name) const;
    const std::vector<RuleSet>& all() const { return all_; }
    std::string names() const;  // "2003, 2009 and ours"

private:
    std::vector<RuleSet> all_;
};

// "seniors men, seniors women and juniors"
std::string group_names(const RuleSet& rules);

// "ours.rules, line 6, hold.yuko: 'ten' is not a hold time; write ..."
std::string words(std::string_view file, const RulesFault& fault);

}  // namespace honbu

// The parts of reading a rule set file: its fields, and what no single field can see.
//
// Used by `parse_rules` alone; docs/rules.md section 12 explains each field. Pure, any thread.
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <string_view>

#include "engine/bout/ruleset.h"

namespace honbu {

// Empty: taken. Else what is wrong, as a sentence with what to write instead.
using Wrong = std::string;

struct RulesField {
    std::string_view name;
    bool needed;  // else it may be left out, or other fields say whether it must be there
    Wrong (*take)(RuleSet&, std::string_view value);
};
std::span<const RulesField> rules_fields();

inline constexpr std::string_view time_prefix = "time.";           // time.GROUP
inline constexpr std::string_view limit_prefix = "golden.limit.";  // golden.limit.GROUP

// time.GROUP = 4:00
Wrong take_group(RuleSet& rules, std::string_view group, std::string_view value);
// golden.limit.GROUP = 2:00, or none
Wrong read_limit(std::string_view value, Duration& out);

// Contest times and limits are within these, in a rule set and in a competition file.
inline constexpr Duration contest_min = seconds(30);
inline constexpr Duration contest_max = seconds(600);

// The line of each field, by its index; 0: not in the file.
class FieldLines {
public:
    explicit FieldLines(std::span<const std::uint32_t> lines) : lines_(lines) {}
    std::uint32_t of(std::string_view field) const;
    bool has(std::string_view field) const { return of(field) != 0; }

private:
    std::span<const std::uint32_t> lines_;
};

// The first contradiction between fields, with the field to look at; an empty reason: none.
struct Contradiction {
    std::string field;
    std::string reason;
};
Contradiction contradiction(const RuleSet& rules, const FieldLines& lines);

}  // namespace honbu

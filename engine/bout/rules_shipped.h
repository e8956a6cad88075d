// The rule set files of engine/rules/, compiled in. Generated at build time. Any thread.
#pragma once

#include <span>
#include <string_view>

namespace honbu {

struct ShippedRules {
    std::string_view name;  // the file's stem, which is also the rule set's name
    std::string_view text;
};
std::span<const ShippedRules> shipped_rules();

}  // namespace honbu

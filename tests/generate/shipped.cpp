#include "tests/generate/shipped.h"

#include "engine/bout/rules_shipped.h"

namespace honbu::generate {

const std::vector<RuleSet>& all_rules() {
    static const std::vector<RuleSet> all = [] {
        std::vector<RuleSet> out;
        for (const ShippedRules& each : shipped_rules()) {
            if (auto rules = shipped(each.name)) out.push_back(std::move(*rules));
        }
        return out;
    }();
    return all;
}

}  // namespace honbu::generate

// Small makers for tests: calls of one run, and rule sets that ship.
#pragma once

#include <vector>

#include "engine/bout/fold.h"

namespace honbu {

inline RuleSet rules_named(std::string_view name) {
    std::optional<RuleSet> found = shipped(name);
    if (!found) throw std::runtime_error("no rule set " + std::string(name));
    return *found;
}

// Calls of one run, numbered as entered.
class Calls {
public:
    explicit Calls(RunId run = RunId{7}) : run_(run) {}
    Calls& at(std::uint32_t ms, What what, std::uint32_t back_ms = 0) {
        Call call;
        call.id = CallId{run_, CallNumber{static_cast<std::uint32_t>(calls_.size() + 1)}};
        call.entered = Instant{ms};
        call.back = Duration{back_ms};
        call.what = std::move(what);
        calls_.push_back(std::move(call));
        return *this;
    }
    Strike strike(std::uint32_t number) const { return Strike{CallId{run_, CallNumber{number}}}; }
    const std::vector<Call>& all() const { return calls_; }

private:
    RunId run_;
    std::vector<Call> calls_;
};

}  // namespace honbu

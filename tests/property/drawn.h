// What the properties draw: a shipped rule set with one of its times, and presses at a table.
//
// RapidCheck makes a counterexample smaller before it shows it; it is then printed as the calls it
// came to. The seed is fixed (seed.cpp), so that a run says the same each time. One thread.
#pragma once

#include <gtest/gtest.h>
#include <rapidcheck.h>
#include <rapidcheck/gtest.h>

#include <ostream>

#include "tests/generate/listed.h"
#include "tests/generate/presses.h"
#include "tests/generate/shipped.h"

namespace honbu {

using generate::all_rules;
using generate::listed;

struct Drawn {
    std::uint32_t rules = 0;
    std::uint32_t group = 0;
    std::vector<generate::Press> presses;

    const RuleSet& set() const { return all_rules()[rules % all_rules().size()]; }
    Conditions under() const {
        const AgeGroup& age = set().times[group % set().times.size()];
        return {set(), age.time, set().golden_limit_for(age.time, &age)};
    }
};

inline void showValue(const Drawn& drawn, std::ostream& out) {
    const Conditions under = drawn.under();
    for (const auto asking : {generate::Asking::asked, generate::Asking::unasked}) {
        generate::Sitting sitting(under, asking);
        sitting.press_all(drawn.presses);
        out << (asking == generate::Asking::asked ? "\nasked, rules of " : "\nunasked, rules of ")
            << drawn.set().name << ", " << under.time.ms << " ms" << listed(sitting.calls());
    }
}

}  // namespace honbu

namespace rc {

template<> struct Arbitrary<honbu::generate::Press> {
    static Gen<honbu::generate::Press> arbitrary() {
        using honbu::generate::Press;
        // Drawn evenly whatever the size asked for: a small bout may be as odd as a long one.
        return gen::build<Press>(
            gen::set(&Press::kind, gen::resize(100, gen::inRange<std::uint8_t>(0, 56))),
            gen::set(&Press::gap, gen::resize(100, gen::arbitrary<std::uint16_t>())),
            gen::set(&Press::detail, gen::resize(100, gen::arbitrary<std::uint32_t>())));
    }
};

template<> struct Arbitrary<honbu::Drawn> {
    static Gen<honbu::Drawn> arbitrary() {
        using honbu::Drawn;
        return gen::build<Drawn>(
            gen::set(&Drawn::rules, gen::resize(100, gen::inRange<std::uint32_t>(0, 64))),
            gen::set(&Drawn::group, gen::resize(100, gen::inRange<std::uint32_t>(0, 64))),
            gen::set(&Drawn::presses,
                     gen::resize(60, gen::arbitrary<std::vector<honbu::generate::Press>>())));
    }
};

}  // namespace rc

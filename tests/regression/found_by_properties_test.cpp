// Faults that random calls (tests/property, tests/fuzz) have found, as the shortest bout that shows
// each. Rules by their ids in docs/rules.md.
#include <gtest/gtest.h>

#include "tests/unit/bouts.h"

namespace honbu {
namespace {

// A hold's level that was taken away by awasete came a second time, at an instant gone by.
TEST(FoundByProperties, StepsGoForwardWhenAwaseteIsCalledOverAHold) {
    const RuleSet rules = rules_named("2025");
    const Conditions under{rules, seconds(240), Duration{}};
    Calls calls;
    calls.at(100'000, Osaekomi{Side::white}).at(128'067, Awasete{Side::blue});
    calls.at(128'067, Osaekomi{Side::blue}, 5'001);
    Instant before;
    for (const Step& step : steps(under, calls.all(), Instant{300'000})) {
        EXPECT_GE(step.at, before);
        before = step.at;
    }
}

// The clock was set back, so time was not up after all; the next shido brought the decision of the
// signal back.
TEST(FoundByProperties, ADecisionAtTimeStaysUndoneOnceTheClockIsSetBack) {
    const RuleSet rules = rules_named("2013");
    const Conditions under{rules, seconds(240), Duration{}};
    Calls calls;
    calls.at(0, Hajime{})
        .at(100'000, Shido{only(Side::white)})
        .at(241'000, Shido{only(Side::white)});
    EXPECT_EQ(fold(under, calls.all(), Instant{241'000}).state.decision.winner, Winner::blue);
    calls.at(242'000, SetClock{seconds(200)}).at(243'000, Shido{only(Side::blue)});
    EXPECT_FALSE(fold(under, calls.all(), Instant{243'000}).state.decided());
}

// Both had direct hansoku-make and had lost; kiken-gachi then made one of them the winner.
TEST(FoundByProperties, KikenGachiMakesNoWinnerOfOneWhoIsOut) {
    const RuleSet rules = rules_named("2003");
    const Conditions under{rules, seconds(300), seconds(300)};
    Calls calls;
    calls.at(0, Hajime{}).at(9'000, HansokuMake{both_sides()});
    calls.at(10'000, Award{Side::white, Way::kiken_gachi});
    EXPECT_EQ(fold(under, calls.all(), Instant{11'000}).state.decision.winner, Winner::both_lose);
}

// A run's clock at the end of its 49 days came round to zero, and time was up before it began.
TEST(FoundByProperties, AClockAtItsEndDoesNotComeRound) {
    const RuleSet rules = rules_named("2018");
    const Conditions under{rules, seconds(240), Duration{}};
    Calls calls;
    calls.at(100'000, Called{}).at(0xffffffffU, Hajime{});
    const std::vector<Step> all = steps(under, calls.all(), Instant{0xffffffffU});
    ASSERT_GE(all.size(), 2U);
    for (std::size_t i = 1; i < all.size(); ++i)
        EXPECT_GE(all[i].at, all[i - 1].at);
}

}  // namespace
}  // namespace honbu

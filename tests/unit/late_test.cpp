// The press always comes after the call, and decided is not ended: what a table may still enter,
// what it is offered, and what a person is asked (docs/bout.md, "The states of a bout").
#include <gtest/gtest.h>

#include "tests/unit/bouts.h"

namespace honbu {
namespace {

Conditions under() {
    static const RuleSet rules = rules_named("2018");
    return {rules, seconds(240), {}};
}

State at(const Calls& calls, std::uint32_t ms) {
    return fold(under(), calls.all(), Instant{ms}).state;
}

std::string no(const Calls& calls, std::uint32_t ms, const What& what) {
    Calls more = calls;
    more.at(ms, what);
    return no_entry(under(), calls.all(), more.all().back()).value_or("");
}

TEST(Decided, TakesEveryLateCallUntilKachi) {
    const std::vector<What> late{Score{Side::blue, Level::waza_ari},
                                 Osaekomi{Side::blue},
                                 Shido{only(Side::blue)},
                                 HansokuMake{only(Side::blue)},
                                 Mate{},
                                 Hajime{},
                                 SoreMade{}};
    Calls ippon;
    ippon.at(0, Hajime{}).at(20'000, Score{Side::white, Level::ippon});
    Calls hold;
    hold.at(0, Hajime{}).at(20'000, Osaekomi{Side::white});  // ippon at 40 s
    Calls time;
    time.at(0, Hajime{}).at(20'000, Score{Side::white, Level::waza_ari});
    for (const What& what : late) {
        EXPECT_EQ(no(ippon, 21'000, what), "") << word(what);
        EXPECT_EQ(no(hold, 40'500, what), "") << word(what);
        EXPECT_EQ(no(time, 240'500, what), "") << word(what);
    }
    EXPECT_EQ(no(hold, 40'500, Toketa{}), "");
}

TEST(Offer, AMissingHajimeIsPutInWhereTheHoldBegan) {
    Calls calls;
    calls.at(1'000, Called{}).at(10'000, Osaekomi{Side::white});
    EXPECT_EQ(no(calls, 15'000, Score{Side::white, Level::waza_ari}), "");
    const auto offered = offers(under(), calls.all(), at(calls, 19'000), Instant{19'000});
    ASSERT_EQ(offered.size(), 1U);
    EXPECT_EQ(offered[0].words, "Hajime is missing: white holds. Put it in 9 s ago?");
    calls.at(19'000, offered[0].what, 19'000 - offered[0].at.ms);
    const State s = at(calls, 20'000);
    EXPECT_EQ(s.contest.at(Instant{20'000}).ms, 10'001U);  // just before the hold
    EXPECT_TRUE(offers(under(), calls.all(), s, Instant{20'000}).empty());
}

TEST(Offer, ALateToketaCanBePutBeforeTheSignal) {
    Calls calls;
    calls.at(0, Hajime{}).at(10'000, Osaekomi{Side::white}).at(30'600, Toketa{});
    const auto offered = offers(under(), calls.all(), at(calls, 31'000), Instant{31'000});
    ASSERT_EQ(offered.size(), 1U);
    EXPECT_EQ(offered[0].words,
              "Toketa came 0.6 s after the signal. Was it called before? Then put it there.");
    calls.at(31'000, offered[0].what);
    const State s = at(calls, 32'000);
    EXPECT_FALSE(s.decided());
    EXPECT_EQ(s.past_hold.value.ms, 19'999U);
    EXPECT_TRUE(offers(under(), calls.all(), s, Instant{32'000}).empty());
}

TEST(Offer, ALateMateCanBePutBeforeTheEndOfTime) {
    Calls calls;
    calls.at(0, Hajime{}).at(20'000, Score{Side::white, Level::waza_ari}).at(240'300, Mate{});
    const auto offered = offers(under(), calls.all(), at(calls, 240'300), Instant{240'300});
    ASSERT_EQ(offered.size(), 1U);
    calls.at(241'000, offered[0].what);
    EXPECT_FALSE(at(calls, 242'000).time_up);
    EXPECT_EQ(at(calls, 242'000).contest.value.ms, 239'999U);
}

TEST(Offer, AShidoWithTheClockRunningOffersMate) {
    Calls calls;
    calls.at(0, Hajime{}).at(20'000, Shido{only(Side::white)});
    const auto offered = offers(under(), calls.all(), at(calls, 24'000), Instant{24'000});
    ASSERT_EQ(offered.size(), 1U);
    EXPECT_TRUE(std::holds_alternative<Mate>(offered[0].what));
    EXPECT_EQ(offered[0].at.ms, 20'000U);
}

// [S3 p32][S11 Art.29]: the same bleeding is treated twice; what follows is a person's decision.
TEST(Prompt, TheThirdTreatmentOfTheSameBleedingDecidesNothing) {
    Calls calls;
    calls.at(0, Hajime{});
    for (std::uint32_t i = 1; i <= 3; ++i) {
        EXPECT_TRUE(prompts(under(), at(calls, 10'000 * i)).empty());
        calls.at(10'000 * i, Bleeding{Side::white, Site::nose});
    }
    const State s = at(calls, 31'000);
    EXPECT_FALSE(s.decided());
    ASSERT_EQ(prompts(under(), s).size(), 1U);
    EXPECT_EQ(prompts(under(), s)[0],
              "Treatment 3 of the same bleeding of white (nose). Ask the referee and the doctor: "
              "kiken-gachi for blue?");
    Calls elsewhere;  // another bleeding is another count
    elsewhere.at(0, Hajime{}).at(1, Bleeding{Side::white, Site::nose});
    elsewhere.at(2, Bleeding{Side::white, Site::nose}).at(3, Bleeding{Side::white, Site::hand});
    EXPECT_TRUE(prompts(under(), at(elsewhere, 1'000)).empty());
}

// [S10 Art.28][S16 id453]: the board counts down 30 s; a person gives fusen-gachi.
TEST(Prompt, TheCountdownAtZeroDecidesNothing) {
    Calls calls;
    calls.at(0, Called{}).at(10'000, Absent{only(Side::blue)});
    EXPECT_FALSE(at(calls, 39'999).absence.over);
    const State s = at(calls, 40'000);
    EXPECT_TRUE(s.absence.over);
    EXPECT_FALSE(s.decided());
    EXPECT_EQ(prompts(under(), s).size(), 1U);
    EXPECT_EQ(no(calls, 41'000, Award{Side::white, Way::fusen_gachi}), "");
    calls.at(39'000 + 5'000, Present{});
    EXPECT_FALSE(at(calls, 45'000).absence.over);
}

// [S6 Art.28][S10 Art.28]: three calls a minute apart.
TEST(Prompt, ThreeCallsOneMinuteApart) {
    const RuleSet old = rules_named("2003");
    const Conditions then{old, seconds(300), seconds(300)};
    Calls calls;
    calls.at(0, Absent{only(Side::white)});
    EXPECT_TRUE(fold(then, calls.all(), Instant{60'000}).state.absence.due);
    calls.at(61'000, Absent{only(Side::white)}).at(121'000, Absent{only(Side::white)});
    const State s = fold(then, calls.all(), Instant{121'000}).state;
    EXPECT_EQ(s.absence.calls, 3);
    EXPECT_EQ(s.absence.over, old.default_at_third);
}

// The leg grab of 2013-16 was hansoku-make [S14f], of 2017 the second [S14a].
TEST(Prompt, AGripOnTheLegIsAskedAbout) {
    for (const auto& [name, asked_at] : {std::pair{"2013", 1}, {"2017", 2}, {"2018", 0}}) {
        const RuleSet era = rules_named(name);
        Calls calls;
        calls.at(0, Hajime{});
        for (int i = 1; i <= 2; ++i) {
            calls.at(static_cast<std::uint32_t>(i * 1'000),
                     Shido{only(Side::blue), Reason::leg_grab});
            const State s = fold({era, seconds(240), {}}, calls.all(), Instant{3'000}).state;
            EXPECT_FALSE(s.decided());
            EXPECT_EQ(prompts({era, seconds(240), {}}, s).empty(), asked_at == 0 || i < asked_at)
                << name << " " << i;
        }
    }
}

TEST(Review, HoldsBackConfirmAndNothingElse) {
    Calls calls;
    calls.at(0, Hajime{}).at(10'000, Review{});
    EXPECT_TRUE(at(calls, 20'000).contest.running);
    calls.at(20'000, Score{Side::white, Level::ippon}).at(21'000, SoreMade{}).at(22'000, Kachi{});
    EXPECT_EQ(at(calls, 22'000).phase, Phase::announced);
    EXPECT_EQ(no(calls, 23'000, Confirm{}), "A review is on: end it first.");
    calls.at(25'000, ReviewOver{});
    EXPECT_EQ(no(calls, 27'000, Confirm{}), "");
}

// Two penalties of one pause are one judgement, whatever the order of the presses
// (docs/rules.md, "Penalties"). From memory for 2018: both lose [S16 id451 Art.18.1 in one call].
TEST(Together, PenaltiesWhileTheClockStands) {
    for (const bool white_first : {true, false}) {
        const Side first = white_first ? Side::white : Side::blue;
        Calls calls;
        calls.at(0, Hajime{}).at(1'000, Mate{}).at(1'100, Shido{both_sides()});
        calls.at(2'000, Hajime{}).at(3'000, Mate{}).at(3'100, Shido{both_sides()});
        calls.at(4'000, Hajime{}).at(5'000, Mate{}).at(5'100, Shido{only(first)});
        calls.at(5'900, Shido{only(other(first))});
        EXPECT_EQ(at(calls, 6'000).decision.winner, Winner::both_lose);
    }
    // 2013: the first shido of golden score loses [S10 Art.27]; one to each decides nothing.
    const RuleSet old = rules_named("2013");
    const Conditions then{old, seconds(10), {}};
    Calls calls;
    calls.at(0, Hajime{}).at(11'000, Hajime{}).at(12'000, Mate{});
    calls.at(12'100, Shido{only(Side::white)});
    EXPECT_EQ(fold(then, calls.all(), Instant{12'200}).state.decision.winner, Winner::blue);
    calls.at(13'000, Shido{only(Side::blue)});
    EXPECT_FALSE(fold(then, calls.all(), Instant{13'100}).state.decided());
}

// [S10 Art.20][S11 Art.20], the reading "golden score" from memory.
TEST(DoubleIppon, InOneCallGoesToGoldenScoreAndIsVoidInIt) {
    Calls calls;
    calls.at(0, Hajime{}).at(5'000, Score{Side::white, Level::waza_ari});
    calls.at(9'000, Score{both_sides(), Level::ippon});
    State s = at(calls, 10'000);
    EXPECT_FALSE(s.decided());
    EXPECT_TRUE(s.time_up);
    calls.at(11'000, Mate{});  // the pause before golden score decides nothing either
    EXPECT_FALSE(at(calls, 11'000).decided());
    calls.at(20'000, Hajime{}).at(25'000, Score{both_sides(), Level::ippon});
    s = at(calls, 26'000);
    EXPECT_TRUE(s.golden);
    EXPECT_FALSE(s.decided());
    EXPECT_TRUE(s.contest.running);
    calls.at(30'000, Score{Side::blue, Level::waza_ari});  // the first score in it wins
    EXPECT_EQ(at(calls, 31'000).decision.winner, Winner::blue);
}

// RULES of every era: who is disqualified can't have won (docs/rules.md, section 9, beyond single
// bouts).
TEST(Award, GoesToNobodyWhoIsOut) {
    Calls calls;
    calls.at(0, Hajime{}).at(5'000, HansokuMake{only(Side::blue)});
    EXPECT_EQ(no(calls, 6'000, Award{Side::blue, Way::kiken_gachi}),
              "Blue has hansoku-make and can't win.");
}

// A throw in golden score decides at once: a hold that has reached nothing does not run on.
TEST(GoldenScore, AThrowOverAHoldThatHasReachedNothingEndsBoth) {
    const RuleSet now = rules_named("2025");
    const Conditions then{now, seconds(240), {}};
    Calls calls;
    calls.at(0, Hajime{}).at(245'000, Hajime{}).at(250'000, Osaekomi{Side::white});
    calls.at(251'000, Score{Side::white, Level::yuko});
    State s = fold(then, calls.all(), Instant{252'000}).state;
    EXPECT_EQ(s.decision.winner, Winner::white);
    EXPECT_FALSE(s.hold.on);
    calls.at(253'000, Mate{}).at(254'000, Shido{only(Side::white)});
    s = fold(then, calls.all(), Instant{255'000}).state;
    EXPECT_EQ(s.decision.winner, Winner::white);
}

// Called as one it ends a running hold, whose it is; the same athlete's gives nothing beside it.
TEST(Awasete, EndsAnyHold) {
    for (const Side by : {Side::white, Side::blue}) {
        Calls calls;
        calls.at(0, Hajime{}).at(1'000, Osaekomi{by}).at(13'000, Awasete{Side::white});
        const State s = at(calls, 60'000);
        EXPECT_EQ(s.decision.way, Way::waza_ari_awasete_ippon);
        EXPECT_FALSE(s.hold.on);
        EXPECT_EQ(s.of(Side::white).score[index(Level::waza_ari)], 2);
        EXPECT_EQ(s.of(Side::blue).score[index(Level::waza_ari)], by == Side::blue ? 1 : 0);
    }
}

TEST(PastHold, StaysReadableForFiveSecondsOrUntilTheNextHajime) {
    Calls calls;
    calls.at(0, Hajime{}).at(10'000, Osaekomi{Side::white}).at(18'500, Toketa{});
    EXPECT_TRUE(at(calls, 23'499).past_hold.readable);
    EXPECT_EQ(at(calls, 20'000).past_hold.value.ms, 8'500U);
    EXPECT_FALSE(at(calls, 23'500).past_hold.readable);
    calls.at(19'000, Mate{}).at(20'000, Hajime{});
    EXPECT_FALSE(at(calls, 20'000).past_hold.readable);
}

}  // namespace
}  // namespace honbu

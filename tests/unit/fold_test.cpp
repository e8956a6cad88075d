// What the worked bouts (tests/conformance) don't show: corrections, passing from run to run, and
// what must hold for every bout that can be called. Rules by their ids in docs/rules.md.
#include <gtest/gtest.h>

#include <random>

#include "engine/record/canon.h"
#include "tests/unit/bouts.h"

namespace honbu {
namespace {

Conditions four_minutes(const RuleSet& rules) {
    return {rules, seconds(240), rules.golden_limit_for(seconds(240), nullptr)};
}

State at_end(const RuleSet& rules, const std::vector<Call>& calls, std::uint32_t until_ms) {
    return fold(four_minutes(rules), calls, Instant{until_ms}).state;
}

TEST(Strike, AStruckCallNeverWasAndAStruckStrikeBringsItBack) {
    const RuleSet rules = rules_named("2018");
    Calls calls;
    calls.at(0, Hajime{}).at(50'000, Score{Side::white, Level::ippon});
    EXPECT_EQ(at_end(rules, calls.all(), 60'000).decision.winner, Winner::white);

    calls.at(60'000, calls.strike(2));
    State s = at_end(rules, calls.all(), 60'000);
    EXPECT_FALSE(s.decided());
    EXPECT_TRUE(s.contest.running);  // the ippon was a slip: the bout never stopped
    EXPECT_EQ(s.contest.at(Instant{60'000}).ms, 60'000U);

    calls.at(61'000, calls.strike(3));
    s = at_end(rules, calls.all(), 61'000);
    EXPECT_EQ(s.decision.winner, Winner::white);
    EXPECT_EQ(s.decision.at.ms, 50'000U);
}

TEST(Back, ACallPutInAfterwardsCountsWhereItTookEffect) {
    const RuleSet rules = rules_named("2018");
    Calls calls;  // toketa was called at 19.8 s of the hold, pressed half a second later
    calls.at(0, Hajime{}).at(10'000, Osaekomi{Side::white}).at(30'300, Toketa{}, 500);
    const State s = at_end(rules, calls.all(), 31'000);
    EXPECT_FALSE(s.decided());
    EXPECT_EQ(s.of(Side::white).score[index(Level::waza_ari)], 1);
    EXPECT_TRUE(s.contest.running);
}

TEST(Joint, ABoutGoesOnInAnotherRun) {
    const RuleSet rules = rules_named("2018");
    Calls first(RunId{1});
    first.at(100'000, Hajime{}).at(160'000, Mate{}).at(170'000, Hajime{});
    std::vector<Call> calls = first.all();
    // The page was loaded anew: 3 s on its clock are 173 s on the first one's.
    Calls second(RunId{2});
    second.at(3'000, Joint{RunId{1}, Instant{173'000}, Instant{3'000}, Joint::Source::wall_clock})
        .at(10'000, Score{Side::blue, Level::waza_ari})
        .at(20'000, Mate{});
    for (const Call& call : second.all())
        calls.push_back(call);

    const Timeline timeline(calls);
    EXPECT_TRUE(timeline.knows(RunId{2}));
    EXPECT_EQ(timeline.place(RunId{2}, Instant{20'000}).ms, 190'000U);
    const State s = at_end(rules, calls, 200'000);
    EXPECT_EQ(s.contest.value.ms, 60'000U + 20'000U);
    EXPECT_EQ(s.of(Side::blue).score[index(Level::waza_ari)], 1);
}

TEST(Frames, CarryWhatIsComing) {
    const RuleSet rules = rules_named("2025");
    Calls calls;
    calls.at(0, Hajime{}).at(225'000, Osaekomi{Side::blue});
    const auto coming = frames(four_minutes(rules), calls.all());
    // now, yuko, waza-ari, time up during the hold, ippon, and its value need not be read any more
    ASSERT_EQ(coming.size(), 6U);
    EXPECT_EQ(coming[1].from.ms, 230'000U);
    EXPECT_EQ(coming[2].from.ms, 235'000U);
    EXPECT_EQ(coming[3].from.ms, 240'000U);
    EXPECT_EQ(coming[3].why, Happening::time_up);
    EXPECT_FALSE(coming[3].state.decided());
    EXPECT_EQ(coming[4].from.ms, 245'000U);
    EXPECT_EQ(coming[4].why, Happening::hold_ended);
    EXPECT_EQ(coming[4].state.decision.winner, Winner::blue);
    EXPECT_EQ(coming[5].from.ms, 250'000U);
}

TEST(LateScore, AThrowAtTheSignalTurnsADecisionByComparison) {
    // Begun before the signal, pressed after it (docs/rules.md, "The time signal").
    const RuleSet rules = rules_named("2025");
    Calls calls;
    calls.at(0, Hajime{}).at(10'000, Score{Side::white, Level::yuko});
    EXPECT_EQ(at_end(rules, calls.all(), 241'000).decision.winner, Winner::white);
    calls.at(242'000, Score{Side::blue, Level::waza_ari});
    EXPECT_EQ(at_end(rules, calls.all(), 242'000).decision.winner, Winner::blue);
}

// A decision in golden score stands; only the hold that made it may still grow or be answered.
TEST(Late, AHoldPressedAfterAGoldenScoreDecisionTurnsNothing) {
    const RuleSet rules = rules_named("2018");
    for (const What& decides :
         {What{Award{Side::white, Way::kiken_gachi}}, What{Score{Side::white, Level::waza_ari}}}) {
        Calls calls;
        calls.at(0, Hajime{}).at(250'000, Hajime{}).at(260'000, decides);
        calls.at(266'000, Osaekomi{Side::blue}).at(290'000, SoreMade{});
        for (const std::uint32_t t : {266'000U, 276'000U, 286'000U, 290'000U}) {
            EXPECT_EQ(at_end(rules, calls.all(), t).decision.winner, Winner::white) << t;
        }
    }
}

TEST(Late, AHoldCalledWithTheSignalMayTurnADecisionAtTimeEvenAfterSoreMade) {
    const RuleSet rules = rules_named("2018");
    Calls calls;
    calls.at(0, Hajime{}).at(10'000, Score{Side::white, Level::waza_ari}).at(241'000, SoreMade{});
    calls.at(242'000, Osaekomi{Side::blue});
    EXPECT_FALSE(at_end(rules, calls.all(), 243'000).decided());
    calls.at(245'000, SoreMade{});  // can be pressed again
    EXPECT_EQ(at_end(rules, calls.all(), 245'000).decision.winner, Winner::white);
}

TEST(TimeUp, AClockStoppedInTheInstantOfTheSignalHasRunOut) {
    const RuleSet rules = rules_named("2018");
    for (const What& stops : {What{Mate{}}, What{SoreMade{}}, What{SonoMama{}}}) {
        Calls calls;
        calls.at(0, Hajime{}).at(60'000, Score{Side::white, Level::waza_ari}).at(240'000, stops);
        const State s = at_end(rules, calls.all(), 240'000);
        EXPECT_TRUE(s.time_up) << word(stops);
        EXPECT_EQ(s.decision.winner, Winner::white) << word(stops);
    }
}

// docs/rules.md, "Hold in golden score" [S84] and "The time signal: holds" [S11 Art.13]: the held
// athlete
// may
// still win while the hold runs on.
TEST(KikenGachi, EndsAHoldThatRunsOnInGoldenScore) {
    const RuleSet rules = rules_named("2025");
    Calls calls;
    calls.at(0, Hajime{}).at(250'000, Hajime{}).at(255'000, Osaekomi{Side::white});
    EXPECT_EQ(at_end(rules, calls.all(), 261'000).decision.winner, Winner::white);
    calls.at(262'000, Award{Side::blue, Way::kiken_gachi});
    EXPECT_EQ(at_end(rules, calls.all(), 262'000).decision.winner, Winner::blue);
}

// Until kachi every call can be made, and the referee's own word on who wins is the last.
TEST(KikenGachi, CanBeGivenInADecidedBout) {
    const RuleSet rules = rules_named("2018");
    const Conditions under = four_minutes(rules);
    Calls calls;
    calls.at(0, Hajime{}).at(9'000, Score{Side::white, Level::ippon});
    const State s = fold(under, calls.all(), Instant{10'000}).state;
    EXPECT_FALSE(refusal(under, calls.all(), s, Award{Side::blue, Way::kiken_gachi}));
    EXPECT_TRUE(unusual(under, s, Award{Side::blue, Way::kiken_gachi}));
    calls.at(10'000, Award{Side::blue, Way::kiken_gachi});
    EXPECT_EQ(at_end(rules, calls.all(), 11'000).decision.winner, Winner::blue);
    EXPECT_EQ(refusal(under, calls.all(), s, Award{Side::blue, Way::hantei}).value_or(""),
              "The bout is decided already: strike what decided it first.");
}

// Both reach sogo-gachi by one call: nobody wins by the order in which we look (from memory: golden
// score, as for two ippon at once; docs/rules.md, open questions).
TEST(BothAtOnce, NobodyWinsAndGoldenScoreFollows) {
    const RuleSet rules = rules_named("2009");
    Calls calls;
    calls.at(0, Hajime{})
        .at(10'000, Score{Side::white, Level::waza_ari})
        .at(20'000, Score{Side::blue, Level::waza_ari});
    for (std::uint32_t i = 0; i < 3; ++i)
        calls.at(30'000 + i, Shido{both_sides()});
    State s = at_end(rules, calls.all(), 31'000);
    EXPECT_FALSE(s.decided());
    EXPECT_FALSE(s.contest.running);
    calls.at(40'000, Hajime{});
    s = at_end(rules, calls.all(), 41'000);
    EXPECT_TRUE(s.golden);
    EXPECT_EQ(shown(rules, s, Side::white).score[index(Level::waza_ari)], 0);
}

TEST(Clock, StandsStillAfterADecisionAndThroughSonoMamaOfAStandingBout) {
    const RuleSet rules = rules_named("2018");
    Calls decided;
    decided.at(0, Hajime{}).at(60'000, Score{Side::white, Level::ippon}).at(61'000, Hajime{});
    EXPECT_EQ(at_end(rules, decided.all(), 75'000).contest.at(Instant{75'000}).ms, 60'000U);
    Calls standing;
    standing.at(0, Hajime{}).at(10'000, Mate{}).at(11'000, Osaekomi{Side::blue});
    standing.at(13'000, SonoMama{}).at(20'000, Yoshi{});
    const State s = at_end(rules, standing.all(), 25'000);
    EXPECT_FALSE(s.contest.running);
    EXPECT_EQ(s.hold.clock.at(Instant{25'000}).ms, 7'000U);
}

TEST(NoEntry, ACallMustCountWhereItTakesEffect) {
    const RuleSet rules = rules_named("2018");
    const Conditions under = four_minutes(rules);
    Calls calls;
    calls.at(1'000, Hajime{});
    Calls more = calls;
    more.at(500, Mate{});  // before hajime
    EXPECT_TRUE(no_entry(under, calls.all(), more.all().back()));
    more = calls;
    more.at(2'000, Mate{});
    EXPECT_FALSE(no_entry(under, calls.all(), more.all().back()));
}

TEST(NoEntry, ABoutHasAnEnd) {
    const RuleSet rules = rules_named("2018");
    const Conditions under = four_minutes(rules);
    Calls calls;
    calls.at(0, Hajime{}).at(1, Score{Side::white, Level::ippon});
    while (calls.all().size() < calls_in_bout_max) {
        calls.at(static_cast<std::uint32_t>(calls.all().size()),
                 calls.strike(static_cast<std::uint32_t>(calls.all().size())));
    }
    Calls more = calls;
    more.at(9'000, Shido{only(Side::blue)});
    EXPECT_TRUE(no_entry(under, calls.all(), more.all().back()));
}

TEST(Refusal, SaysWhatToPressInstead) {
    const RuleSet rules = rules_named("2018");
    const Conditions under = four_minutes(rules);
    Calls calls;
    const auto why = [&](const What& what, std::uint32_t now) {
        const State s = fold(under, calls.all(), Instant{now}).state;
        return refusal(under, calls.all(), s, what).value_or("");
    };
    EXPECT_EQ(why(Mate{}, 0), "The bout has not begun: press hajime.");
    EXPECT_EQ(why(Kachi{}, 0), "Nobody has won yet: enter what the referee called.");
    EXPECT_EQ(why(Score{Side::white, Level::yuko}, 0),
              "There is no yuko under these rules: press another score.");
    calls.at(0, Hajime{});
    EXPECT_EQ(why(Hajime{}, 1'000),
              "The clock is running already. If mate was missed, put it in first.");
    EXPECT_EQ(why(Toketa{}, 1'000), "No hold is running: press osaekomi first.");
    EXPECT_EQ(why(Yoshi{}, 1'000), "Yoshi comes after sono-mama: press hajime.");
    EXPECT_EQ(why(Strike{CallId{RunId{7}, CallNumber{9}}}, 1'000),
              "That call is not one of this bout's: choose it from the list of calls.");
    EXPECT_EQ(why(Confirm{}, 1'000), "Confirm after kachi.");
    calls.at(20'000, Score{Side::white, Level::ippon}).at(21'000, SoreMade{}).at(22'000, Kachi{});
    EXPECT_EQ(why(Shido{only(Side::blue)}, 23'000),
              "Kachi has been announced. Open the bout again and say why, then correct.");
    calls.at(24'000, Confirm{});
    EXPECT_EQ(why(calls.strike(2), 25'000),
              "This bout is confirmed. Open it again first, or ask the desk to.");
}

// -- what must hold for every bout
// -----------------------------------------------------------------

What any_call(std::mt19937& dice, const Calls& so_far) {
    const auto roll = [&](std::uint32_t n) { return dice() % n; };
    const Side side = roll(2) == 0 ? Side::white : Side::blue;
    switch (roll(16)) {
    case 0:
    case 1: return Hajime{};
    case 2:
    case 3: return Mate{};
    case 4: return SonoMama{};
    case 5: return Yoshi{};
    case 6:
    case 7: return Osaekomi{side};
    case 8: return Toketa{};
    case 9: return Score{side, static_cast<Level>(2 + roll(3))};
    case 10:
    case 11: return Shido{Sides{static_cast<std::uint8_t>(1 + roll(3))}};
    case 12: return roll(8) == 0 ? What{HansokuMake{only(side)}} : What{Submission{side}};
    case 13: return roll(2) == 0 ? What{SoreMade{}} : What{Kachi{}};
    case 14: return Award{side, roll(2) == 0 ? Way::hantei : Way::kiken_gachi};
    default:
        return so_far.strike(1 + static_cast<std::uint32_t>(
                                     roll(static_cast<std::uint32_t>(so_far.all().size() + 1))));
    }
}

// A bout as a careless table would enter it: every call that is not refused, at growing instants.
Calls any_bout(const Conditions& under, std::uint32_t seed, std::uint32_t* end) {
    std::mt19937 dice(seed);
    Calls calls;
    std::uint32_t now = 0;
    for (int i = 0; i < 60; ++i) {
        now += static_cast<std::uint32_t>(dice() % 12'000);
        const What what = any_call(dice, calls);
        const State s = fold(under, calls.all(), Instant{now}).state;
        if (!refusal(under, calls.all(), s, what)) calls.at(now, what);
    }
    *end = now;
    return calls;
}

struct EveryBout : testing::TestWithParam<const char*> {};

// Derived from the rules themselves: replay, strike and back, no winner where both are out, hold
// time
// bounded, clock still in sono-mama.
TEST_P(EveryBout, HoldsWhatItMust) {
    const RuleSet rules = rules_named(GetParam());
    const Conditions under = four_minutes(rules);
    for (std::uint32_t seed = 1; seed <= 400; ++seed) {
        SCOPED_TRACE(seed);
        std::uint32_t end = 0;
        const Calls calls = any_bout(under, seed, &end);
        const State s = fold(under, calls.all(), Instant{end}).state;
        EXPECT_EQ(encode(s), encode(fold(under, calls.all(), Instant{end}).state));

        // Taking any call out and putting it back changes nothing.
        const std::uint32_t n = static_cast<std::uint32_t>(calls.all().size());
        for (std::uint32_t k = 1; k <= n; ++k) {
            Calls more = calls;
            more.at(end, calls.strike(k)).at(end, more.strike(n + 1));
            EXPECT_EQ(encode(fold(under, more.all(), Instant{end}).state), encode(s)) << k;
        }

        for (std::uint32_t t = 0; t <= end + 60'000; t += 5'000) {
            const State now = fold(under, calls.all(), Instant{t}).state;
            EXPECT_LE(now.hold.clock.at(Instant{t}), rules.hold_for(Level::ippon));
            if (!now.golden) {
                EXPECT_LE(now.contest.at(Instant{t}), seconds(240));
            }
            if (rules.clock_runs == ClockRuns::to_mate) {
                EXPECT_FALSE(now.phase == Phase::frozen && now.contest.running);
            }
            const bool white_out = shown(rules, now, Side::white).hansoku_make;
            const bool blue_out = shown(rules, now, Side::blue).hansoku_make;
            if (now.decision.way == Way::kiken_gachi) {
                continue;  // given by a person in the pause before golden score
            }
            if (white_out && blue_out) {
                EXPECT_NE(now.decision.winner, Winner::white);
                EXPECT_NE(now.decision.winner, Winner::blue);
            } else if (white_out) {
                EXPECT_EQ(now.decision.winner, Winner::blue);
            } else if (blue_out) {
                EXPECT_EQ(now.decision.winner, Winner::white);
            }
        }

        // What frames promise is what the fold says when the instant has come.
        const auto coming = frames(under, calls.all());
        for (std::size_t i = 0; i < coming.size(); ++i) {
            const bool last_of_instant = i + 1 == coming.size() ||
                                         coming[i].from < coming[i + 1].from;
            if (!last_of_instant) continue;
            const State then = fold(under, calls.all(), coming[i].from).state;
            EXPECT_EQ(encode(coming[i].state), encode(then)) << i;
        }
    }
}
INSTANTIATE_TEST_SUITE_P(Eras, EveryBout,
                         testing::Values("2003", "2009", "2013", "2017", "2018", "2025",
                                         "youth-running-clock"));

}  // namespace
}  // namespace honbu

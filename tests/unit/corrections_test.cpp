// Corrections are calls: what each makes of a bout, and what can't be. Rules: docs/rules.md,
// "Correcting".
#include <gtest/gtest.h>

#include "engine/record/canon.h"
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

CallId call(std::uint32_t number) { return CallId{RunId{7}, CallNumber{number}}; }

std::string no(const Calls& calls, std::uint32_t ms, const What& what) {
    Calls more = calls;
    more.at(ms, what);
    return no_entry(under(), calls.all(), more.all().back()).value_or("");
}

TEST(Replace, AnotherLevelCountsFromWhereTheCallStands) {
    Calls calls;
    calls.at(0, Hajime{}).at(30'000, Score{Side::white, Level::waza_ari});
    calls.at(36'000, Replace{call(2), Score{Side::white, Level::ippon}});
    const State s = at(calls, 40'000);
    EXPECT_EQ(s.decision.winner, Winner::white);
    EXPECT_EQ(s.decision.at.ms, 30'000U);
    EXPECT_EQ(s.of(Side::white).score[index(Level::waza_ari)], 0);
    // The clock had really run on until the correction was entered: worked bout E18.
    const Result r = result_of(under(), calls.all(), Instant{40'000});
    EXPECT_EQ(r.decided, seconds(30));
    EXPECT_EQ(r.stopped, seconds(36));
}

TEST(Replace, ALaterOneCountsAndAStruckOneDoesNot) {
    Calls calls;
    calls.at(0, Hajime{}).at(30'000, Score{Side::white, Level::waza_ari});
    calls.at(36'000, Replace{call(2), Score{Side::white, Level::ippon}});
    calls.at(37'000, Replace{call(2), Score{Side::blue, Level::waza_ari}});
    State s = at(calls, 40'000);
    EXPECT_FALSE(s.decided());
    EXPECT_EQ(s.of(Side::blue).score[index(Level::waza_ari)], 1);
    calls.at(41'000, calls.strike(4));
    EXPECT_EQ(at(calls, 42'000).decision.winner, Winner::white);
    calls.at(43'000, calls.strike(3));
    EXPECT_EQ(at(calls, 44'000).of(Side::white).score[index(Level::waza_ari)], 1);
}

TEST(Give, AHoldGivenToTheOtherKeepsItsTime) {
    Calls calls;
    calls.at(0, Hajime{}).at(10'000, Osaekomi{Side::white});
    calls.at(18'000, Replace{call(2), mirrored(Osaekomi{Side::white})});
    const State s = at(calls, 21'000);
    EXPECT_EQ(s.hold.by, Side::blue);
    EXPECT_EQ(s.hold.clock.at(Instant{21'000}), seconds(11));
    EXPECT_EQ(s.hold.reached, static_cast<std::uint8_t>(Level::waza_ari));
}

TEST(Move, ACallTakesEffectWhereItIsPut) {
    Calls calls;  // toketa pressed just after the ippon second, called before it
    calls.at(0, Hajime{}).at(10'000, Osaekomi{Side::white}).at(30'400, Toketa{});
    EXPECT_EQ(at(calls, 31'000).decision.way, Way::ippon);
    calls.at(32'000, Move{call(3), Instant{29'900}});
    const State s = at(calls, 33'000);
    EXPECT_FALSE(s.decided());
    EXPECT_TRUE(s.contest.running);
    EXPECT_EQ(s.of(Side::white).score[index(Level::waza_ari)], 1);
    EXPECT_EQ(no(calls, 34'000, Move{call(2), Instant{35'000}}),
              "A call can't be moved to a moment that has not come yet: choose an earlier one.");
}

TEST(SetClock, TakesTimeBackAndWithItWhatTimeHadDecided) {
    Calls calls;
    calls.at(0, Hajime{}).at(50'000, Score{Side::white, Level::waza_ari});
    EXPECT_EQ(at(calls, 241'000).decision.winner, Winner::white);
    calls.at(242'000, SetClock{seconds(230)});
    State s = at(calls, 243'000);
    EXPECT_FALSE(s.decided());
    EXPECT_FALSE(s.time_up);
    EXPECT_EQ(s.contest.at(Instant{243'000}), seconds(230));
    calls.at(250'000, Hajime{});
    s = at(calls, 260'000);
    EXPECT_TRUE(s.time_up);
    EXPECT_EQ(s.decision.winner, Winner::white);
    EXPECT_EQ(no(calls, 261'000, SetClock{seconds(241)}), "This clock can't show more than 4:00.");
}

// Worked bout E31: ippon called by mistake on the ground, the pair has separated and is put back
// [S42, 2003 Art. 20 appendix].
TEST(SetHold, ThePositionIsRestoredAndYoshiLetsItGoOn) {
    Calls calls;
    calls.at(0, Hajime{}).at(20'000, Osaekomi{Side::blue});
    calls.at(28'000, Score{Side::blue, Level::ippon}).at(40'000, calls.strike(3));
    calls.at(40'000, Mate{}, 12'000);
    State s = at(calls, 40'000);
    EXPECT_FALSE(s.decided());
    EXPECT_FALSE(s.contest.running);
    calls.at(50'000, SetHold{Side::blue, seconds(8)});
    s = at(calls, 55'000);
    EXPECT_EQ(s.phase, Phase::frozen);
    EXPECT_EQ(s.hold.clock.at(Instant{55'000}), seconds(8));
    calls.at(60'000, Yoshi{});
    s = at(calls, 62'000);
    EXPECT_EQ(s.of(Side::blue).score[index(Level::waza_ari)] + s.hold.reached,
              static_cast<int>(Level::waza_ari));
    EXPECT_EQ(at(calls, 72'000).decision.means, Means::hold);
    EXPECT_EQ(at(calls, 72'000).contest.at(Instant{72'000}), seconds(28 + 12));
}

TEST(ExchangeNames, TwiceIsNothing) {
    Calls calls;
    calls.at(0, Hajime{}).at(5'000, Score{Side::white, Level::waza_ari});
    const State once = at(calls.at(6'000, ExchangeNames{}), 7'000);
    EXPECT_TRUE(once.names_exchanged);
    EXPECT_EQ(once.of(Side::white).score[index(Level::waza_ari)], 1);  // the calls stay
    EXPECT_FALSE(at(calls.at(8'000, ExchangeNames{}), 9'000).names_exchanged);
}

// Before kachi an undo is one call and asks nothing; afterwards the bout is opened with a reason.
TEST(Reopen, AnAnnouncedBoutChangesOnlyAfterItIsOpenedAgain) {
    Calls calls;
    calls.at(0, Hajime{}).at(20'000, Score{Side::white, Level::ippon}).at(21'000, SoreMade{});
    EXPECT_EQ(no(calls, 22'000, Reopen{Ground::slip}),
              "The bout is open: correct it, no reason is asked before kachi.");
    EXPECT_EQ(no(calls, 22'000, calls.strike(2)), "");
    calls.at(23'000, Kachi{});
    const std::vector<What> corrections{
        calls.strike(2), Replace{call(2), Score{Side::blue, Level::ippon}},
        Move{call(2), Instant{19'000}}, SetClock{seconds(1)}, Shido{only(Side::blue)}};
    for (const What& what : corrections) {
        EXPECT_EQ(no(calls, 24'000, what),
                  "Kachi has been announced. Open the bout again and say why, then correct.");
    }
    calls.at(25'000, Reopen{Ground::referee});
    EXPECT_EQ(at(calls, 25'000).phase, Phase::over);
    calls.at(26'000, Replace{call(2), Score{Side::blue, Level::ippon}}).at(27'000, Kachi{});
    const State s = at(calls, 28'000);
    EXPECT_EQ(s.phase, Phase::announced);
    EXPECT_EQ(s.decision.winner, Winner::blue);
    EXPECT_FALSE(s.administrative);
}

// Worked bout E20 [S10 Art.19]: the referees have left, so it is the desk's change and marked.
TEST(Reopen, ALateChangeIsMarkedAsAdministrative) {
    Calls calls;
    calls.at(0, Hajime{}).at(20'000, Score{Side::white, Level::ippon}).at(21'000, Kachi{});
    calls.at(22'000, Confirm{result_of(under(), calls.all(), Instant{22'000})});
    EXPECT_EQ(at(calls, 22'000).phase, Phase::confirmed);
    calls.at(23'000, Reopen{Ground::administrative});
    const Result r = result_of(under(), calls.all(), Instant{24'000});
    EXPECT_TRUE(r.administrative);
    EXPECT_EQ(at(calls, 24'000).phase, Phase::over);
}

// However the bout is corrected after it was opened again, it stays marked: even if kachi, and with
// it all that came after, can have no effect any more.
TEST(Reopen, TheMarkStaysWhateverIsCorrected) {
    Calls calls;
    calls.at(0, Hajime{}).at(20'000, Score{Side::white, Level::ippon}).at(21'000, Kachi{});
    calls.at(22'000, Confirm{}).at(23'000, Reopen{Ground::administrative});
    calls.at(24'000, calls.strike(2));
    const State s = at(calls, 25'000);
    EXPECT_FALSE(s.decided());
    EXPECT_TRUE(s.administrative);
}

// A call put in afterwards is judged where it belongs, not by where the bout stands now.
TEST(PutIn, WhatWasLeftOutCountsWhereItBelongs) {
    Calls calls;
    calls.at(0, Hajime{}).at(10'000, Mate{}).at(20'000, Hajime{});
    Calls more = calls;
    more.at(40'000, Osaekomi{Side::blue}, 15'000).at(41'000, Mate{}, 11'000);
    EXPECT_FALSE(no_entry(under(), std::span(more.all()).first(3), more.all()[3]));
    EXPECT_FALSE(no_entry(under(), std::span(more.all()).first(4), more.all()[4]));
    EXPECT_EQ(no(calls, 42'000, Mate{}), "");
    more = calls;
    more.at(42'000, Toketa{}, 20'000);
    EXPECT_EQ(no_entry(under(), calls.all(), more.all().back()).value_or(""),
              "At that instant it can't be: No hold is running: press osaekomi first.");
}

// The calls that count before `more` adds its last one, and can have no effect after it.
std::vector<CallId> idle_after(const Calls& calls, const Calls& more) {
    const auto was = fold(under(), calls.all(), Instant{}).places;
    const auto is = fold(under(), more.all(), Instant{}).places;
    std::vector<CallId> out;
    for (std::size_t i = 0; i < was.size(); ++i) {
        if (was[i].standing != Standing::counts) continue;
        if (is[i].standing == Standing::without_effect) out.push_back(calls.all()[i].id);
    }
    return out;
}

TEST(MadeIdle, WhatACorrectionMakesImpossibleIsListed) {
    Calls calls;
    calls.at(0, Hajime{}).at(10'000, Osaekomi{Side::white}).at(15'000, Toketa{});
    calls.at(20'000, Mate{});
    Calls more = calls;
    more.at(21'000, calls.strike(2));
    EXPECT_EQ(idle_after(calls, more), std::vector<CallId>{call(3)});
    more = calls;
    more.at(21'000, calls.strike(4));
    EXPECT_TRUE(idle_after(calls, more).empty());
}

TEST(Target, MustBeThereAndStandAndBeFromTheMat) {
    Calls calls;
    calls.at(0, Hajime{}).at(5'000, Score{Side::white, Level::waza_ari});
    EXPECT_EQ(no(calls, 6'000, Replace{call(9), Mate{}}),
              "That call is not one of this bout's: choose it from the list of calls.");
    EXPECT_EQ(no(calls, 6'000, Replace{call(2), Score{Side::white, Level::yuko}}),
              "There is no yuko under these rules: choose another score.");
    calls.at(7'000, calls.strike(2));
    EXPECT_EQ(no(calls, 8'000, Move{call(2), Instant{4'000}}),
              "That call is struck. Bring it back first.");
    EXPECT_EQ(no(calls, 8'000, Replace{call(3), Mate{}}),
              "Only a call from the mat can be changed so.");
}

}  // namespace
}  // namespace honbu

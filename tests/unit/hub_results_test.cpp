// What becomes of a result after its confirmation: exchanged names, a bout opened again, the desk.
//
// A bracket that goes on with the wrong athlete is the worst a hub can do quietly. So a winner who
// stood on the other side must go on as the person he or she is, a bout that is opened again must
// take its winner out of the next one, and a second result must put the right one in.
#include <gtest/gtest.h>

#include "engine/competition/progress.h"
#include "engine/table/table.h"
#include "tests/unit/world.h"

namespace honbu {
namespace {

constexpr DeviceId laptop{0xa1};
constexpr RunId run{0x11};

struct ResultsTest : testing::Test {
    ResultsTest() {
        world.begin(small_cup());
        table = world.table(laptop, run);
        world.tell(table, TakeMat{MatId{1}, false, {}});
        world.sync();
    }
    Call made(BoutId bout, What what) {
        Call call;
        call.id = {run, CallNumber{++number}};
        call.term = Term{1};
        call.mat = MatId{1};
        call.bout = bout;
        call.entered = Instant{ms += 1'000};
        call.what = std::move(what);
        return call;
    }
    Verdict send(What what, BoutId bout = BoutId{1}) {
        const Call call = made(bout, std::move(what));
        world.tell(table, Submit{call});
        world.sync();
        const Verdict verdict = world.got<VerdictGiven>(table).back().verdict;
        if (verdict == Verdict::applied && bout == BoutId{1}) calls.push_back(call);
        return verdict;
    }
    Verdict confirm() { return send(Confirm{result_of(under, calls, Instant{ms})}); }
    void white_wins() {
        send(Hajime{});
        send(Score{only(Side::white), Level::ippon});
        send(SoreMade{});
        send(Kachi{});
    }
    // Who stands first in the final, as the hall sees it.
    std::string first_finalist() {
        for (const BoutHead& head : world.views[MatId{1}].back().next) {
            if (head.bout == BoutId{3}) return head.white.name;
        }
        return "not among the next";
    }

    World world;
    SessionId table;
    RuleSet rules = rules_named("2018");
    Conditions under{rules, seconds(240), {}};
    std::vector<Call> calls;
    std::uint32_t number = 0;
    std::uint32_t ms = 0;
};

TEST_F(ResultsTest, TheWinnerGoesOnAsThePersonAlsoWhereNamesWereExchanged) {
    send(Called{});
    EXPECT_EQ(world.views[MatId{1}].back().bout.white.name, "Ada Norlund");
    ASSERT_EQ(send(ExchangeNames{}), Verdict::applied);
    EXPECT_EQ(world.views[MatId{1}].back().bout.white.name, "Mirela Costin");
    EXPECT_EQ(world.views[MatId{1}].back().bout.blue.name, "Ada Norlund");
    white_wins();
    ASSERT_EQ(confirm(), Verdict::applied);
    ASSERT_EQ(world.results.size(), 1U);
    EXPECT_TRUE(world.results[0].result.names_exchanged);
    EXPECT_EQ(world.results[0].result.winner, Winner::white);
    EXPECT_EQ(world.results[0].bout.white.name, "Mirela Costin");
    EXPECT_EQ(first_finalist(), "Mirela Costin");
    // The same after a restart, from the records alone.
    world.crash();
    EXPECT_EQ(first_finalist(), "Mirela Costin");
    EXPECT_EQ(world.views[MatId{1}].back().bout.white.name, "Mirela Costin");
}

// The page exchanges names by itself, from the calls; twice would be wrong.
TEST_F(ResultsTest, AnAllotmentHasTheNamesAsDrawn) {
    send(Called{});
    send(ExchangeNames{});
    world.tell(table, TakeMat{MatId{1}, false, {}});
    const Allotment given = world.got<Allotment>(table).back();
    EXPECT_EQ(given.bouts.at(0).head.white.name, "Ada Norlund");
    EXPECT_EQ(given.bouts.at(0).calls.size(), 2U);
}

TEST_F(ResultsTest, ABoutOpenedAgainTakesItsWinnerBackAndASecondResultCounts) {
    white_wins();
    ASSERT_EQ(confirm(), Verdict::applied);
    EXPECT_EQ(first_finalist(), "Ada Norlund");
    EXPECT_TRUE(world.got<Allotment>(table).back().bouts.at(0).confirmed);

    ASSERT_EQ(send(Reopen{Ground::referee}), Verdict::applied);
    EXPECT_EQ(first_finalist(), "");
    const Allotment open = world.got<Allotment>(table).back();
    EXPECT_FALSE(open.bouts.at(0).confirmed);
    EXPECT_EQ(open.bouts.at(0).calls.size(), calls.size());
    EXPECT_EQ(world.results.size(), 1U) << "opening gives no result";

    ASSERT_EQ(send(Replace{calls.at(1).id, Score{only(Side::blue), Level::ippon}}),
              Verdict::applied);
    ASSERT_EQ(send(Kachi{}), Verdict::applied);
    ASSERT_EQ(confirm(), Verdict::applied);
    ASSERT_EQ(world.results.size(), 2U);
    EXPECT_EQ(world.results[1].result.winner, Winner::blue);
    EXPECT_EQ(first_finalist(), "Mirela Costin");
    world.crash();
    EXPECT_EQ(first_finalist(), "Mirela Costin");
}

// What was read back at the mat is the fact, and the hub's own fold a check beside it
// (docs/architecture.md, section 3): board, stream and names agree, and the desk is told to look.
TEST_F(ResultsTest, WhatIsConfirmedOtherwiseThanCalledStandsAndIsMarked) {
    white_wins();
    Result other = result_of(under, calls, Instant{ms});
    other.winner = Winner::blue;
    std::swap(other.white, other.blue);
    ASSERT_EQ(send(Confirm{other}), Verdict::applied);
    EXPECT_TRUE(world.got<VerdictGiven>(table).back().state_differs);
    ASSERT_EQ(world.results.size(), 1U);
    EXPECT_TRUE(world.results[0].unlike_calls);
    EXPECT_EQ(world.results[0].result.winner, Winner::blue);
    EXPECT_EQ(first_finalist(), "Mirela Costin");
    const FrameShown shown = world.views[MatId{1}].back().frames.at(0);
    EXPECT_EQ(shown.winner, Winner::blue);
    EXPECT_EQ(shown.blue.score[index(Level::ippon)], 1);
    EXPECT_EQ(shown.white.score[index(Level::ippon)], 0);
    EXPECT_EQ(shown.words, world.results[0].words);

    // Put right by the table, the mark is gone.
    ASSERT_EQ(send(Reopen{Ground::slip}), Verdict::applied);
    ASSERT_EQ(send(Kachi{}), Verdict::applied);
    ASSERT_EQ(confirm(), Verdict::applied);
    EXPECT_FALSE(world.results.back().unlike_calls);
    EXPECT_FALSE(world.got<VerdictGiven>(table).back().state_differs);
    EXPECT_EQ(world.results.back().result.winner, Winner::white);
}

// A whole allotment is long: what a batch of results changes for a table is sent in one.
TEST_F(ResultsTest, ResultsOfOneBatchGiveOneAllotment) {
    const std::size_t before = world.got<Allotment>(table).size();
    std::vector<Call> sent;
    const auto tell = [&](What what) {
        sent.push_back(made(BoutId{1}, std::move(what)));
        world.tell(table, Submit{sent.back()});
    };
    for (What what :
         std::vector<What>{Hajime{}, Score{only(Side::white), Level::ippon}, SoreMade{}, Kachi{}}) {
        tell(what);
    }
    tell(Confirm{result_of(under, sent, Instant{ms})});
    tell(Reopen{Ground::referee});
    tell(Kachi{});
    tell(Confirm{result_of(under, sent, Instant{ms})});
    world.sync();
    EXPECT_EQ(world.results.size(), 2U);
    EXPECT_EQ(world.got<Allotment>(table).size(), before + 1);
}

// docs/protocol.md, section 8: without an engine nobody can say by which rules.
TEST_F(ResultsTest, AConfirmationThatNamesNoRulesIsHeldAgainstTheRest) {
    white_wins();
    Result plain = result_of(under, calls, Instant{ms});
    plain.rules_hash = {};
    plain.fold_version = 0;
    ASSERT_EQ(send(Confirm{plain}), Verdict::applied);
    EXPECT_FALSE(world.results.at(0).unlike_calls);
}

// The laptop that confirmed is broken, the referee comes back: whoever sits down there next must be
// able to open again what still stands on the board.
TEST_F(ResultsTest, AnotherDeviceOpensAgainTheBoutThatEndedLast) {
    white_wins();
    ASSERT_EQ(confirm(), Verdict::applied);
    constexpr RunId second_run{0x22};
    const SessionId there = world.table(DeviceId{0xb2}, second_run);
    world.tell(there, TakeMat{MatId{1}, true, {}});
    world.sync();
    const Allotment given = world.got<Allotment>(there).back();
    ASSERT_TRUE(given.bouts.at(0).confirmed);
    ASSERT_EQ(given.bouts.at(0).calls.size(), calls.size());
    ASSERT_EQ(given.clocks.size(), 1U) << "how the other run's clock meets this one";

    Table second(second_run, "");
    second.allot(given, Instant{0});
    EXPECT_EQ(second.open_bout(BoutId{1}, Instant{1'000}), "");
    EXPECT_EQ(second.press("reopen:referee", {}, Instant{2'000}), "");
    for (const Call& call : second.take_doing().save) {
        world.tell(there, Submit{call});
        world.sync();
        EXPECT_EQ(world.got<VerdictGiven>(there).back().verdict, Verdict::applied);
    }
    EXPECT_EQ(world.views[MatId{1}].back().frames.front().phase, Phase::over);
    EXPECT_EQ(first_finalist(), "");
}

// Only of that one: of the bouts before it the tables need no calls.
TEST_F(ResultsTest, AnAllotmentHasNoCallsOfABoutBefore) {
    white_wins();
    confirm();
    ASSERT_EQ(send(Called{}, BoutId{3}), Verdict::applied);
    world.tell(table, TakeMat{MatId{1}, false, {}});
    const Allotment given = world.got<Allotment>(table).back();
    EXPECT_TRUE(given.bouts.at(0).confirmed);
    EXPECT_TRUE(given.bouts.at(0).calls.empty());
    EXPECT_EQ(given.bouts.at(1).calls.size(), 1U);
}

TEST_F(ResultsTest, ASideHasTheColourAndTheWordOfItsRules) {
    Competition cup = small_cup();
    RuleSet& belts = cup.loaded.rules.at(0);
    belts.white_word = "red";
    belts.white_colour = Colour::red;
    belts.blue_word = "white";
    belts.blue_colour = Colour::white;
    World hall;
    hall.begin(cup);
    const BoutHead next = hall.views[MatId{1}].back().next.at(0);
    EXPECT_EQ(next.white_word, "red");
    EXPECT_EQ(next.white_colour, Colour::red);
    EXPECT_EQ(next.blue_word, "white");
    EXPECT_EQ(next.blue_colour, Colour::white);
}

TEST_F(ResultsTest, NamesOfABoutThatHasBegunStayWhateverIsOpenedAgain) {
    white_wins();
    confirm();
    ASSERT_EQ(send(Called{}, BoutId{3}), Verdict::applied);
    EXPECT_EQ(world.views[MatId{1}].back().bout.white.name, "Ada Norlund");
    ASSERT_EQ(send(Reopen{Ground::majority}), Verdict::applied);
    ASSERT_EQ(send(Hajime{}, BoutId{3}), Verdict::applied);
    EXPECT_EQ(world.views[MatId{1}].back().bout.bout, BoutId{3});
    EXPECT_EQ(world.views[MatId{1}].back().bout.white.name, "Ada Norlund");
}

TEST_F(ResultsTest, ATableCanNotAcceptItsOwnResult) {
    white_wins();
    confirm();
    const std::size_t records = world.disk.size();
    world.tell(table, Submit{made(BoutId{1}, Accept{})});
    EXPECT_TRUE(world.unsynced.empty());
    EXPECT_EQ(world.disk.size(), records);
    ASSERT_EQ(world.got<Refusal>(table).size(), 1U);
    const Refusal refusal = world.got<Refusal>(table)[0];
    EXPECT_EQ(refusal.reason, Cause::not_the_desk);
    EXPECT_TRUE(refusal.about_call);
    EXPECT_NE(refusal.words.find("only the desk accepts it"), std::string::npos);
    // It has used up no number.
    --number;
    EXPECT_EQ(send(Reopen{Ground::slip}), Verdict::applied);
}

TEST_F(ResultsTest, ALimitOfGoldenScoreReachesTheTableAndTheFold) {
    Competition cup = small_cup();
    cup.loaded.categories.at(0).golden = seconds(180);
    World limited;
    limited.begin(cup);
    const SessionId there = limited.table(laptop, run);
    limited.tell(there, TakeMat{MatId{1}, false, {}});
    limited.sync();
    EXPECT_EQ(limited.got<Allotment>(there).back().bouts.at(0).golden, seconds(180));
    limited.tell(there, Submit{made(BoutId{1}, Hajime{})});
    limited.sync();
    Call golden = made(BoutId{1}, Hajime{});
    golden.entered = Instant{300'000};
    limited.tell(there, Submit{golden});
    limited.sync();
    ASSERT_EQ(limited.got<VerdictGiven>(there).back().verdict, Verdict::applied);
    const FrameShown shown = limited.views[MatId{1}].back().frames.front();
    EXPECT_TRUE(shown.golden);
    EXPECT_EQ(shown.limit, seconds(180));
}

// Found by the simulator: the winner of a bout that has begun already goes on to a third one, and
// changes with a result two bouts before.
TEST(Results, ANameThatChangesTwoBoutsBeforeIsTold) {
    Competition cup = small_cup();
    const auto winner_of = [](std::uint32_t bout) { return Slot{Slot::From::winner_of, bout}; };
    cup.loaded.bouts = {
        {BoutId{1}, MatId{1}, 0, "first", Slot{Slot::From::person, 1}, Slot{Slot::From::person, 2}},
        {BoutId{2}, MatId{1}, 0, "second", winner_of(1), Slot{Slot::From::person, 3}},
        {BoutId{3}, MatId{2}, 0, "third", winner_of(2), Slot{Slot::From::person, 4}},
    };
    World world;
    world.begin(cup);
    const SessionId table = world.table(laptop, run);
    world.tell(table, TakeMat{MatId{1}, false, {}});
    world.sync();
    std::uint32_t number = 0;
    std::map<BoutId, std::vector<Call>> calls;
    const Conditions under{cup.loaded.rules.at(0), seconds(240), {}};
    const auto send = [&](BoutId bout, What what) {
        Call call;
        call.id = {run, CallNumber{++number}};
        call.term = Term{1};
        call.mat = MatId{1};
        call.bout = bout;
        call.entered = Instant{number * 1'000};
        call.what = std::move(what);
        world.tell(table, Submit{call});
        world.sync();
        ASSERT_EQ(world.got<VerdictGiven>(table).back().verdict, Verdict::applied)
            << number << no_entry(under, calls[bout], call).value_or("");
        calls[bout].push_back(call);
    };
    const auto end = [&](BoutId bout, Side winner) {
        send(bout, Award{winner, Way::fusen_gachi, 0});
        send(bout, SoreMade{});
        send(bout, Kachi{});
        send(bout, Confirm{result_of(under, calls[bout], Instant{(number + 1) * 1'000})});
    };
    end(BoutId{1}, Side::white);
    end(BoutId{2}, Side::white);
    EXPECT_EQ(world.views[MatId{2}].back().next.front().white.name, "Ada Norlund");
    // The first was the other way round after all.
    const CallId award = calls[BoutId{1}].front().id;
    send(BoutId{1}, Reopen{Ground::referee});
    send(BoutId{1}, Replace{award, Award{Side::blue, Way::fusen_gachi, 0}});
    send(BoutId{1}, Kachi{});
    send(BoutId{1}, Confirm{result_of(under, calls[BoutId{1}], Instant{(number + 1) * 1'000})});
    EXPECT_EQ(world.views[MatId{2}].back().next.front().white.name, "Mirela Costin");
}

// -- the draw by itself

TEST(Progress, AWinnerIsAPersonNotASide) {
    const auto person = [](std::uint32_t id) { return Slot{Slot::From::person, id}; };
    const Slot winner_of_1{Slot::From::winner_of, 1};
    const Slot loser_of_1{Slot::From::loser_of, 1};
    Progress progress;
    progress.add({BoutId{1}, MatId{1}, 0, "semi-final", person(7), person(8)});
    EXPECT_FALSE(progress.person_in(winner_of_1));
    Result result;
    for (const bool exchanged : {false, true}) {
        for (const Winner who : {Winner::white, Winner::blue}) {
            result.winner = who;
            result.names_exchanged = exchanged;
            progress.confirm(BoutId{1}, result);
            const std::uint32_t wins = (who == Winner::white) != exchanged ? 7 : 8;
            EXPECT_EQ(progress.person_in(winner_of_1), PersonId{wins});
            EXPECT_EQ(progress.person_in(loser_of_1), PersonId{15 - wins});
        }
    }
    progress.reopen(BoutId{1});
    EXPECT_FALSE(progress.person_in(winner_of_1));
    for (const Winner nobody : {Winner::both_lose, Winner::draw}) {
        result.winner = nobody;
        progress.confirm(BoutId{1}, result);
        EXPECT_FALSE(progress.person_in(winner_of_1));
        EXPECT_FALSE(progress.person_in(loser_of_1));
    }
}

}  // namespace
}  // namespace honbu

// The hub's promises (docs/architecture.md, section 1), tried on the core with a pretended disk.
#include "hub/core/hub.h"

#include <gtest/gtest.h>

#include "tests/unit/world.h"

namespace honbu {
namespace {

constexpr DeviceId laptop{0xa1};
constexpr DeviceId other_laptop{0xb2};
constexpr RunId run{0x11};

// A table's side of a bout: makes calls with the hash of what it saw, as engine/table does.
class Author {
public:
    Author(MatId mat, BoutId bout, Term term, RunId in_run)
        : mat_(mat), bout_(bout), term_(term), run_(in_run) {}
    Call call(std::uint32_t ms, What what) {
        Call c;
        c.id = {run_, CallNumber{++number_}};
        c.term = term_;
        c.mat = mat_;
        c.bout = bout_;
        c.entered = Instant{ms};
        c.what = std::move(what);
        c.seen = short_hash(before(under_, calls_, c));
        calls_.push_back(c);
        return c;
    }
    Result result(std::uint32_t ms) const { return result_of(under_, calls_, Instant{ms}); }

private:
    RuleSet rules_ = rules_named("2018");
    Conditions under_{rules_, seconds(240), {}};
    MatId mat_;
    BoutId bout_;
    Term term_;
    RunId run_;
    std::uint32_t number_ = 0;
    std::vector<Call> calls_;
};

struct HubTest : testing::Test {
    HubTest() { world.begin(small_cup()); }
    SessionId in_charge(DeviceId device, RunId with, MatId mat, bool over = false) {
        const SessionId session = world.table(device, with);
        world.tell(session, TakeMat{mat, over, {}});
        world.sync();
        return session;
    }
    World world;
    Author author{MatId{1}, BoutId{1}, Term{1}, run};
};

TEST_F(HubTest, NothingIsSaidOrShownBeforeItIsOnTheDisk) {
    const SessionId table = in_charge(laptop, run, MatId{1});
    const std::size_t views = world.views[MatId{1}].size();
    world.tell(table, Submit{author.call(0, Hajime{})});
    EXPECT_TRUE(world.got<VerdictGiven>(table).empty());
    EXPECT_EQ(world.views[MatId{1}].size(), views);
    world.sync();
    ASSERT_EQ(world.got<VerdictGiven>(table).size(), 1U);
    EXPECT_EQ(world.got<VerdictGiven>(table)[0].verdict, Verdict::applied);
    EXPECT_FALSE(world.got<VerdictGiven>(table)[0].state_differs);
    ASSERT_GT(world.views[MatId{1}].size(), views);
    EXPECT_TRUE(world.views[MatId{1}].back().frames.front().clock_running);
}

TEST_F(HubTest, ACallSentAgainGetsTheSameAnswerAndCountsOnce) {
    const SessionId table = in_charge(laptop, run, MatId{1});
    const Call hajime = author.call(0, Hajime{});
    world.tell(table, Submit{hajime});
    world.tell(table, Submit{hajime});  // while the first one waits for the disk
    world.sync();
    world.tell(table, Submit{hajime});
    world.crash();
    const SessionId again = world.table(laptop, run);
    world.tell(again, Submit{hajime});
    const auto verdicts = world.got<VerdictGiven>(again);
    ASSERT_EQ(verdicts.size(), 1U);
    EXPECT_EQ(verdicts[0].verdict, Verdict::applied);
    EXPECT_EQ(verdicts[0].record.value, 4U);  // epoch, competition, mat taken, hajime
    EXPECT_EQ(world.disk.size(), 4U);
}

TEST_F(HubTest, TheSameNumberWithOtherContentIsRefused) {
    const SessionId table = in_charge(laptop, run, MatId{1});
    Call hajime = author.call(0, Hajime{});
    world.tell(table, Submit{hajime});
    world.sync();
    hajime.what = Mate{};
    world.tell(table, Submit{hajime});
    ASSERT_EQ(world.got<Refusal>(table).size(), 1U);
    EXPECT_EQ(world.got<Refusal>(table)[0].reason, Cause::other_content);
    EXPECT_TRUE(world.unsynced.empty());
}

TEST_F(HubTest, AGapInTheNumbersIsRefusedAndUsesNoNumber) {
    const SessionId table = in_charge(laptop, run, MatId{1});
    author.call(0, Hajime{});
    world.tell(table, Submit{author.call(5'000, Mate{})});
    ASSERT_EQ(world.got<Refusal>(table).size(), 1U);
    EXPECT_EQ(world.got<Refusal>(table)[0].reason, Cause::number_gap);
    EXPECT_TRUE(world.unsynced.empty());
}

TEST_F(HubTest, OnlyATableInChargeIsApplied) {
    const SessionId table = in_charge(laptop, run, MatId{1});
    world.tell(table, Submit{author.call(0, Hajime{})});
    world.sync();
    // Another table asks, is told, and a person says yes.
    const SessionId second = world.table(other_laptop, RunId{0x22});
    world.tell(second, TakeMat{MatId{1}, false, {}});
    ASSERT_EQ(world.got<Refusal>(second).size(), 1U);
    EXPECT_EQ(world.got<Refusal>(second)[0].reason, Cause::mat_held);
    world.tell(second, TakeMat{MatId{1}, true, {}});
    // The mat has passed on already for whoever sends now, though nobody has been told yet.
    world.tell(table, Submit{author.call(9'000, Score{only(Side::white), Level::ippon})});
    EXPECT_TRUE(world.got<MatLost>(table).empty());
    world.sync();
    ASSERT_EQ(world.got<MatLost>(table).size(), 1U);
    EXPECT_TRUE(world.got<MatLost>(second).empty());
    ASSERT_EQ(world.got<Allotment>(second).size(), 1U);
    EXPECT_EQ(world.got<Allotment>(second)[0].term.value, 2U);
    EXPECT_EQ(world.got<Allotment>(second)[0].bouts[0].calls.size(), 1U);
    EXPECT_EQ(world.got<VerdictGiven>(table).back().verdict, Verdict::set_aside);
    EXPECT_FALSE(world.views[MatId{1}].back().frames.front().winner == Winner::white);
    // What was set aside is kept, and its number is used.
    EXPECT_EQ(world.disk.size(), 6U);
}

TEST_F(HubTest, AnImpossibleCallIsKeptWithoutEffect) {
    const SessionId table = in_charge(laptop, run, MatId{1});
    world.tell(table, Submit{author.call(0, Toketa{})});
    world.sync();
    EXPECT_EQ(world.got<VerdictGiven>(table).back().verdict, Verdict::without_effect);
    EXPECT_FALSE(world.views[MatId{1}].back().has_bout);
}

TEST_F(HubTest, AStateSeenDifferentlyIsSaid) {
    const SessionId table = in_charge(laptop, run, MatId{1});
    Call hajime = author.call(0, Hajime{});
    hajime.seen ^= 1;
    world.tell(table, Submit{hajime});
    world.sync();
    EXPECT_TRUE(world.got<VerdictGiven>(table).back().state_differs);
}

TEST_F(HubTest, WhateverIsLostInACrashAtAnyRecordTheRestIsThere) {
    // Play a bout, crash after each record with one more unsynced: what was acknowledged is there,
    // what was not may be sent again, and the state is byte for byte that of an undisturbed hub.
    const auto play = [](World& w, bool crashing) {
        w.begin(small_cup());
        Author writer(MatId{1}, BoutId{1}, Term{1}, run);
        SessionId table = w.table(laptop, run);
        w.tell(table, TakeMat{MatId{1}, false, {}});
        w.sync();
        const std::vector<std::pair<std::uint32_t, What>> bout = {
            {0, Called{}},
            {1'000, Hajime{}},
            {9'000, Osaekomi{Side::blue}},
            {21'000, Toketa{}},
            {30'000, Shido{both_sides()}},
            {44'000, Mate{}},
            {46'000, Hajime{}},
            {60'000, Score{only(Side::blue), Level::waza_ari}},
            {62'000, SoreMade{}},
            {64'000, Kachi{}}};
        std::vector<Call> calls;
        for (const auto& [ms, what] : bout)
            calls.push_back(writer.call(ms, what));
        calls.push_back(writer.call(70'000, Confirm{writer.result(70'000)}));
        for (const Call& call : calls) {
            w.tell(table, Submit{call});
            if (crashing) {
                w.crash();
                table = w.table(laptop, run);
                w.tell(table, TakeMat{MatId{1}, false, {}});
                w.tell(table, Submit{call});
            }
            w.sync();
            const auto verdicts = w.got<VerdictGiven>(table);
            ASSERT_FALSE(verdicts.empty());
            EXPECT_EQ(verdicts.back().verdict, Verdict::applied) << word(call.what);
            EXPECT_FALSE(verdicts.back().state_differs) << word(call.what);
        }
    };
    World calm;
    World wild;
    play(calm, false);
    play(wild, true);
    EXPECT_EQ(hex(sha256(calm.hub->state_bytes())), hex(sha256(wild.hub->state_bytes())));
    EXPECT_EQ(calm.disk.size(), wild.disk.size());
    ASSERT_EQ(wild.results.size(), 1U);
    EXPECT_EQ(wild.results[0].result.winner, Winner::blue);
    EXPECT_EQ(wild.results[0].words, "blue wins by waza-ari-awasete-ippon, 0:57");
    // The final's names are known to the mat that waits for them.
    EXPECT_EQ(wild.views[MatId{1}].back().next.at(0).white.name, "Mirela Costin");
}

TEST_F(HubTest, AnAlteredJournalIsNotReplayed) {
    in_charge(laptop, run, MatId{1});
    Hub fresh(world, world, world);
    std::string first = world.disk[0].bytes;
    EXPECT_EQ(fresh.replay(first), "");
    std::string second = world.disk[1].bytes;
    second[45] = static_cast<char>(second[45] ^ 1);  // within `received`
    EXPECT_EQ(fresh.replay(second), "");             // the change shows at the next one
    EXPECT_NE(fresh.replay(world.disk[2].bytes), "");
    EXPECT_NE(fresh.replay(world.disk[0].bytes), "");
}

TEST_F(HubTest, ReadOnlyClientsChangeNothing) {
    Hello hello;
    hello.schema = wire_schema;
    hello.role = Role::hall;
    const SessionId hall{99};
    world.tell(hall, hello);
    world.tell(hall, TakeMat{MatId{1}, true, {}});
    world.tell(hall, Submit{author.call(0, Hajime{})});
    EXPECT_TRUE(world.unsynced.empty());
    ASSERT_EQ(world.got<Refusal>(hall).size(), 2U);
    EXPECT_EQ(world.got<Refusal>(hall)[1].reason, Cause::not_a_table);
}

TEST_F(HubTest, TheFirstMessageMustBeAHello) {
    world.tell(SessionId{77}, TakeMat{MatId{1}, false, {}});
    ASSERT_EQ(world.got<Goodbye>(SessionId{77}).size(), 1U);
    EXPECT_EQ(world.got<Goodbye>(SessionId{77})[0].reason, Cause::hello_first);
}

TEST_F(HubTest, ATableThatIsNotThereIsShownAlone) {
    const SessionId table = in_charge(laptop, run, MatId{1});
    EXPECT_EQ(world.views[MatId{1}].back().table, TableLine::live);
    world.hub->left(table);
    EXPECT_EQ(world.views[MatId{1}].back().table, TableLine::alone);
    const SessionId again = world.table(laptop, run);
    world.tell(again, TakeMat{MatId{1}, false, {}});
    EXPECT_EQ(world.views[MatId{1}].back().table, TableLine::live);
    // A laptop that goes to the next mat has left this one, and hears no more of it.
    world.tell(again, TakeMat{MatId{2}, false, {}});
    world.sync();
    EXPECT_EQ(world.views[MatId{1}].back().table, TableLine::alone);
    EXPECT_EQ(world.views[MatId{2}].back().table, TableLine::live);
    EXPECT_EQ(world.got<Allotment>(again).back().mat, MatId{2});
}

TEST_F(HubTest, NobodyTakesARunAwayFromItsTable) {
    const SessionId table = in_charge(laptop, run, MatId{1});
    world.tell(table, Submit{author.call(1'000, Hajime{})});
    world.sync();
    const SessionId thief = world.table(other_laptop, run);
    world.tell(thief, ClockMeasured{{run, Instant{5}, Instant{900'000}}, {}});
    const std::size_t views = world.views[MatId{1}].size();
    world.tell(table, Submit{author.call(9'000, Mate{})});
    world.sync();
    EXPECT_EQ(world.got<VerdictGiven>(table).back().verdict, Verdict::applied);
    ASSERT_GT(world.views[MatId{1}].size(), views);
    EXPECT_LT(world.views[MatId{1}].back().frames.front().from.ms, 100'000U);
}

TEST_F(HubTest, ACallForAMatThatIsNotThereIsSetAsideAndTheRunGoesOn) {
    const SessionId table = in_charge(laptop, run, MatId{1});
    Call stray = author.call(0, Called{});
    stray.mat = MatId{9};
    world.tell(table, Submit{stray});
    world.sync();
    EXPECT_EQ(world.got<VerdictGiven>(table).back().verdict, Verdict::set_aside);
    world.tell(table, Submit{author.call(1'000, Hajime{})});
    world.sync();
    EXPECT_EQ(world.got<VerdictGiven>(table).back().verdict, Verdict::applied);
}

TEST_F(HubTest, AConfirmationInThePastOrASecondOneGivesNoSecondResult) {
    const SessionId table = in_charge(laptop, run, MatId{1});
    const auto send = [&](std::uint32_t ms, What what) {
        world.tell(table, Submit{author.call(ms, std::move(what))});
        world.sync();
        return world.got<VerdictGiven>(table).back().verdict;
    };
    send(1'000, Hajime{});
    send(2'000, Score{only(Side::white), Level::ippon});
    send(3'000, SoreMade{});
    send(4'000, Kachi{});
    EXPECT_EQ(send(10, Confirm{author.result(4'000)}), Verdict::without_effect);
    EXPECT_TRUE(world.results.empty());
}

TEST_F(HubTest, HelloIsSaidOnce) {
    const SessionId table = in_charge(laptop, run, MatId{1});
    Hello hello;
    hello.schema = wire_schema;
    hello.role = Role::hall;
    world.tell(table, hello);
    ASSERT_EQ(world.got<Refusal>(table).size(), 1U);
    EXPECT_EQ(world.got<Welcome>(table).size(), 1U);
}

TEST_F(HubTest, ACallSentOftenWhileItWaitsIsAnsweredOnceForEachConnection) {
    const SessionId table = in_charge(laptop, run, MatId{1});
    const Call hajime = author.call(0, Hajime{});
    for (int i = 0; i < 50; ++i)
        world.tell(table, Submit{hajime});
    world.sync();
    EXPECT_EQ(world.got<VerdictGiven>(table).size(), 1U);
}

}  // namespace
}  // namespace honbu

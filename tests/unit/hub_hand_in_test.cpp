// Calls that come in a file: what a table kept while it could not reach this hub.
//
// Nothing of it counts before a person has decided, nothing is taken in part, and a table that
// comes back itself finds what was handed in for it (docs/protocol.md, 12). Our own rules: no
// source outside.
#include <gtest/gtest.h>

#include "engine/table/table.h"
#include "tests/unit/world.h"

namespace honbu {
namespace {

constexpr DeviceId laptop{0xa1};
constexpr DeviceId office{0xd1};
constexpr RunId run{0x11};

struct HandInTest : testing::Test {
    HandInTest() {
        world.begin(small_cup());
        desk = world.come(Role::desk, office, {}, "Runa");
    }
    std::vector<Call> calls(std::uint32_t first, std::size_t count) const {
        std::vector<Call> made;
        for (std::uint32_t number = first; made.size() < count; ++number) {
            Call call;
            call.id = {run, CallNumber{number}};
            call.term = Term{1};
            call.mat = MatId{1};
            call.bout = BoutId{1};
            call.entered = Instant{number * 1'000};
            call.what = number == 1       ? What{Called{}}
                        : number % 2 == 0 ? What{Hajime{}}
                                          : What{Mate{}};
            made.push_back(call);
        }
        return made;
    }
    void hand_in(std::vector<Call> file, bool only_look = false) {
        ++request;
        world.tell(desk, HandIn{request, laptop, "Ngaio", std::move(file), only_look, {}});
    }
    std::string done() const {
        const auto all = world.got<Done>(desk);
        return all.empty() || all.back().request != request ? "" : all.back().words;
    }
    Cause refused() const {
        const auto all = world.got<Refusal>(desk);
        return all.empty() || all.back().request != request ? Cause::none : all.back().reason;
    }
    std::size_t records() const { return world.disk.size() + world.unsynced.size(); }
    std::size_t waiting() const {
        std::size_t count = 0;
        if (world.aside.empty()) return 0;
        for (const SetAside::OfBout& bout : world.aside.back().bouts)
            count += bout.calls.size();
        return count;
    }
    World world;
    SessionId desk;
    std::uint32_t request = 0;
};

TEST_F(HandInTest, TheyAreSetAsideInTheTablesName) {
    hand_in(calls(1, 4));
    EXPECT_EQ(done(), "");  // not before it is kept
    EXPECT_EQ(waiting(), 0U);
    world.sync();
    EXPECT_EQ(done(), "4 calls were taken, and wait for a decision.");
    ASSERT_EQ(waiting(), 4U);
    const SetAside::OfBout& bout = world.aside.back().bouts.at(0);
    EXPECT_EQ(bout.device, laptop);
    EXPECT_EQ(bout.hand, "Ngaio");
    const auto record = decode_record(world.disk.back().bytes);
    ASSERT_TRUE(record.has_value());
    EXPECT_EQ(record->device, office);  // who handed them in
    EXPECT_EQ(record->hand, "Runa");
}

TEST_F(HandInTest, TheDeskDecidesAsAboutAnyThatWereSetAside) {
    hand_in(calls(1, 2));
    world.sync();
    DecideSetAside decision{7, SetAsideDecided::How::taken, BoutId{1}, {}, "from the table's file"};
    for (const Call& call : calls(1, 2))
        decision.calls.push_back(call.id);
    world.tell(desk, decision);
    world.sync();
    EXPECT_EQ(world.got<Done>(desk).back().request, 7U);
    EXPECT_EQ(waiting(), 0U);
    EXPECT_EQ(world.hub->sheet(BoutId{1})->lines.size(), 2U);
}

TEST_F(HandInTest, WhatIsKnownIsPassedOver) {
    hand_in(calls(1, 3));
    world.sync();
    const std::size_t before = records();
    hand_in(calls(1, 3));
    EXPECT_EQ(done(), "The hub has all 3 calls already.");
    EXPECT_EQ(records(), before);
    hand_in(calls(2, 4));
    world.sync();
    EXPECT_EQ(done(), "2 calls were taken, and wait for a decision.");
    EXPECT_EQ(waiting(), 5U);
}

TEST_F(HandInTest, LookingRecordsNothing) {
    hand_in(calls(1, 3), true);
    EXPECT_EQ(done(), "The hub has none of these 3 calls yet.");
    hand_in(calls(1, 2));
    world.sync();
    const std::size_t before = records();
    hand_in(calls(1, 3), true);
    EXPECT_EQ(done(), "The hub has 2 of these 3 calls, and lacks 1.");
    EXPECT_EQ(records(), before);
}

TEST_F(HandInTest, AGapOtherContentOrAnotherDeviceTakesNothing) {
    hand_in(calls(1, 3));
    world.sync();
    const std::size_t before = records();
    hand_in(calls(5, 2));
    EXPECT_EQ(refused(), Cause::number_gap);
    auto changed = calls(3, 3);  // the last known one is another, two new ones follow
    changed.front().what = Hajime{};
    hand_in(changed);
    EXPECT_EQ(refused(), Cause::other_content);
    ++request;
    world.tell(desk, HandIn{request, DeviceId{0xee}, "", calls(4, 1), false, {}});
    EXPECT_EQ(refused(), Cause::other_content);
    const SessionId hall = world.come(Role::hall, DeviceId{0x99});
    world.tell(hall, HandIn{1, laptop, "", calls(4, 1), false, {}});
    EXPECT_EQ(world.got<Refusal>(hall).back().reason, Cause::not_the_desk);
    EXPECT_EQ(records(), before);
}

TEST_F(HandInTest, TheTableThatComesBackGetsTheRecordedVerdictAndGoesOn) {
    hand_in(calls(1, 3));
    world.sync();
    for (const bool crashed : {false, true}) {
        if (crashed) world.crash();
        const SessionId table = world.come(Role::table, laptop, run, "Ngaio");
        ASSERT_EQ(world.got<Welcome>(table).back().runs.size(), 1U);
        EXPECT_EQ(world.got<Welcome>(table).back().runs.front().last, CallNumber{3});
        for (const Call& call : calls(1, 3))
            world.tell(table, Submit{call});
        const auto verdicts = world.got<VerdictGiven>(table);
        ASSERT_EQ(verdicts.size(), 3U);
        for (const VerdictGiven& given : verdicts)
            EXPECT_EQ(given.verdict, Verdict::set_aside);
    }
    const SessionId table = world.come(Role::table, laptop, run, "Ngaio");
    world.tell(table, Submit{calls(4, 1).front()});
    world.sync();
    EXPECT_EQ(world.got<VerdictGiven>(table).back().call.number, CallNumber{4});
}

TEST_F(HandInTest, ACallSentWhileTheFileIsOnItsWayIsAnsweredWithIt) {
    const SessionId table = world.come(Role::table, laptop, run, "Ngaio");
    hand_in(calls(1, 2));
    world.tell(table, Submit{calls(1, 1).front()});
    EXPECT_TRUE(world.got<VerdictGiven>(table).empty());
    hand_in(calls(1, 3));
    EXPECT_EQ(refused(), Cause::changed);  // while it is being written
    world.sync();
    ASSERT_FALSE(world.got<VerdictGiven>(table).empty());
    EXPECT_EQ(world.got<VerdictGiven>(table).front().verdict, Verdict::set_aside);
}

// What the file says of its run's clock is in no record. So it makes no joint, and who decides
// after a restart comes to the same record as who decides before.
TEST(HandInClock, JoinsNothingSoThatARestartChangesNothing) {
    std::vector<Joint> joints;
    for (const bool crashed : {false, true}) {
        World world;
        world.begin(small_cup());
        const auto call = [](RunId of, std::uint32_t number, Instant entered, What what) {
            Call made;
            made.id = {of, CallNumber{number}};
            made.term = Term{1};
            made.mat = MatId{1};
            made.bout = BoutId{1};
            made.entered = entered;
            made.what = std::move(what);
            return made;
        };
        // Of one run they came themselves, of the other in a file, half an hour later.
        const RunId live{0x22};
        const SessionId table = world.come(Role::table, DeviceId{0xb2}, live, "Ngaio");
        const Call first = call(live, 1, Instant{1'000}, Called{});
        const Call second = call(live, 2, Instant{2'000}, Hajime{});
        world.tell(table, Submit{first});
        world.tell(table, Submit{second});
        world.sync();
        world.clock_ms += 1'800'000;
        const Call third = call(run, 1, Instant{50'000}, Mate{});
        SessionId desk = world.come(Role::desk, office, {}, "Runa");
        const RunClock clock{run, Instant{50'000}, Instant{5'000}};
        world.tell(desk, HandIn{1, laptop, "Ngaio", {third}, false, clock});
        world.sync();
        if (crashed) {
            world.crash();
            desk = world.come(Role::desk, office, {}, "Runa");
        }
        world.tell(desk, DecideSetAside{2,
                                        SetAsideDecided::How::taken,
                                        BoutId{1},
                                        {first.id, second.id, third.id},
                                        "bout 1"});
        world.sync();
        const auto record = decode_record(world.disk.back().bytes);
        ASSERT_TRUE(record.has_value());
        const auto* decided = std::get_if<SetAsideDecided>(&record->fact);
        ASSERT_NE(decided, nullptr);
        ASSERT_EQ(decided->joined.size(), 1U);
        EXPECT_EQ(decided->joined.front().run, run);
        joints.push_back(decided->joined.front().joint);
    }
    for (const Joint& joint : joints) {
        EXPECT_EQ(joint.earlier, RunId{0x22});
        EXPECT_EQ(joint.there, Instant{2'000});
        EXPECT_EQ(joint.here, Instant{50'000});
        EXPECT_EQ(joint.source, Joint::Source::assumed);
    }
}

}  // namespace
}  // namespace honbu

// A checkpoint is a cache: with it or without the hub is the same, and one that does not fit is not
// used, whatever is wrong with it.
//
// A start that trusts a wrong one would show wrong scores with nothing to show for it; one that
// holds a name could not be reached by an erasure. The outside number is SHA-256 (FIPS 180-4), with
// which each ends.
#include "hub/core/checkpoint.h"

#include <gtest/gtest.h>

#include "hub/core/nobody.h"
#include "tests/unit/world.h"

namespace honbu {
namespace {

constexpr DeviceId laptop{0xa1};
constexpr DeviceId desk_device{0xd1};
constexpr RunId run{0x11};
constexpr CheckpointFor by{"9.9", 3};

struct CheckpointTest : testing::Test {
    CheckpointTest() {
        world.begin(small_cup());
        table = world.table(laptop, run);
        desk = world.come(Role::desk, desk_device, {}, "Tove");
        world.tell(table, TakeMat{MatId{1}, false, "Mirela at the table"});
        world.sync();
    }
    void call(What what, BoutId bout = BoutId{1}) {
        Call call;
        call.id = {run, CallNumber{++number}};
        call.term = Term{1};
        call.mat = MatId{1};
        call.bout = bout;
        call.entered = Instant{ms += 1'000};
        call.what = std::move(what);
        calls.push_back(call);
        world.tell(table, Submit{call});
        world.sync();
    }
    void confirm(BoutId bout = BoutId{1}) {
        call(Confirm{result_of(under, calls, Instant{ms})}, bout);
    }
    RecordNumber changed(BoutId bout) { return world.hub->sheet(bout)->changed; }
    // A bout with names exchanged, confirmed, opened again and confirmed otherwise; a call that is
    // set aside; a result put right; records that change places; a bout given back.
    void evening() {
        call(ExchangeNames{});
        call(Hajime{});
        call(Score{only(Side::white), Level::ippon});
        call(SoreMade{});
        call(Kachi{});
        confirm();
        call(Reopen{Ground::slip});
        call(Replace{calls.at(2).id, Score{only(Side::blue), Level::ippon}});
        call(Kachi{});
        confirm();
        EnterResult enter;
        enter.request = 1;
        enter.entered.bout = BoutId{1};
        enter.entered.from = ResultEntered::From::desk;
        enter.entered.replaces = world.results.back().number;
        enter.entered.result = world.results.back().result;
        enter.entered.result.winner = Winner::white;
        enter.entered.reason = "as the referee says";
        enter.changed = changed(BoutId{1});
        world.tell(desk, enter);
        world.sync();
        call(Hajime{});  // set aside: the bout is the desk's
        MoveRecord move;
        move.request = 2;
        move.moved = {BoutId{1}, BoutId{2}, "they came in the wrong order"};
        move.from_changed = changed(BoutId{1});
        move.to_changed = changed(BoutId{2});
        world.tell(desk, move);
        world.sync();
        world.tell(desk, ErasePerson{4, {PersonId{2}, {}, "asked for it"}});
        world.sync();
        world.tell(desk, GiveBack{3, BoutId{1}, changed(BoutId{1})});
        world.sync();
    }
    std::string checkpoint() const { return world.hub->checkpoint(by).value(); }
    // The hub again, from this checkpoint and the records after it.
    void again(const std::string& bytes, std::size_t behind) {
        world.crash_to([&](Hub& hub) {
            EXPECT_EQ(hub.from_checkpoint(bytes, by), "");
            for (std::size_t i = behind; i < world.disk.size(); ++i)
                EXPECT_EQ(hub.replay(world.disk[i].bytes), "");
        });
    }
    static std::string resealed(std::string bytes) {
        bytes.resize(bytes.size() - sizeof(Hash));
        const Hash own = sha256(bytes);
        return bytes.append(reinterpret_cast<const char*>(own.data()), own.size());
    }

    World world;
    SessionId table;
    SessionId desk;
    RuleSet rules = rules_named("2018");
    Conditions under{rules, seconds(240), {}};
    std::vector<Call> calls;
    std::uint32_t number = 0;
    std::uint32_t ms = 0;
};

TEST_F(CheckpointTest, OfAnyMomentAndWithWhatCameAfterItIsTheSameHub) {
    evening();
    ASSERT_GT(world.disk.size(), 15U);
    ASSERT_GT(world.results.size(), 3U);
    world.crash();
    const std::string whole = checkpoint();
    const std::string state = world.hub->state_bytes();
    const auto results = world.results;
    const auto opened_again = world.opened_again;
    const auto renames = world.renames;
    ASSERT_EQ(renames.size(), 1U);
    const auto views = world.views;
    for (std::size_t cut = 1; cut <= world.disk.size(); ++cut) {
        world.crash_to([&](Hub& hub) {
            for (std::size_t i = 0; i < cut; ++i)
                EXPECT_EQ(hub.replay(world.disk[i].bytes), "");
        });
        again(checkpoint(), cut);
        EXPECT_EQ(checkpoint(), whole) << "record " << cut;
        EXPECT_EQ(world.hub->state_bytes(), state) << "record " << cut;
        ASSERT_EQ(world.results.size(), results.size()) << "record " << cut;
        for (std::size_t i = 0; i < results.size(); ++i) {
            EXPECT_EQ(world.results[i].number, results[i].number);
            EXPECT_EQ(world.results[i].bout, results[i].bout) << "record " << cut << ", item " << i;
            EXPECT_EQ(world.results[i].words, results[i].words);
            EXPECT_EQ(world.results[i].result, results[i].result);
            EXPECT_EQ(world.results[i].replaces, results[i].replaces);
            EXPECT_EQ(world.results[i].also.size(), results[i].also.size());
            EXPECT_EQ(world.results[i].no_result.size(), results[i].no_result.size());
        }
        EXPECT_EQ(world.opened_again.size(), opened_again.size());
        ASSERT_EQ(world.renames.size(), 1U) << "record " << cut;
        EXPECT_EQ(world.renames[0].number, renames[0].number);
        EXPECT_EQ(world.renames[0].name, "Athlete 2");
        EXPECT_EQ(world.views[MatId{1}].back().bout, views.at(MatId{1}).back().bout);
        EXPECT_EQ(world.views[MatId{1}].back().next, views.at(MatId{1}).back().next);
    }
}

TEST_F(CheckpointTest, HoldsNoNameThatAnErasureCouldNotReach) {
    evening();
    const std::string bytes = checkpoint();
    for (const Person& person : small_cup().people) {
        EXPECT_EQ(bytes.find(person.name), std::string::npos) << person.name;
        EXPECT_EQ(bytes.find(person.club), std::string::npos) << person.club;
    }
}

TEST_F(CheckpointTest, IsNotMadeWhileSomethingIsOnItsWayToTheDisk) {
    EXPECT_TRUE(world.hub->checkpoint(by));
    LeaveMat leave;
    leave.mat = MatId{1};
    leave.term = Term{1};
    world.tell(table, leave);
    EXPECT_FALSE(world.hub->checkpoint(by));
    world.sync();
    EXPECT_TRUE(world.hub->checkpoint(by));
}

TEST_F(CheckpointTest, NoneThatIsCutOrFlippedAnywhereIsUsed) {
    evening();
    const std::string good = checkpoint();
    ASSERT_TRUE(std::holds_alternative<Checkpoint>(read_checkpoint(good, by)));
    for (std::size_t size = 0; size < good.size(); size += 7) {
        EXPECT_TRUE(std::holds_alternative<std::string>(read_checkpoint(good.substr(0, size), by)))
            << size;
    }
    for (std::size_t at = 0; at < good.size(); ++at) {
        std::string bad = good;
        bad[at] = static_cast<char>(bad[at] ^ (1 << (at % 8)));
        EXPECT_TRUE(std::holds_alternative<std::string>(read_checkpoint(bad, by))) << at;
    }
    EXPECT_TRUE(std::holds_alternative<std::string>(read_checkpoint(good + "x", by)));
}

TEST_F(CheckpointTest, NoneOfAnotherProgramOrSchemaIsUsed) {
    const std::string good = checkpoint();
    EXPECT_EQ(std::get<std::string>(read_checkpoint(good, {"9.8", 3})),
              "another version of honbu made it (9.9)");
    EXPECT_EQ(std::get<std::string>(read_checkpoint(good, {"9.9", 4})),
              "it is of another schema of the journal");
    // Form, then the program's name with its length, then the fold's version: all behind the word.
    const std::size_t form = std::string_view("honbu checkpoint").size();
    for (const std::size_t at : {form, form + 4 + 2 + 3}) {
        std::string other = good;
        ++other[at];
        EXPECT_EQ(std::get<std::string>(read_checkpoint(resealed(other), by)),
                  "another version of honbu made it (9.9)");
    }
}

// Sealed again, so that only the content is wrong: never a crash, and the hub is as empty as before
// or has taken all of it.
TEST_F(CheckpointTest, WhatIsWrongWithinLeavesTheHubAsItWas) {
    evening();
    const std::string good = checkpoint();
    std::size_t refused = 0;
    for (std::size_t at = 0; at + sizeof(Hash) < good.size(); ++at) {
        std::string bad = good;
        bad[at] = static_cast<char>(bad[at] ^ (1 << (at % 8)));
        bad = resealed(bad);
        Nobody nobody;
        Hub hub(nobody, nobody, nobody);
        if (hub.from_checkpoint(bad, by).empty()) continue;
        ++refused;
        EXPECT_FALSE(hub.has_epoch());
        if (at % 50 == 0) {
            for (const auto& row : world.disk)
                ASSERT_EQ(hub.replay(row.bytes), "");
            EXPECT_EQ(hub.checkpoint(by), good);
        }
    }
    EXPECT_GT(refused, 100U);
}

}  // namespace
}  // namespace honbu

// What anybody may read: events and documents out of the feed, and bout sheets out of the core.
//
// Two promises are at stake here: results never skip, and nothing of a person but name and club is
// told. Events: HTML Living Standard, 9.2.6. Versions: RFC 9110, 8.8.1.
#include "hub/feed/documents.h"

#include <gtest/gtest.h>

#include <algorithm>

#include "hub/feed/event.h"
#include "hub/wire/wire.h"
#include "tests/unit/world.h"

namespace honbu {
namespace {

constexpr SessionId reader{1};
constexpr SessionId desk{2};

Subscribe results_after(std::uint32_t number) {
    Subscribe wish;
    wish.results = true;
    wish.results_after = RecordNumber{number};
    return wish;
}
Subscribe views_and_results() {
    Subscribe wish = results_after(0);
    wish.all_mats = true;
    return wish;
}

struct NoBell final : Bell {
    void ring(SessionId) override {}
};
struct FeedWorld : testing::Test {
    NoBell bell;
    Feed feed{bell};
    Documents documents{feed, [](BoutId) { return std::nullopt; }};

    FeedWorld() {
        feed.begin(Epoch{0xe0});
        documents.begin(Epoch{0xe0});
    }
    void view(std::uint16_t mat, std::uint32_t number, TableLine table = TableLine::none) {
        MatView v;
        v.mat = MatId{mat};
        v.number = RecordNumber{number};
        v.table = table;
        feed.mat(v);
    }
    void result(std::uint32_t number, std::uint32_t bout) {
        Finished item;
        item.number = RecordNumber{number};
        item.mat = MatId{1};
        item.bout.bout = BoutId{bout};
        feed.finished(item);
    }
    // The first line of each event and its id: "result 00000000000000e0-5".
    std::vector<std::string> events(SessionId session, std::size_t limit = 100) {
        std::vector<std::string> out;
        for (const Shared& event : feed.take(session, limit)) {
            EXPECT_TRUE(event->starts_with("event: ")) << *event;
            EXPECT_TRUE(event->ends_with("\n\n")) << *event;
            std::string name = event->substr(7, event->find('\n') - 7);
            const std::size_t id = event->find("\nid: ");
            if (id != std::string::npos) {
                name += " " + event->substr(id + 5, event->find('\n', id + 5) - id - 5);
            }
            out.push_back(name);
        }
        return out;
    }
};
using Told = std::vector<std::string>;

TEST_F(FeedWorld, ViewsSkipAndResultsDoNot) {
    feed.follow_events(reader, views_and_results());
    for (std::uint32_t number = 1; number <= 500; ++number)
        view(1, number);
    result(501, 7);
    feed.reopened(Reopened{RecordNumber{502}, MatId{1}, BoutId{7}, {}, {}});
    result(503, 7);
    EXPECT_EQ(events(reader),
              (Told{"mat", "result 00000000000000e0-501", "reopened 00000000000000e0-502",
                    "result 00000000000000e0-503"}));
    EXPECT_EQ(events(reader), Told{});
}

TEST_F(FeedWorld, EventsGoOnFromAPosition) {
    for (std::uint32_t number = 10; number < 15; ++number)
        result(number, number);
    feed.follow_events(reader, results_after(12));
    EXPECT_EQ(events(reader, 1), Told{"result 00000000000000e0-13"});
    EXPECT_EQ(events(reader), Told{"result 00000000000000e0-14"});
}

TEST_F(FeedWorld, WhatIsOpenedAgainIsAnItemLikeOthers) {
    feed.subscribe(desk, results_after(0));
    result(5, 1);
    const Reopened again{RecordNumber{6}, MatId{1}, BoutId{1}, RecordNumber{5}, "the wrong belt"};
    feed.reopened(again);
    EXPECT_EQ(feed.lag().results, 2U);
    const auto taken = feed.take(desk, 100);
    ASSERT_EQ(taken.size(), 2U);
    EXPECT_EQ(*taken[1], to_wire(again));
    EXPECT_EQ(feed.lag().results, 0U);
}

TEST_F(FeedWorld, LagIsWhatWasNotTaken) {
    feed.follow_events(reader, views_and_results());
    view(1, 1);
    view(1, 2);
    view(2, 3);
    result(4, 1);
    result(5, 2);
    EXPECT_EQ(feed.lag().views, 2U);
    EXPECT_EQ(feed.lag().results, 2U);
    feed.take(reader, 100);
    EXPECT_EQ(feed.lag().views, 0U);
    EXPECT_EQ(feed.lag().results, 0U);
}

// 9.2.6: a line end inside data would end it.
TEST_F(FeedWorld, AnEventIsOneLineOfData) {
    Finished item;
    item.number = RecordNumber{1};
    item.bout.white.name = "a\nb\rc\n\nevent: mat";
    feed.finished(item);
    feed.follow_events(reader, results_after(0));
    const auto taken = feed.take(reader, 1);
    const std::string& event = *taken.at(0);
    EXPECT_EQ(std::count(event.begin(), event.end(), '\n'), 4);
    EXPECT_EQ(event.find('\r'), std::string::npos);
}

TEST(EventPosition, IsReadAsItIsWritten) {
    const Position position{Epoch{0x9c41d7e20b6f5a18}, RecordNumber{42}};
    EXPECT_EQ(position_text(position), "9c41d7e20b6f5a18-42");
    const auto read = position_of("9c41d7e20b6f5a18-42");
    ASSERT_TRUE(read);
    EXPECT_EQ(read->epoch, position.epoch);
    EXPECT_EQ(read->number, position.number);
    for (const std::string_view bad :
         {"", "-", "9c41d7e20b6f5a18", "9c41d7e20b6f5a18-", "9c41d7e20b6f5a18-x",
          "9c41d7e20b6f5a1x-1", "9c41d7e20b6f5a181-1", "9c41d7e20b6f5a18-4294967296"}) {
        EXPECT_FALSE(position_of(bad)) << bad;
    }
}

// 8.8.1: a strong validator changes whenever the content does, here also without a record.
TEST_F(FeedWorld, VersionsChangeWithTheContent) {
    view(1, 7);
    view(2, 9);
    const SharedDocument first = documents.mat(MatId{1});
    EXPECT_TRUE(first->etag.starts_with("\"00000000000000e0-7-")) << first->etag;
    EXPECT_EQ(documents.mat(MatId{1}), first);  // made once
    view(2, 10);
    EXPECT_EQ(documents.mat(MatId{1}), first);
    view(1, 7, TableLine::alone);
    EXPECT_NE(documents.mat(MatId{1})->etag, first->etag);
    EXPECT_TRUE(documents.mats()->etag.starts_with("\"00000000000000e0-10-"));
    EXPECT_EQ(documents.mat(MatId{3}), nullptr);
    EXPECT_EQ(documents.sheet(BoutId{1}), nullptr);
}

TEST_F(FeedWorld, OnlyResultsThatStandAreListed) {
    const auto bouts = [this] {
        std::vector<std::uint32_t> out;
        for (const Results::Told* told : feed.results().standing())
            out.push_back(std::get<Finished>(told->fact).bout.bout.value);
        return out;
    };
    result(5, 1);
    result(6, 2);
    const SharedDocument before = documents.results();
    feed.reopened(Reopened{RecordNumber{7}, MatId{1}, BoutId{1}, {}, {}});
    EXPECT_EQ(bouts(), (std::vector<std::uint32_t>{2}));
    EXPECT_NE(documents.results(), before);
    result(8, 1);
    EXPECT_EQ(bouts(), (std::vector<std::uint32_t>{2, 1}));
    EXPECT_TRUE(documents.results_csv()->etag.starts_with("\"00000000000000e0-8-"));
}

// -- bout sheets ----------------------------------------------------------------------------------

struct Sheets : testing::Test {
    World world;
    SessionId table{};
    std::uint32_t number = 0;

    Sheets() {
        world.begin(small_cup());
        table = world.table(DeviceId{0xd1}, RunId{0xf1});
        world.tell(table, TakeMat{MatId{1}, false, ""});
        world.sync();
    }
    void call(What what) {
        Call made;
        made.id = CallId{RunId{0xf1}, CallNumber{++number}};
        made.term = Term{1};
        made.mat = MatId{1};
        made.bout = BoutId{1};
        made.entered = Instant{1'000 * number};
        made.what = std::move(what);
        world.tell(table, Submit{made});
    }
    std::vector<std::string> lines() const {
        std::vector<std::string> out;
        const BoutSheet sheet = *world.hub->sheet(BoutId{1});
        for (const SheetLine& line : sheet.lines)
            out.push_back(line.words);
        return out;
    }
};

TEST_F(Sheets, ShowOnlyWhatIsOnTheDisk) {
    call(Called{});
    EXPECT_EQ(lines(), Told{});
    world.sync();
    EXPECT_EQ(lines(), Told{"called to the mat"});
    EXPECT_FALSE(world.hub->sheet(BoutId{99}));
}

TEST_F(Sheets, HaveWhatCountedAfterCorrections) {
    call(Called{});
    call(Hajime{});
    call(Score{only(Side::white), Level::waza_ari});  // 3
    call(Score{only(Side::blue), Level::waza_ari});   // 4
    call(Strike{CallId{RunId{0xf1}, CallNumber{3}}});
    call(Replace{CallId{RunId{0xf1}, CallNumber{4}}, Shido{only(Side::white), Reason::leg_grab}});
    world.sync();
    EXPECT_EQ(lines(), (Told{"called to the mat", "hajime", "shido to white for grip on the leg"}));
    const BoutSheet sheet = *world.hub->sheet(BoutId{1});
    EXPECT_EQ(sheet.lines.back().white.shido, 1);
    EXPECT_EQ(sheet.lines.back().elapsed, seconds(2));
    EXPECT_FALSE(sheet.has_result);
}

// docs/http.md: nothing of a person but name and club.
TEST_F(Sheets, KeepTheBodyOutOfIt) {
    call(Called{});
    call(Hajime{});
    call(Mate{});
    call(Doctor{Side::white, DoctorCall::athlete});
    call(Bleeding{Side::white, Site::ear});
    call(Injury{Side::white, Harm::head, Blame::own});
    call(Judogi{only(Side::white)});
    call(Replace{CallId{RunId{0xf1}, CallNumber{3}}, Act{Injury{Side::blue, Harm::illness}}});
    world.sync();
    EXPECT_EQ(world.hub->tallies().verdicts[1] + world.hub->tallies().verdicts[2], 8U);
    for (const std::string& line : lines()) {
        EXPECT_TRUE(line == "called to the mat" || line == "hajime" || line == "mate") << line;
    }
}

TEST_F(Sheets, TellTheClassOfNoPenalty) {
    call(Called{});
    call(Hajime{});
    call(HansokuMake{only(Side::blue), DirectClass::against_spirit, Reason::unsporting});
    world.sync();
    EXPECT_EQ(lines().back(), "hansoku-make to blue");
    EXPECT_EQ(world.hub->sheet(BoutId{1})->lines.back().reason, Reason::not_said);
}

// A result that was told and then opened again is told as well, in live work and in a replay.
TEST_F(Sheets, OpeningAgainIsTold) {
    call(Called{});
    call(Award{Side::white, Way::fusen_gachi});
    call(Kachi{});
    Result result;
    result.winner = Winner::white;
    result.way = Way::fusen_gachi;
    call(Confirm{result});
    world.sync();
    ASSERT_EQ(world.results.size(), 1U);
    EXPECT_TRUE(world.hub->sheet(BoutId{1})->has_result);
    call(Reopen{Ground::slip});
    world.sync();
    ASSERT_EQ(world.opened_again.size(), 1U);
    EXPECT_EQ(world.opened_again[0].bout, BoutId{1});
    EXPECT_GT(world.opened_again[0].number, world.results[0].number);
    EXPECT_FALSE(world.hub->sheet(BoutId{1})->has_result);
    world.crash();
    EXPECT_EQ(world.results.size(), 1U);
    EXPECT_EQ(world.opened_again.size(), 1U);
}

TEST_F(Sheets, CallsAreCountedByWhatBecameOfThem) {
    call(Called{});
    call(Toketa{});  // impossible: recorded, without effect
    ++number;        // a gap: refused
    call(Hajime{});
    world.sync();
    const auto& verdicts = world.hub->tallies().verdicts;
    EXPECT_EQ(verdicts[static_cast<std::size_t>(Verdict::applied)], 1U);
    EXPECT_EQ(verdicts[static_cast<std::size_t>(Verdict::without_effect)], 1U);
    EXPECT_EQ(verdicts[static_cast<std::size_t>(Verdict::none)], 1U);
    EXPECT_EQ(world.hub->connected()[static_cast<std::size_t>(Role::table)], 1U);
    world.crash();  // since the start only
    EXPECT_EQ(world.hub->tallies().verdicts[1], 0U);
}

}  // namespace
}  // namespace honbu

// The views beside those of mats: the call list, how the tables stand, what was set aside, sheets.
//
// A view is the latest state of one thing, whole; its version is the number of the last record that
// changed it, and a slow client skips to the newest (docs/architecture.md, section 3 and promises 7
// and 11). What changes nothing must not wake up a hall.
#include <gtest/gtest.h>

#include "hub/feed/feed.h"
#include "hub/wire/heard.h"
#include "tests/unit/world.h"

namespace honbu {
namespace {

constexpr SessionId screen{1};
constexpr SessionId desk{2};
constexpr std::size_t plenty = 1000;

struct CountingBell final : Bell {
    void ring(SessionId session) override { ++rung[session]; }
    int take(SessionId session) { return std::exchange(rung[session], 0); }
    std::map<SessionId, int> rung;
};

CallList list_of(std::uint32_t number, std::uint32_t bout) {
    CallList list;
    list.number = RecordNumber{number};
    list.mats.resize(1);
    list.mats[0].mat = MatId{1};
    list.mats[0].next.resize(1);
    list.mats[0].next[0].bout = BoutId{bout};
    return list;
}
Tables tables_of(std::uint32_t number, std::uint32_t term) {
    Tables tables;
    tables.number = RecordNumber{number};
    tables.mats.resize(1);
    tables.mats[0].mat = MatId{1};
    tables.mats[0].term = Term{term};
    return tables;
}
SetAside aside_of(std::uint32_t number) {
    SetAside calls;
    calls.number = RecordNumber{number};
    calls.bouts.resize(1);
    calls.bouts[0].bout = BoutId{number};
    return calls;
}

Subscribe call_list() {
    Subscribe wish;
    wish.call_list = true;
    return wish;
}
Subscribe sheets(std::vector<BoutId> bouts) {
    Subscribe wish;
    wish.sheets = std::move(bouts);
    return wish;
}

// "call list 7", "tables 8", in the order taken.
std::vector<std::string> told(const std::vector<Shared>& messages) {
    std::vector<std::string> out;
    for (const Shared& bytes : messages) {
        const Heard message = heard(*bytes);
        if (const auto* view = std::get_if<MatView>(&message)) {
            out.push_back("mat " + std::to_string(view->number.value));
        } else if (const auto* list = std::get_if<CallList>(&message)) {
            out.push_back("call list " + std::to_string(list->number.value));
        } else if (const auto* tables = std::get_if<Tables>(&message)) {
            out.push_back("tables " + std::to_string(tables->number.value));
        } else if (const auto* calls = std::get_if<SetAside>(&message)) {
            out.push_back("set aside " + std::to_string(calls->number.value));
        } else if (const auto* sheet = std::get_if<BoutSheet>(&message)) {
            out.push_back("sheet " + std::to_string(sheet->bout.bout.value) + " at " +
                          std::to_string(sheet->number.value));
        } else if (const auto* item = std::get_if<Finished>(&message)) {
            out.push_back("result " + std::to_string(item->number.value));
        } else {
            out.push_back("something else");
        }
    }
    return out;
}
using Told = std::vector<std::string>;

struct FeedViews : testing::Test {
    FeedViews() {
        feed.sheets_from([this](BoutId bout) -> std::optional<BoutSheet> {
            ++asked;
            const auto found = truth.find(bout);
            return found == truth.end() ? std::nullopt : std::optional(found->second);
        });
    }
    // What the core says of the bout from now on.
    void now(std::uint32_t bout, std::uint32_t number, std::string words) {
        BoutSheet sheet;
        sheet.bout.bout = BoutId{bout};
        sheet.number = RecordNumber{number};
        sheet.words = std::move(words);
        truth[BoutId{bout}] = sheet;
        feed.sheet_changed(BoutId{bout});
    }
    Told take(SessionId session) { return told(feed.take(session, plenty)); }

    CountingBell bell;
    Feed feed{bell};
    std::map<BoutId, BoutSheet> truth;
    int asked = 0;
};

TEST_F(FeedViews, ASlowScreenGetsOnlyTheNewestOfEach) {
    Subscribe wish = call_list();
    wish.tables = true;
    wish.set_aside = true;
    feed.subscribe(desk, wish);
    for (std::uint32_t number = 1; number <= 300; ++number) {
        feed.call_list(list_of(number, number));
        feed.tables(tables_of(number, number));
        feed.set_aside(aside_of(number));
    }
    EXPECT_EQ(bell.take(desk), 3) << "once for each slot";
    EXPECT_EQ(feed.lag().views, 3U);
    EXPECT_EQ(take(desk), (Told{"call list 300", "tables 300", "set aside 300"}));
    EXPECT_EQ(take(desk), Told{});
}

TEST_F(FeedViews, EachGetsWhatItAskedForAndANewcomerWhatHoldsNow) {
    feed.call_list(list_of(1, 1));
    feed.tables(tables_of(2, 1));
    feed.subscribe(screen, call_list());
    EXPECT_EQ(bell.take(screen), 1);
    EXPECT_EQ(take(screen), Told{"call list 1"});
    feed.tables(tables_of(3, 2));
    feed.set_aside(aside_of(4));
    EXPECT_EQ(bell.take(screen), 0);
    EXPECT_EQ(take(screen), Told{});
}

// Most records change nobody's place in the queue: their numbers alone are no news.
TEST_F(FeedViews, ANumberAloneIsNoChange) {
    Subscribe wish = call_list();
    wish.tables = true;
    feed.subscribe(desk, wish);
    feed.call_list(list_of(5, 1));
    feed.tables(tables_of(5, 1));
    take(desk);
    bell.take(desk);
    feed.call_list(list_of(6, 1));
    feed.tables(tables_of(7, 1));
    EXPECT_EQ(bell.take(desk), 0);
    EXPECT_EQ(take(desk), Told{});
    feed.subscribe(screen, wish);
    EXPECT_EQ(take(screen), (Told{"call list 5", "tables 5"})) << "the number of the last change";
    feed.call_list(list_of(8, 2));
    EXPECT_EQ(take(desk), Told{"call list 8"});
}

TEST_F(FeedViews, EverybodyGetsTheSameBytes) {
    now(4, 9, "white wins");
    for (const SessionId session : {screen, desk}) {
        Subscribe wish = call_list();
        wish.sheets = {BoutId{4}};
        feed.subscribe(session, wish);
    }
    feed.call_list(list_of(1, 1));
    const auto one = feed.take(screen, plenty);
    const auto other = feed.take(desk, plenty);
    ASSERT_EQ(one.size(), 2U);
    ASSERT_EQ(other.size(), 2U);
    EXPECT_EQ(one[0].get(), other[0].get()) << "encoded twice";
    EXPECT_EQ(one[1].get(), other[1].get()) << "encoded twice";
    EXPECT_EQ(asked, 1) << "asked of the core once, when it was taken";
}

TEST_F(FeedViews, ASheetIsMadeWhenItIsTaken) {
    now(4, 1, "hajime");
    feed.subscribe(screen, sheets({BoutId{4}}));
    EXPECT_EQ(bell.take(screen), 1);
    for (std::uint32_t number = 2; number <= 50; ++number)
        now(4, number, "call " + std::to_string(number));
    EXPECT_EQ(asked, 0);
    EXPECT_EQ(take(screen), Told{"sheet 4 at 50"});
    EXPECT_EQ(asked, 1);
    now(4, 51, "mate");
    EXPECT_EQ(bell.take(screen), 1);
    EXPECT_EQ(take(screen), Told{"sheet 4 at 51"});
}

TEST_F(FeedViews, OnlyFollowersOfThatSheetAreRung) {
    now(4, 1, "hajime");
    now(5, 1, "hajime");
    feed.subscribe(screen, sheets({BoutId{4}}));
    take(screen);
    bell.take(screen);
    now(5, 2, "mate");
    EXPECT_EQ(bell.take(screen), 0);
    EXPECT_EQ(take(screen), Told{});
}

// A name that might have become known, and did not; or a record that changes the mat and not this
// bout.
TEST_F(FeedViews, ASheetThatStaysTheSameIsNotSentAgain) {
    now(4, 1, "hajime");
    feed.subscribe(screen, sheets({BoutId{4}}));
    feed.subscribe(desk, sheets({BoutId{4}}));
    EXPECT_EQ(take(screen), Told{"sheet 4 at 1"});
    feed.sheet_changed(BoutId{4});
    EXPECT_EQ(take(screen), Told{});
    now(4, 2, "hajime");
    EXPECT_EQ(take(screen), Told{});
    EXPECT_EQ(take(desk), Told{"sheet 4 at 1"}) << "who has not had it yet does get it";
    now(4, 3, "mate");
    EXPECT_EQ(take(desk), Told{"sheet 4 at 3"});
    EXPECT_EQ(take(screen), Told{"sheet 4 at 3"});
}

TEST_F(FeedViews, ABoutThatIsNotThereHasNoSheetUntilItIs) {
    feed.subscribe(screen, sheets({BoutId{99}}));
    EXPECT_EQ(take(screen), Told{});
    now(99, 7, "hajime");
    EXPECT_EQ(take(screen), Told{"sheet 99 at 7"});
}

// The hub keeps none of a bout that nobody reads.
TEST_F(FeedViews, ASheetNobodyFollowsIsForgotten) {
    now(4, 1, "hajime");
    feed.subscribe(screen, sheets({BoutId{4}}));
    feed.subscribe(desk, sheets({BoutId{4}, BoutId{4}}));
    take(screen);
    feed.leave(screen);
    EXPECT_EQ(take(desk), Told{"sheet 4 at 1"});
    EXPECT_EQ(asked, 1);
    feed.subscribe(desk, call_list());  // and no sheet any more
    feed.sheet_changed(BoutId{4});
    feed.subscribe(desk, sheets({BoutId{4}}));
    EXPECT_EQ(take(desk), Told{"sheet 4 at 1"});
    EXPECT_EQ(asked, 2) << "made anew";
    feed.leave(desk);
    feed.leave(desk);
}

TEST_F(FeedViews, TakeKeepsToItsLimitAndForgetsNothing) {
    MatView mat;
    mat.mat = MatId{1};
    feed.mat(mat);
    feed.call_list(list_of(1, 1));
    feed.tables(tables_of(2, 1));
    now(4, 3, "hajime");
    Finished item;
    item.number = RecordNumber{5};
    feed.finished(item);
    Subscribe wish = sheets({BoutId{4}});
    wish.all_mats = true;
    wish.call_list = true;
    wish.tables = true;
    wish.results = true;
    feed.subscribe(desk, wish);
    EXPECT_EQ(told(feed.take(desk, 2)), (Told{"mat 0", "result 5"}));
    EXPECT_EQ(told(feed.take(desk, 2)), (Told{"call list 1", "tables 2"}));
    EXPECT_EQ(told(feed.take(desk, 2)), Told{"sheet 4 at 3"});
}

// The same in text, for whoever speaks the other flavour.
TEST_F(FeedViews, TheOtherFlavourIsMadeOnceToo) {
    now(4, 1, "hajime");
    for (const SessionId session : {screen, desk}) {
        Subscribe wish = sheets({BoutId{4}});
        wish.call_list = true;
        feed.subscribe(session, wish);
    }
    feed.call_list(list_of(1, 1));
    const auto one = feed.take(screen, plenty, Flavour::json);
    const auto other = feed.take(desk, plenty, Flavour::json);
    ASSERT_EQ(one.size(), 2U);
    EXPECT_TRUE(one[0]->starts_with("{\"callList\":")) << *one[0];
    EXPECT_TRUE(one[1]->starts_with("{\"sheet\":")) << *one[1];
    for (std::size_t i = 0; i < one.size(); ++i)
        EXPECT_EQ(one[i].get(), other.at(i).get());
}

}  // namespace
}  // namespace honbu

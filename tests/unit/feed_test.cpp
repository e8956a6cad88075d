// The feed: a slow screen skips to the newest view, and nobody ever misses a result.
//
// A queue for each screen would grow with the slowest phone in the hall; a stream that skips would
// lose a bout on the results desk. These tests are the two promises and their borders (docs/
// architecture.md, promises 7 and 11).
#include <gtest/gtest.h>

#include "honbu/v1/hub.pb.h"
#include "hub/feed/feed.h"

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

MatView view_of(std::uint16_t mat, std::uint32_t number) {
    MatView view;
    view.mat = MatId{mat};
    view.number = RecordNumber{number};
    return view;
}
Finished result_at(std::uint32_t number) {
    Finished item;
    item.number = RecordNumber{number};
    item.mat = MatId{1};
    return item;
}
Subscribe mats(std::vector<MatId> which) {
    Subscribe wish;
    wish.mats = std::move(which);
    return wish;
}
Subscribe all_mats() {
    Subscribe wish;
    wish.all_mats = true;
    return wish;
}
Subscribe results_after(std::uint32_t number) {
    Subscribe wish;
    wish.results = true;
    wish.results_after = RecordNumber{number};
    return wish;
}

// "mat 2 at 7" or "result 9", in the order taken.
std::vector<std::string> told(const std::vector<Shared>& messages) {
    std::vector<std::string> out;
    for (const Shared& bytes : messages) {
        v1::ToClient message;
        EXPECT_TRUE(message.ParseFromString(*bytes));
        if (message.has_mat()) {
            out.push_back("mat " + std::to_string(message.mat().mat()) + " at " +
                          std::to_string(message.mat().number()));
        } else {
            out.push_back("result " + std::to_string(message.finished().number()));
        }
    }
    return out;
}
using Told = std::vector<std::string>;

struct FeedTest : testing::Test {
    CountingBell bell;
    Feed feed{bell};
};

TEST_F(FeedTest, ASlowScreenGetsOnlyTheNewestView) {
    feed.subscribe(screen, mats({MatId{1}}));
    for (std::uint32_t number = 1; number <= 500; ++number)
        feed.mat(view_of(1, number));
    EXPECT_EQ(told(feed.take(screen, plenty)), Told{"mat 1 at 500"});
    EXPECT_EQ(told(feed.take(screen, plenty)), Told{});
}

TEST_F(FeedTest, ANewcomerGetsWhatHoldsNow) {
    feed.mat(view_of(1, 1));
    feed.mat(view_of(2, 2));
    feed.mat(view_of(3, 3));
    feed.subscribe(screen, mats({MatId{3}, MatId{1}}));
    EXPECT_EQ(bell.take(screen), 1);
    EXPECT_EQ(told(feed.take(screen, plenty)), (Told{"mat 1 at 1", "mat 3 at 3"}));
}

TEST_F(FeedTest, OnlyTheMatsAskedFor) {
    feed.subscribe(screen, mats({MatId{2}}));
    feed.mat(view_of(1, 1));
    feed.finished(result_at(2));
    EXPECT_EQ(bell.take(screen), 0);
    EXPECT_EQ(told(feed.take(screen, plenty)), Told{});
    feed.mat(view_of(2, 3));
    EXPECT_EQ(told(feed.take(screen, plenty)), Told{"mat 2 at 3"});
}

TEST_F(FeedTest, AllMatsMeansAlsoThoseOfLater) {
    feed.subscribe(screen, all_mats());
    EXPECT_EQ(bell.take(screen), 0);
    feed.mat(view_of(7, 1));
    EXPECT_EQ(told(feed.take(screen, plenty)), Told{"mat 7 at 1"});
}

TEST_F(FeedTest, TheBellIsRungOnlyWhenSomethingNewlyWaits) {
    feed.subscribe(screen, all_mats());
    feed.mat(view_of(1, 1));
    EXPECT_EQ(bell.take(screen), 1);
    feed.mat(view_of(1, 2));  // in the same slot
    EXPECT_EQ(bell.take(screen), 0);
    feed.mat(view_of(2, 3));
    EXPECT_EQ(bell.take(screen), 1);
    feed.take(screen, plenty);
    feed.mat(view_of(1, 4));
    EXPECT_EQ(bell.take(screen), 1);

    feed.subscribe(desk, results_after(0));
    EXPECT_EQ(bell.take(desk), 0) << "there is no result yet";
    feed.finished(result_at(5));
    EXPECT_EQ(bell.take(desk), 1);
    EXPECT_EQ(bell.take(screen), 0) << "follows no results";
}

// Records that change nothing on this mat must cost the screens nothing.
TEST_F(FeedTest, TheSameViewIsNotSentAgain) {
    feed.subscribe(screen, all_mats());
    feed.mat(view_of(1, 1));
    feed.take(screen, plenty);
    bell.take(screen);
    feed.mat(view_of(1, 1));
    EXPECT_EQ(bell.take(screen), 0);
    EXPECT_EQ(told(feed.take(screen, plenty)), Told{});
}

TEST_F(FeedTest, EverybodyGetsTheSameBytes) {
    feed.subscribe(screen, all_mats());
    feed.subscribe(desk, all_mats());
    feed.mat(view_of(1, 1));
    const auto one = feed.take(screen, plenty);
    const auto other = feed.take(desk, plenty);
    ASSERT_EQ(one.size(), 1U);
    ASSERT_EQ(other.size(), 1U);
    EXPECT_EQ(one[0].get(), other[0].get()) << "encoded twice";
}

// A client that names the last number it has must get the very next one, whatever numbers lie
// between (most records are no results).
TEST_F(FeedTest, ResultsGoOnFromAnyNumber) {
    for (const std::uint32_t number : {10U, 20U, 21U, 35U})
        feed.finished(result_at(number));
    const auto from = [&](std::uint32_t after) {
        feed.subscribe(desk, results_after(after));
        return told(feed.take(desk, plenty));
    };
    const Told all{"result 10", "result 20", "result 21", "result 35"};
    EXPECT_EQ(from(0), all);
    EXPECT_EQ(from(9), all);
    EXPECT_EQ(from(10), (Told{"result 20", "result 21", "result 35"}));
    EXPECT_EQ(from(15), (Told{"result 20", "result 21", "result 35"}));
    EXPECT_EQ(from(20), (Told{"result 21", "result 35"}));
    EXPECT_EQ(from(34), Told{"result 35"});
    EXPECT_EQ(from(35), Told{});
    feed.finished(result_at(36));
    EXPECT_EQ(told(feed.take(desk, plenty)), Told{"result 36"});
}

TEST_F(FeedTest, NoResultIsSkippedHoweverSlowlyItIsTaken) {
    feed.subscribe(desk, results_after(0));
    Told got;
    Told all;
    std::uint32_t number = 0;
    for (int round = 0; round < 100; ++round) {
        for (int i = 0; i < 3; ++i) {
            feed.finished(result_at(++number));
            all.push_back("result " + std::to_string(number));
        }
        for (const std::string& one : told(feed.take(desk, 2)))
            got.push_back(one);
    }
    for (;;) {
        const Told more = told(feed.take(desk, 2));
        if (more.empty()) break;
        EXPECT_LE(more.size(), 2U);
        got.insert(got.end(), more.begin(), more.end());
    }
    EXPECT_EQ(got, all);
}

TEST_F(FeedTest, TakeKeepsToItsLimitAndForgetsNothing) {
    Subscribe wish = all_mats();
    wish.results = true;
    for (std::uint16_t mat = 1; mat <= 5; ++mat)
        feed.mat(view_of(mat, mat));
    for (std::uint32_t number = 6; number <= 9; ++number)
        feed.finished(result_at(number));
    feed.subscribe(desk, wish);
    EXPECT_EQ(told(feed.take(desk, 0)), Told{});
    EXPECT_EQ(told(feed.take(desk, 3)), (Told{"mat 1 at 1", "mat 2 at 2", "result 6"}));
    EXPECT_EQ(told(feed.take(desk, 3)), (Told{"mat 3 at 3", "mat 4 at 4", "result 7"}));
    EXPECT_EQ(told(feed.take(desk, 3)), (Told{"mat 5 at 5", "result 8", "result 9"}));
    EXPECT_EQ(told(feed.take(desk, 3)), Told{});
}

// The mats of a busy hall change faster than this line carries: results must still get through.
TEST_F(FeedTest, ViewsThatNeverRestDoNotHoldUpResults) {
    Subscribe wish = all_mats();
    wish.results = true;
    feed.subscribe(desk, wish);
    std::uint32_t number = 0;
    for (int i = 0; i < 3; ++i)
        feed.finished(result_at(++number));
    Told results;
    for (int round = 0; round < 3; ++round) {
        for (std::uint16_t mat = 1; mat <= 8; ++mat)
            feed.mat(view_of(mat, ++number));
        for (const std::string& one : told(feed.take(desk, 4))) {
            if (one.starts_with("result")) results.push_back(one);
        }
    }
    EXPECT_EQ(results, (Told{"result 1", "result 2", "result 3"}));
}

TEST_F(FeedTest, WhoLeavesIsForgotten) {
    feed.subscribe(screen, all_mats());
    feed.mat(view_of(1, 1));
    feed.leave(screen);
    EXPECT_EQ(told(feed.take(screen, plenty)), Told{});
    bell.take(screen);
    feed.mat(view_of(1, 2));
    feed.finished(result_at(3));
    EXPECT_EQ(bell.take(screen), 0);
    EXPECT_EQ(told(feed.take(screen, plenty)), Told{});
    feed.leave(screen);  // twice does no harm
}

TEST_F(FeedTest, AWishForNothingEndsTheSubscription) {
    Subscribe both = all_mats();
    both.results = true;
    feed.subscribe(screen, both);
    feed.subscribe(screen, Subscribe{});
    feed.mat(view_of(1, 1));
    feed.finished(result_at(2));
    EXPECT_EQ(bell.take(screen), 0);
    EXPECT_EQ(told(feed.take(screen, plenty)), Told{});
}

TEST_F(FeedTest, ANewWishReplacesTheOldAndBeginsWithWhatHoldsNow) {
    feed.subscribe(screen, all_mats());
    feed.mat(view_of(1, 1));
    feed.mat(view_of(2, 2));
    feed.take(screen, plenty);
    feed.subscribe(screen, mats({MatId{2}}));  // a board is turned to another mat
    EXPECT_EQ(told(feed.take(screen, plenty)), Told{"mat 2 at 2"});
    feed.mat(view_of(1, 3));
    EXPECT_EQ(told(feed.take(screen, plenty)), Told{});
    feed.subscribe(screen, mats({MatId{2}}));  // and asks the same again
    EXPECT_EQ(told(feed.take(screen, plenty)), Told{"mat 2 at 2"});
}

// Resuming searches by number; a stream out of order would lose results without a word.
TEST_F(FeedTest, ResultsOutOfOrderAreOurOwnMistake) {
    feed.finished(result_at(2));
    EXPECT_DEATH(feed.finished(result_at(2)), "must hold");
}

TEST_F(FeedTest, AStrangerHasNothingWaiting) {
    EXPECT_EQ(told(feed.take(SessionId{99}, plenty)), Told{});
}

// Whoever answers the bell may take at once, and may find the line broken and give the session up,
// in the middle of the round.
TEST(Feed, TheBellMayTakeAndLeave) {
    struct Answering final : Bell {
        void ring(SessionId session) override {
            taken += feed->take(session, plenty).size();
            feed->leave(screen);
            feed->leave(desk);
        }
        Feed* feed = nullptr;
        std::size_t taken = 0;
    } bell;
    Feed feed(bell);
    bell.feed = &feed;
    feed.subscribe(screen, all_mats());
    feed.subscribe(desk, all_mats());
    feed.mat(view_of(1, 1));
    EXPECT_EQ(bell.taken, 1U);
    feed.subscribe(screen, results_after(0));
    feed.subscribe(desk, results_after(0));
    feed.finished(result_at(2));
    EXPECT_EQ(bell.taken, 2U);
}

}  // namespace
}  // namespace honbu

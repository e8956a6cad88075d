// A wall clock that is wrong, by years or by a jump: hub time never goes back, and the hub says so
// where it can't follow. 32 bits of milliseconds are 49 days (2^32 ms), which is the outside number
// here.
#include "hub/clock.h"

#include <gtest/gtest.h>

namespace honbu {
namespace {

constexpr std::uint64_t begun = 1'700'000'000'000;
constexpr std::uint64_t day_ms = 24ULL * 60 * 60 * 1000;
constexpr std::uint64_t year_ms = 365 * day_ms;

HubClock::Start at(std::uint64_t now, std::uint32_t last_ms) {
    HubClock::Start start;
    start.begun_wall_ms = begun;
    start.now_wall_ms = now;
    start.has_last = true;
    start.last = Instant{last_ms};
    return start;
}

TEST(Clock, GoesOnFromTheWallClock) {
    const auto clock = HubClock::start(at(begun + 90'000, 60'000));
    ASSERT_TRUE(clock);
    EXPECT_TRUE(clock->follows_wall());
    EXPECT_GE(clock->now(), Instant{90'000});
    EXPECT_LT(clock->now(), Instant{90'000 + 60'000});  // less than a minute in between
}

TEST(Clock, AClockSetBackByYearsDoesNotTakeHubTimeBack) {
    for (const std::uint64_t back : {day_ms, year_ms, 20 * year_ms}) {
        const auto clock = HubClock::start(at(begun - back, 60'000));
        ASSERT_TRUE(clock);
        EXPECT_GT(clock->now(), Instant{60'000}) << back;
        EXPECT_LT(clock->now(), Instant{60'000 + 60'000}) << back;
    }
}

TEST(Clock, AClockYearsAheadIsNotFollowed) {
    for (const std::uint64_t ahead : {50 * day_ms, year_ms, 30 * year_ms}) {
        const auto clock = HubClock::start(at(begun + ahead, 60'000));
        ASSERT_TRUE(clock);
        EXPECT_FALSE(clock->follows_wall()) << ahead;
        EXPECT_GT(clock->now(), Instant{60'000}) << ahead;
        EXPECT_LT(clock->now(), Instant{60'000 + 60'000}) << ahead;
    }
}

// Within the 49 days it can't be told from a pause: hub time jumps ahead, and stays there when the
// clock is set right again.
TEST(Clock, AJumpAheadAndBackAgainStaysAhead) {
    const auto ahead = HubClock::start(at(begun + 3 * day_ms, 60'000));
    ASSERT_TRUE(ahead);
    EXPECT_TRUE(ahead->follows_wall());
    const Instant last = ahead->now();
    EXPECT_GE(last, Instant{static_cast<std::uint32_t>(3 * day_ms)});
    const auto right_again = HubClock::start(at(begun + 120'000, last.ms));
    ASSERT_TRUE(right_again);
    EXPECT_GT(right_again->now(), last);
}

TEST(Clock, HubTimeThatIsUsedUpIsNamed) {
    const auto clock = HubClock::start(at(begun, 0xFFFF'FFFF));
    ASSERT_FALSE(clock);
    EXPECT_NE(clock.error().words.find("49 days"), std::string::npos) << clock.error().words;
}

}  // namespace
}  // namespace honbu

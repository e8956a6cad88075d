// Instants and durations, in whole milliseconds.
//
// An Instant counts from the beginning of something the context names: a run (one life of a table
// page), a bout's own timeline, or the hub's epoch. A Duration is the distance between two of them.
// Only sensible arithmetic exists, so seconds and milliseconds, or two clocks, can't be mixed by
// accident. 32 bits hold 49 days; there are no 64-bit integers in browsers. Pure values, any
// thread.
#pragma once

#include <compare>
#include <cstdint>

namespace honbu {

struct Duration {
    std::uint32_t ms = 0;
    friend constexpr auto operator<=>(Duration, Duration) = default;
};

struct Instant {
    std::uint32_t ms = 0;
    friend constexpr auto operator<=>(Instant, Instant) = default;
};

constexpr Duration seconds(std::uint32_t count) { return Duration{count * 1000U}; }

// Neither goes below zero, where a clock would stand, nor round to zero again after 49 days: what
// a broken clock claims must not come before what was.
constexpr std::uint32_t ms_sum(std::uint32_t a, std::uint32_t b) {
    const std::uint32_t sum = a + b;
    return sum < a ? 0xffffffffU : sum;
}
constexpr Duration operator+(Duration a, Duration b) { return Duration{ms_sum(a.ms, b.ms)}; }
constexpr Duration operator-(Duration a, Duration b) {
    return Duration{a.ms > b.ms ? a.ms - b.ms : 0U};
}
constexpr Duration operator-(Instant later, Instant earlier) {
    return Duration{later.ms > earlier.ms ? later.ms - earlier.ms : 0U};
}
constexpr Instant operator+(Instant t, Duration d) { return Instant{ms_sum(t.ms, d.ms)}; }
constexpr Instant operator-(Instant t, Duration d) {
    return Instant{t.ms > d.ms ? t.ms - d.ms : 0U};
}

}  // namespace honbu

#include "hub/clock.h"

#include <algorithm>
#include <array>
#include <ctime>
#include <limits>

namespace honbu {
namespace {

constexpr std::uint64_t last_ms = std::numeric_limits<std::uint32_t>::max();
// A start this close to the end would only fail in the middle of the day.
constexpr std::uint64_t day_ms = 24ULL * 60 * 60 * 1000;

std::time_t whole_seconds(std::uint64_t unix_ms) {
    return static_cast<std::time_t>(unix_ms / 1000);
}

}  // namespace

std::uint64_t wall_ms() {
    const auto since = std::chrono::system_clock::now().time_since_epoch();
    const auto ms = std::chrono::duration_cast<std::chrono::milliseconds>(since).count();
    return ms < 0 ? 0U : static_cast<std::uint64_t>(ms);
}

std::uint64_t steady_us() {
    const auto since = std::chrono::steady_clock::now().time_since_epoch();
    return static_cast<std::uint64_t>(
        std::chrono::duration_cast<std::chrono::microseconds>(since).count());
}

std::string http_date() {
    const std::time_t seconds = whole_seconds(wall_ms());
    std::tm parts{};
    gmtime_r(&seconds, &parts);
    std::array<char, 40> text{};  // the C locale of a program that sets none: English names
    const std::size_t size = std::strftime(text.data(), text.size(), "%a, %d %b %Y %H:%M:%S GMT",
                                           &parts);
    return {text.data(), size};
}

std::string wall_text(std::uint64_t unix_ms) {
    const std::time_t seconds = whole_seconds(unix_ms);
    std::tm parts{};
    localtime_r(&seconds, &parts);
    std::array<char, 40> text{};
    const std::size_t size = std::strftime(text.data(), text.size(), "%Y-%m-%d %H:%M:%S", &parts);
    return {text.data(), size};
}

std::string utc_text(std::uint64_t unix_ms) {
    const std::time_t seconds = whole_seconds(unix_ms);
    std::tm parts{};
    gmtime_r(&seconds, &parts);
    std::array<char, 40> text{};
    const std::size_t size = std::strftime(text.data(), text.size(), "%Y-%m-%dT%H:%M:%S", &parts);
    const std::string ms = std::to_string(1000 + unix_ms % 1000);
    return std::string(text.data(), size) + "." + ms.substr(1) + "Z";
}

OrFault<HubClock> HubClock::start(const Start& from) {
    const std::uint64_t passed = from.now_wall_ms > from.begun_wall_ms
                                     ? from.now_wall_ms - from.begun_wall_ms
                                     : 0U;
    // A wall clock that was set back (or an empty battery) can't take hub time back, and one that
    // is months ahead (set right only after the epoch began) must not stop the hub.
    const std::uint64_t after_last = from.has_last ? std::uint64_t{from.last.ms} + 1U : 0U;
    const std::uint64_t by_wall = std::min(passed, last_ms) * std::uint64_t{from.rate};
    const std::uint64_t needed = std::min(day_ms * from.rate, last_ms / 2);
    const bool plausible = by_wall + needed <= last_ms;
    const std::uint64_t first = plausible ? std::max(by_wall, after_last) : after_last;
    if (first + needed > last_ms) {
        return Fault{"The journal's time has run out: one journal lasts about 49 days, and so many "
                     "times less in a rehearsal. Choose a new --data folder; this one can still be "
                     "read with honbu journal replay."};
    }
    return HubClock(Instant{static_cast<std::uint32_t>(first)}, from.rate, plausible);
}

HubClock::HubClock(Instant first, std::uint32_t rate, bool follows_wall)
    : first_(first), rate_(rate), follows_wall_(follows_wall),
      started_(std::chrono::steady_clock::now()) {}

Instant HubClock::now() const {
    const auto since = std::chrono::steady_clock::now() - started_;
    const auto us = std::chrono::duration_cast<std::chrono::microseconds>(since).count();
    // Scaled in microseconds, so that a fast rehearsal does not move in coarse steps.
    const std::uint64_t scaled = static_cast<std::uint64_t>(us) * rate_ / 1000U;
    return Instant{static_cast<std::uint32_t>(std::min(first_.ms + scaled, last_ms))};
}

}  // namespace honbu

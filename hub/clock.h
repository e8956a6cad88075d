// Hub time, and the only place in the hub that reads a clock.
//
// Milliseconds since the epoch began: the wall clock when the hub starts, then a steady clock, so
// it never steps while the hub runs, whatever happens to the wall clock. After a restart it goes on
// from the wall clock or from just after the last record, whichever is later. In a rehearsal it
// runs `rate` times as fast, and nothing else in the hub knows. Values, any thread.
#pragma once

#include <chrono>
#include <cstdint>
#include <string>

#include "engine/bout/instant.h"
#include "hub/fault.h"

namespace honbu {

std::uint64_t wall_ms();                       // unix time, for what is kept: never for measuring
std::uint64_t steady_us();                     // for measuring this program only
std::string http_date();                       // "Sun, 06 Nov 1994 08:49:37 GMT" (RFC 9110, 5.6.7)
std::string wall_text(std::uint64_t unix_ms);  // "2026-05-09 08:49:37", this machine's time zone
std::string utc_text(std::uint64_t unix_ms);   // "2026-05-09T06:49:37.120Z" (RFC 3339)

class HubClock {
public:
    struct Start {
        std::uint64_t begun_wall_ms = 0;  // of the epoch
        std::uint64_t now_wall_ms = 0;
        bool has_last = false;
        Instant last;  // hub time of the last record
        std::uint32_t rate = 1;
    };
    // 32 bits hold 49 days of hub time: a journal that has used them up can't go on.
    [[nodiscard]] static OrFault<HubClock> start(const Start& from);

    Instant now() const;
    // False: the wall clock can't be right, so hub time goes on from the last record alone.
    bool follows_wall() const { return follows_wall_; }

private:
    HubClock(Instant first, std::uint32_t rate, bool follows_wall);
    Instant first_;
    std::uint32_t rate_;
    bool follows_wall_;
    std::chrono::steady_clock::time_point started_;
};

}  // namespace honbu

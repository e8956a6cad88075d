// Fair shares: how much of the hub each kind of client may use, so that a full crowd never keeps a
// table out, and nobody's haste or slowness is another's wait.
//
// All numbers are here, with their reasons. Nothing counts by address: a whole hall may sit behind
// one. Plain values, any thread; counting is the switchboard's.
#pragma once

#include <algorithm>
#include <array>
#include <cstddef>
#include <cstdint>

#include "hub/core/message.h"

namespace honbu {

// What a connection is to the hub, from when it comes until it goes.
enum class ClientKind : std::uint8_t {
    door,        // speaks HTTP, at the hall's entrance
    knocking,    // a WebSocket there that has not been welcomed yet
    table,       // welcomed as one
    desk,        // and set-up
    display,     // boards and hall screens of the hall, and its event streams
    crowd_door,  // speaks HTTP, at the crowd's entrance
    crowd,       // all that watches there
};
inline constexpr std::size_t kinds = 7;

struct Share {
    std::size_t connections;    // at the same time
    std::size_t message_bytes;  // one message
    std::size_t waiting_bytes;  // said to it alone, and not read yet; one message may always wait
    std::uint32_t messages_per_s;  // lasting; of a door: requests
    std::uint32_t at_once;         // messages after a pause
    std::uint32_t patience_s;      // kept slow for so long without a pause, it is sent away
};

// For each kind the most there can be; fewer connections where descriptors are few.
inline constexpr std::array<Share, kinds> most{{
    // A page is a handful of files. Whoever stands here longest gives way to the next.
    {1'024, 16 * 1024, 0, 100, 400, 60},
    // A desk lets devices in one by one; a hundred of them may wait, and some more come and go.
    {160, 64 * 1024, 64 * 1024, 20, 100, 10},
    // 20 mats with a table, a spare and a board's window, and their old connections for the seconds
    // until those are missed. After hours alone a table sends thousands of calls at once, and is
    // never sent away for it.
    {128, 64 * 1024, 256 * 1024, 2'000, 10'000, 3'600},
    // Results desk, set-up, weigh-in, and programs that import.
    {64, 64 * 1024, 256 * 1024, 500, 2'000, 120},
    // Hundreds, and a load test's thousands. They say hello, what they follow, and that they live.
    {10'500, 64 * 1024, 64 * 1024, 20, 200, 30},
    // A phone's page is five files, and a hall's phones come at once.
    {4'096, 16 * 1024, 0, 20, 100, 30},
    // Phones; their longest message is a list of mats.
    {16'000, 4 * 1024, 32 * 1024, 5, 40, 30},
}};
// Of the whole crowd together: what the hub's thread reads in a few per cent of its time. Ten
// thousand phones that come back at once are all there after some ten seconds.
inline constexpr Share whole_crowd{0, 0, 0, 4'000, 4'000, 0};

// The journal, its copy, checkpoints, the log, listeners, and as many again to spare.
inline constexpr std::size_t descriptors_kept_back = 128;
inline constexpr std::size_t descriptors_through_tls = 3;  // the device's, and a pair behind it
// A hall that comes back all at once has its handshakes done long before there are so many.
inline constexpr std::size_t handshakes_at_once = 512;

class Shares {
public:
    Shares() = default;
    // What so many descriptors allow. Given out in the order of who must come in; of what is left
    // nobody but the crowd gets more than a part, so that there is some for each.
    Shares(std::size_t descriptors, bool encrypted);

    const Share& operator[](ClientKind kind) const { return of_[static_cast<std::size_t>(kind)]; }
    std::size_t hall_connections() const;
    std::size_t handshakes() const { return handshakes_; }  // through TLS, beside those
    std::size_t descriptors() const;                        // when all places are taken

private:
    std::array<Share, kinds> of_ = most;
    std::size_t hall_cost_ = 1;
    std::size_t handshakes_ = handshakes_at_once;
};

constexpr ClientKind door_of(Entrance entrance) {
    return entrance == Entrance::hall ? ClientKind::door : ClientKind::crowd_door;
}
// Of a connection that has become more than HTTP.
constexpr ClientKind begun_at(Entrance entrance) {
    return entrance == Entrance::hall ? ClientKind::knocking : ClientKind::crowd;
}
// Once it is welcomed at the hall's entrance.
ClientKind kind_of(Role role);
Goodbye full_farewell(ClientKind kind);
Goodbye too_fast_farewell();

// How fast one client speaks, against its share (a leaky bucket, as one instant).
class Pace {
public:
    // One more message: so long to wait before the next is read. 0: at once.
    std::uint64_t one_more(std::uint64_t now_us, const Share& share);
    bool too_long(std::uint64_t now_us, const Share& share) const;
    // What it is ahead of its share by is at most so much, whatever was said.
    void owe_at_most(std::uint64_t debt_us, std::uint64_t now_us, const Share& share);

private:
    std::uint64_t due_us_ = 0;         // when it has spoken so much at the lasting rate
    std::uint64_t slow_since_us_ = 0;  // 0: it is not kept slow
};

}  // namespace honbu

// What the hub answers to anybody over HTTP, put together from the parts that know it: documents,
// figures, how it stands, and the beginning of a stream of events.
//
// Only what is on the disk, and nothing about a person but name and club. Lives as long as the
// parts it was given. Hub thread.
#pragma once

#include <cstdint>
#include <filesystem>
#include <string>

#include "hub/core/hub.h"
#include "hub/feed/documents.h"
#include "hub/metrics.h"
#include "hub/net/net.h"
#include "hub/timed_journal.h"

namespace honbu {

class OpenAnswers {
public:
    struct Parts {
        const Hub& hub;
        Feed& feed;
        const Net& net;
        const TimedJournal& journal;
        std::function<Instant()> now;
        std::function<bool()> room;
        std::filesystem::path data;
        std::int64_t certificate_until_unix_s = 0;  // 0: nothing is encrypted
    };
    // When everything has been replayed.
    OpenAnswers(Parts parts, std::uint64_t started_unix_ms);

    SharedDocument document(const Wish& wish);
    std::string no_events(const EventsWish& wish) const;
    std::string follow_events(SessionId session, const EventsWish& wish);
    void commit_took(std::uint64_t us) { metrics_.commit_took(us); }

private:
    HubNow hub_now() const;
    Measured measured() const;
    std::string status() const;

    const Parts parts_;
    const std::uint64_t started_unix_ms_;
    Documents documents_;
    Metrics metrics_;
    SharedDocument openapi_;
};

}  // namespace honbu

// Fan-out: each committed fact is encoded once and given to everyone who asked for it.
//
// Two kinds and no third (docs/decisions/0006). A mat's view is the latest state, whole: a slow
// client
// skips to the newest. The results stream is every item in order: numbered, resumable, never
// skipped. What waits for a client is bounded: one slot for each view it follows, and a cursor into
// the stream. The feed owns the encoded bytes; sessions pull with take(). Hub thread.
#pragma once

#include <cstdint>
#include <map>
#include <memory>
#include <set>
#include <string>
#include <vector>

#include "hub/core/ports.h"

namespace honbu {

using Shared = std::shared_ptr<const std::string>;

// Rung when something waits for a session; hub/net answers by calling take() when it can write.
struct Bell {
    virtual ~Bell() = default;
    virtual void ring(SessionId session) = 0;
};

class Feed final : public FeedPort {
public:
    explicit Feed(Bell& bell);

    void mat(const MatView& view) override;
    void finished(const Finished& item) override;
    void subscribe(SessionId session, const Subscribe& wish) override;
    void leave(SessionId session) override;

    // What waits for this session, at most `limit` messages, each a whole encoded ToClient.
    std::vector<Shared> take(SessionId session, std::size_t limit);

private:
    struct Follower {
        std::set<MatId> mats;
        bool all_mats = false;
        std::set<MatId> waiting;  // views changed since last taken
        bool results = false;
        std::size_t next_result = 0;  // index into results_
    };
    struct Item {
        RecordNumber number;
        Shared bytes;
    };
    bool follows(const Follower& follower, MatId mat) const;

    Bell& bell_;
    std::map<MatId, Shared> views_;
    std::vector<Item> results_;
    std::map<SessionId, Follower> followers_;
};

}  // namespace honbu

// The three things the core asks of the world. The hub, the simulator and the tests differ only in
// who stands behind them. Answers come back through the core's doors (hub/core/hub.h), never as
// return values, and never before the call has returned. Hub thread.
#pragma once

#include <string>
#include <utility>
#include <vector>

#include "hub/core/message.h"

namespace honbu {

// Kept beside the chain in the same transaction: what may have to be erased one day (names).
struct Beside {
    std::string key;
    std::string value;
    bool erased = false;  // what was kept under this key goes for good; the key stays, with nothing
};

struct JournalPort {
    virtual ~JournalPort() = default;
    // Gapless numbers, in order. Answer: Hub::committed(number), once it is on the disk.
    virtual void append(RecordNumber number, std::string bytes, std::vector<Beside> beside) = 0;
};

struct OutletPort {
    virtual ~OutletPort() = default;
    virtual void reply(SessionId to, const Reply& reply) = 0;
    virtual void close(SessionId session, const Goodbye& goodbye) = 0;
};

// Committed facts, in order. The feed encodes once and delivers (hub/feed).
struct FeedPort {
    virtual ~FeedPort() = default;
    virtual void mat(const MatView& view) = 0;
    virtual void finished(const Finished& item) = 0;
    virtual void reopened(const Reopened& item) = 0;
    virtual void renamed(const Renamed& item) = 0;
    virtual void call_list(const CallList& list) = 0;
    virtual void tables(const Tables& tables) = 0;
    virtual void set_aside(const SetAside& calls) = 0;
    virtual void door(const Door& door) = 0;
    // The sheet of this bout is another one now.
    virtual void sheet_changed(BoutId bout) = 0;
    // Each record once it is kept, in order: its canonical bytes.
    virtual void recorded(RecordNumber number, const std::string& bytes) = 0;
    virtual void subscribe(SessionId session, const Subscribe& wish) = 0;
    virtual void leave(SessionId session) = 0;
};

}  // namespace honbu

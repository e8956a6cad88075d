// Stands behind the ports of a Hub that is only replayed: it asks nothing of the world, and what it
// shows nobody sees.
#pragma once

#include "hub/core/ports.h"
#include "hub/insist.h"

namespace honbu {

struct Nobody : JournalPort, OutletPort, FeedPort {
    void append(RecordNumber, std::string, std::vector<Beside>) override { INSIST(false); }
    void reply(SessionId, const Reply&) override { INSIST(false); }
    void close(SessionId, const Goodbye&) override { INSIST(false); }
    void mat(const MatView&) override {}
    void finished(const Finished&) override {}
    void reopened(const Reopened&) override {}
    void renamed(const Renamed&) override {}
    void call_list(const CallList&) override {}
    void tables(const Tables&) override {}
    void set_aside(const SetAside&) override {}
    void door(const Door&) override {}
    void sheet_changed(BoutId) override {}
    void recorded(RecordNumber, const std::string&) override {}
    void subscribe(SessionId, const Subscribe&) override { INSIST(false); }
    void leave(SessionId) override {}
};

}  // namespace honbu

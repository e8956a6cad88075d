// Fan-out: each committed fact is encoded once and given to everyone who asked for it.
//
// Two kinds and no third (docs/decisions/0006). A view is the latest state of one thing, whole: a
// slow client skips to the newest (views.h). A stream is every item in order: numbered, resumable,
// never skipped (results.h, audit.h). What waits for a client is bounded: one slot for each view it
// follows, and a place in each stream. The feed owns the encoded bytes; sessions pull with take().
// Those of the binary flavour are made at once, JSON text and events when somebody first takes
// them. It keeps the facts as well, for whoever asks once (documents.h). Hub thread.
#pragma once

#include <map>
#include <vector>

#include "hub/core/ports.h"
#include "hub/feed/audit.h"
#include "hub/feed/results.h"
#include "hub/feed/views.h"
#include "hub/wire/flavour.h"

namespace honbu {

// Rung when something waits for a session; hub/net answers by calling take() when it can write.
struct Bell {
    virtual ~Bell() = default;
    virtual void ring(SessionId session) = 0;
};

class Feed final : public FeedPort {
public:
    explicit Feed(Bell& bell);

    void begin(Epoch epoch);  // before anything is taken: events name it
    // To whoever has no right here; before anything is taken.
    void show_publicly(PublicNames names);
    void sheets_from(Views::SheetOf sheet_of) { views_.sheets_from(std::move(sheet_of)); }
    // Once all that is kept has been replayed.
    void records_from(RecordNumber kept, Audit::Source source);

    void mat(const MatView& view) override;
    void finished(const Finished& item) override;
    void reopened(const Reopened& item) override;
    void renamed(const Renamed& item) override;
    void call_list(const CallList& list) override;
    void tables(const Tables& tables) override;
    void set_aside(const SetAside& calls) override;
    void door(const Door& door) override;
    void sheet_changed(BoutId bout) override;
    void recorded(RecordNumber number, const std::string& bytes) override;
    void subscribe(SessionId session, const Subscribe& wish) override;
    void leave(SessionId session) override;

    void follow_events(SessionId session, const Subscribe& wish);

    // What waits for this session, at most `limit` messages, each whole: a ToClient in the flavour
    // that the session speaks, or the events of one item.
    std::vector<Shared> take(SessionId session, std::size_t limit,
                             Flavour flavour = Flavour::binary);

    Views& views() { return views_; }
    const Results& results() const { return results_; }
    bool make_some_results() { return results_.make_some(); }
    const Audit& audit() const { return audit_; }

    struct Lag {
        std::size_t views = 0;    // that wait to be taken, of all followers together
        std::size_t results = 0;  // of the follower that is furthest behind
        std::size_t records = 0;  // the same
    };
    Lag lag() const;

private:
    struct Follower {
        bool events = false;
        ViewsFollowed views;
        bool results = false;
        std::size_t next_result = 0;  // index into results_
        bool audit = false;
        RecordNumber last_record;
    };
    void follow(SessionId session, const Subscribe& wish, bool events);
    std::size_t results_behind(const Follower& follower) const;
    std::size_t records_behind(const Follower& follower) const;
    void changed(Topic topic);
    template<class Follows> void ring_those(const Follows& follows);

    Bell& bell_;
    Views views_;
    Results results_;
    Audit audit_;
    std::map<SessionId, Follower> followers_;
};

}  // namespace honbu

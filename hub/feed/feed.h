// Fan-out: each committed fact is encoded once and given to everyone who asked for it.
//
// Two kinds and no third (docs/decisions/0006). A mat's view is the latest state, whole: a slow
// client skips to the newest. The results stream is every item in order: numbered, resumable, never
// skipped. What waits for a client is bounded: one slot for each view it follows, and a cursor into
// the stream. The feed owns the encoded bytes; sessions pull with take(). The bytes of the binary
// flavour are made at once, JSON text and events when somebody first takes them. It keeps the facts
// themselves as well, for whoever asks once (hub/feed/documents.h). Hub thread.
#pragma once

#include <cstdint>
#include <map>
#include <memory>
#include <set>
#include <string>
#include <variant>
#include <vector>

#include "hub/core/ports.h"
#include "hub/wire/flavour.h"

namespace honbu {

using Shared = std::shared_ptr<const std::string>;

// Rung when something waits for a session; hub/net answers by calling take() when it can write.
struct Bell {
    virtual ~Bell() = default;
    virtual void ring(SessionId session) = 0;
};

// How a follower is written to: messages of the WebSocket, or server-sent events.
enum class Form : std::uint8_t { wire, events };

class Feed final : public FeedPort {
public:
    explicit Feed(Bell& bell);

    void begin(Epoch epoch);  // before anything is taken: events name it
    void mat(const MatView& view) override;
    void finished(const Finished& item) override;
    void reopened(const Reopened& item) override;
    void subscribe(SessionId session, const Subscribe& wish) override;
    void leave(SessionId session) override;

    void follow_events(SessionId session, const Subscribe& wish);

    // What waits for this session, at most `limit` messages, each whole: a ToClient in the flavour
    // that the session speaks, or an event.
    std::vector<Shared> take(SessionId session, std::size_t limit,
                             Flavour flavour = Flavour::binary);

    // -- the facts, for documents
    struct View {
        MatView view;
        std::uint64_t change = 0;  // of changes(), when it became so
        Shared bytes;
        Shared json;   // made when first asked for
        Shared event;  // the same
        Shared text;   // the same: the message of the JSON flavour
    };
    struct Item {
        RecordNumber number;
        std::variant<Finished, Reopened> fact;
        Shared bytes;  // nothing: the wire has no word for it
        Shared json;
        Shared event;
        Shared text;
    };
    const std::map<MatId, View>& views() const { return views_; }
    const Shared& json(MatId mat);                           // of a view that is there
    std::vector<const Item*> standing() const;               // the results that count now, in order
    RecordNumber last_result() const;                        // the last item of the stream; 0: none
    std::uint64_t changes() const { return changes_; }       // of views
    std::uint64_t items() const { return results_.size(); }  // of the stream

    struct Lag {
        std::size_t views = 0;    // that wait to be taken, of all followers together
        std::size_t results = 0;  // of the follower that is furthest behind
    };
    Lag lag() const;

private:
    struct Follower {
        Form form = Form::wire;
        std::set<MatId> mats;
        bool all_mats = false;
        std::set<MatId> waiting;  // views changed since last taken
        bool results = false;
        std::size_t next_result = 0;  // index into results_
    };
    bool follows(const Follower& follower, MatId mat) const;
    void follow(SessionId session, const Subscribe& wish, Form form);
    void keep(Item item);
    const Shared& event(MatId mat);
    const Shared& event(Item& item);
    const Shared& text(MatId mat);
    const Shared& text(Item& item);
    Shared next_result(Follower& follower, Flavour flavour);

    Bell& bell_;
    Epoch epoch_;
    std::uint64_t changes_ = 0;
    std::map<MatId, View> views_;
    std::vector<Item> results_;
    std::map<BoutId, std::size_t> standing_;  // index into results_
    std::map<SessionId, Follower> followers_;
};

}  // namespace honbu

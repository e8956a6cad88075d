// Who is connected: the way from a session's number to the session, and from sessions to the doors.
//
// Knows no sockets. A session enters when its handshake is done and leaves when nothing more comes
// from it; the doors hear of that once. It is forgotten when its last byte is written. Sessions
// belong to their own coroutines; here they are borrowed.
//
// Sessions that have something to write are called in turn, some at a time: what is said to one of
// them before its turn goes out with the rest in one write, and what comes in meanwhile is not kept
// waiting. Those of the hall that were answered go first, then the hall's others, then the crowd.
// Hub thread.
#pragma once

#include <array>
#include <cstddef>
#include <deque>
#include <functional>
#include <map>
#include <string>
#include <utility>
#include <vector>

#include "hub/core/message.h"
#include "hub/feed/feed.h"
#include "hub/net/shares.h"
#include "hub/net/site.h"
#include "hub/net/target.h"
#include "hub/net/trust.h"

namespace honbu {

// What net asks of the rest of the hub. Called on the hub thread, never inside one another.
struct Doors {
    std::function<void(SessionId, const Command&)> command;
    std::function<void(SessionId)> left;
    std::function<std::vector<Shared>(SessionId, std::size_t, Flavour)> take;
    std::function<Readiness()> readiness;
    std::function<SharedDocument(const Wish&)> document;
    // Server-sent events: a sentence if they can't be had, else the first event of the stream; then
    // what is taken for this session comes as events.
    std::function<std::string(const EventsWish&)> no_events;
    std::function<std::string(SessionId, const EventsWish&)> follow_events;
    std::function<std::string()> date;
    std::function<void(const std::string&)> log;
};

class Session {
public:
    virtual ~Session() = default;
    virtual void reply(const Reply& reply) = 0;
    virtual void ring() = 0;
    virtual void write() {}  // after write_soon()
    virtual void say_goodbye(const Goodbye& goodbye) = 0;
    virtual void tick() = 0;  // each `tick_ms`
    virtual std::size_t waiting_bytes() const = 0;

private:
    friend class Switchboard;
    std::array<bool, 3> waits_{};  // whose turn to write comes, by Turn
};

// One connection that may have to give way to another.
class Guest {
public:
    virtual ~Guest() = default;
    virtual void cut() = 0;
};

inline constexpr unsigned tick_ms = 2'000;

class Switchboard {
public:
    // `later` has write_some() called when the present work is done.
    Switchboard(Doors doors, std::function<void()> later)
        : doors_(std::move(doors)), later_(std::move(later)) {}

    SessionId enter(Session& session);
    void leave(SessionId id);
    void forget(SessionId id);
    Session* find(SessionId id) const;
    void tick();
    // Calls its write() before long, and once, however often it is asked for.
    enum class Turn : std::uint8_t { first, after_those, crowd };
    void write_soon(Session& session, Turn turn);
    void write_some();
    // From now on nobody enters. `then` is called when the last one is forgotten.
    void say_goodbye_to_all(const Goodbye& goodbye, std::function<void()> then);

    const Doors& doors() const { return doors_; }
    std::size_t sessions() const { return sessions_.size(); }
    std::size_t waiting_bytes() const;  // for all of them
    bool stopping() const { return stopping_; }

    // Connections of any kind.
    std::size_t connections = 0;
    std::size_t event_streams = 0;  // of the sessions
    HubNames names;                 // the hub's own, at the hall's entrance
    Trust trust;
    Shares shares;
    std::array<std::size_t, kinds> taken{};  // places, by kind
    Pace crowd_pace;                         // of the whole crowd
    bool has_place(ClientKind kind) const {
        return taken[static_cast<std::size_t>(kind)] < shares[kind].connections;
    }
    // Of those that speak HTTP, each by its entrance, in the order of their last request.
    using Place = std::uint64_t;
    Place stand(Guest& one, Entrance entrance);
    void go(Place place, Entrance entrance);
    // The one that has stood longest is cut, if there is no place.
    void make_place(Entrance entrance);
    // Of those that knock: who has not said hello goes before who waits to be let in, and of each
    // who has knocked longest. So a stranger keeps out nobody whom the hub would know.
    using Knock = std::pair<bool, Place>;  // has said hello
    Knock knock(Guest& one) { return knock_as({false, ++last_place_}, one); }
    Knock knock_as(Knock knock, Guest& one) {
        knocking_.emplace(knock, &one);
        return knock;
    }
    void knock_no_more(Knock knock) { knocking_.erase(knock); }
    // The first of them is cut. False: there is none.
    bool make_place_to_knock();

private:
    Doors doors_;
    std::function<void()> later_;
    // Whose turn comes, by Turn; nothing: it is forgotten.
    std::array<std::deque<Session*>, 3> waiting_;
    std::deque<Session*>* next_in(std::size_t place);
    bool called_ = false;  // write_some() is to come
    std::map<SessionId, Session*> sessions_;
    SessionId last_;
    std::array<std::map<Place, Guest*>, 2> standing_;
    std::map<Knock, Guest*> knocking_;
    Place last_place_ = 0;
    bool stopping_ = false;
    std::function<void()> when_empty_;
};

// Counts one connection for as long as it lives, and knows where it came in.
class Counted {
public:
    Counted(Switchboard& board, Entrance entrance)
        : board_(&board), entrance_(entrance), kind_(door_of(entrance)) {
        ++board_->connections;
        ++taken();
    }
    Counted(Counted&& other) noexcept
        : board_(std::exchange(other.board_, nullptr)), entrance_(other.entrance_),
          kind_(other.kind_) {}
    Counted& operator=(Counted&&) = delete;
    ~Counted() {
        if (board_ == nullptr) return;
        --board_->connections;
        --taken();
    }
    // False: all places of that kind are taken, and it stays what it was.
    [[nodiscard]] bool become(ClientKind kind) {
        if (kind == kind_) return true;
        if (!board_->has_place(kind)) return false;
        become_beside(kind);
        return true;
    }
    // In the place of one that was cut, and goes a little later.
    void become_beside(ClientKind kind) {
        --taken();
        kind_ = kind;
        ++taken();
    }
    ClientKind kind() const { return kind_; }
    const Share& share() const { return board_->shares[kind_]; }

    Entrance entrance() const { return entrance_; }

private:
    std::size_t& taken() { return board_->taken[static_cast<std::size_t>(kind_)]; }

    Switchboard* board_;
    Entrance entrance_;
    ClientKind kind_;
};

}  // namespace honbu

// What one WebSocket session is to the hub: by which door it came, as what it was welcomed, and how
// much it may use as such.
//
// Belongs to its session. Hub thread.
#pragma once

#include <cstdint>
#include <optional>
#include <utility>

#include "hub/core/message.h"
#include "hub/net/shares.h"
#include "hub/net/switchboard.h"

namespace honbu {

class SessionPlace {
public:
    // `session` is cut if it knocks for too long while others want to.
    SessionPlace(Counted counted, Switchboard& board, Guest& session)
        : counted_(std::move(counted)), board_(board), session_(session) {
        if (!of_the_crowd()) knock_ = board_.knock(session_);
    }
    ~SessionPlace() { knock_no_more(); }
    SessionPlace(const SessionPlace&) = delete;
    SessionPlace& operator=(const SessionPlace&) = delete;

    Entrance entrance() const { return counted_.entrance(); }
    const Share& share() const { return counted_.share(); }
    bool of_the_crowd() const { return entrance() == Entrance::crowd; }
    Switchboard::Turn turn(Switchboard::Turn of_the_hall) const {
        return of_the_crowd() ? Switchboard::Turn::crowd : of_the_hall;
    }
    bool has_said_hello() const { return role_ != Role::none; }

    // One more message or ping: so long until more is read.
    std::uint64_t one_more(std::uint64_t now_us);
    bool too_fast(std::uint64_t now_us) const { return pace_.too_long(now_us, share()); }
    // It says hello at this entrance. Nothing: the hub may hear it; else there is no place.
    std::optional<Goodbye> on_hello(Hello& hello);
    // The hub has welcomed it.
    std::optional<Goodbye> on_welcome();

private:
    void knock_no_more();

    Counted counted_;
    Switchboard& board_;
    Guest& session_;
    std::optional<Switchboard::Knock> knock_;  // until it is welcomed
    Pace pace_;
    Role role_ = Role::none;  // as which it said hello
};

}  // namespace honbu

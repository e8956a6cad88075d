#include "hub/net/switchboard.h"

#include <algorithm>

#include "hub/insist.h"

namespace honbu {
namespace {

// Between two goes what has come in is read: those who were answered may have answered.
constexpr std::size_t written_in_one_go = 16;
constexpr Session* no_session = nullptr;

}  // namespace

SessionId Switchboard::enter(Session& session) {
    ++last_.value;
    sessions_.emplace(last_, &session);
    return last_;
}

void Switchboard::leave(SessionId id) { doors_.left(id); }

void Switchboard::forget(SessionId id) {
    const auto found = sessions_.find(id);
    INSIST(found != sessions_.end());
    Session* const session = found->second;
    if (session->among_first_) std::replace(first_.begin(), first_.end(), session, no_session);
    if (session->among_others_) std::replace(others_.begin(), others_.end(), session, no_session);
    sessions_.erase(found);
    if (stopping_ && sessions_.empty()) when_empty_();
}

Session* Switchboard::find(SessionId id) const {
    const auto found = sessions_.find(id);
    return found == sessions_.end() ? nullptr : found->second;
}

// Neither a tick nor a goodbye ends a session on the spot, so the map stays as it is meanwhile.
void Switchboard::tick() {
    for (const auto& [id, session] : sessions_)
        session->tick();
}

void Switchboard::write_soon(Session& session, Turn turn) {
    bool& among = turn == Turn::first ? session.among_first_ : session.among_others_;
    if (std::exchange(among, true)) return;
    (turn == Turn::first ? first_ : others_).push_back(&session);
    if (!std::exchange(called_, true)) later_();
}

void Switchboard::write_some() {
    called_ = false;
    // A quarter is for those who only look: answers that keep coming don't starve them.
    for (std::size_t turn = 0; turn < written_in_one_go; ++turn) {
        const bool theirs = turn % 4 == 3 ? others_.empty() : !first_.empty();
        std::deque<Session*>& from = theirs ? first_ : others_;
        if (from.empty()) break;
        Session* const session = from.front();
        from.pop_front();
        if (session == nullptr) continue;
        (theirs ? session->among_first_ : session->among_others_) = false;
        session->write();
    }
    if (first_.empty() && others_.empty()) return;
    if (!std::exchange(called_, true)) later_();
}

std::size_t Switchboard::waiting_bytes() const {
    std::size_t bytes = 0;
    for (const auto& [id, session] : sessions_)
        bytes += session->waiting_bytes();
    return bytes;
}

void Switchboard::say_goodbye_to_all(const Goodbye& goodbye, std::function<void()> then) {
    stopping_ = true;
    when_empty_ = std::move(then);
    for (const auto& [id, session] : sessions_)
        session->say_goodbye(goodbye);
    if (sessions_.empty()) when_empty_();
}

}  // namespace honbu

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
    for (std::size_t at = 0; at < waiting_.size(); ++at) {
        if (session->waits_[at]) {
            std::replace(waiting_[at].begin(), waiting_[at].end(), session, no_session);
        }
    }
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
    const auto at = static_cast<std::size_t>(turn);
    if (std::exchange(session.waits_[at], true)) return;
    waiting_[at].push_back(&session);
    if (!std::exchange(called_, true)) later_();
}

// Answers to the hall come first, then the hall's others, then the crowd. Of eight places one is
// kept for the hall's others and one for the crowd: what keeps coming starves nobody.
std::deque<Session*>* Switchboard::next_in(std::size_t place) {
    constexpr std::array<std::array<std::size_t, 3>, 3> orders{{{0, 1, 2}, {1, 0, 2}, {2, 0, 1}}};
    const std::size_t order = place % 8 == 7 ? 2 : place % 8 == 3 ? 1 : 0;
    for (const std::size_t at : orders[order]) {
        if (!waiting_[at].empty()) return &waiting_[at];
    }
    return nullptr;
}

void Switchboard::write_some() {
    called_ = false;
    for (std::size_t place = 0; place < written_in_one_go; ++place) {
        std::deque<Session*>* const from = next_in(place);
        if (from == nullptr) return;
        Session* const session = from->front();
        from->pop_front();
        if (session == nullptr) continue;
        session->waits_[static_cast<std::size_t>(from - waiting_.data())] = false;
        session->write();
    }
    if (next_in(0) == nullptr) return;
    if (!std::exchange(called_, true)) later_();
}

Switchboard::Place Switchboard::stand(Guest& one, Entrance entrance) {
    standing_[static_cast<std::size_t>(entrance)].emplace(++last_place_, &one);
    return last_place_;
}

void Switchboard::go(Place place, Entrance entrance) {
    standing_[static_cast<std::size_t>(entrance)].erase(place);
}

// Its coroutine ends a little later, so the next one comes in beside it.
void Switchboard::make_place(Entrance entrance) {
    auto& all = standing_[static_cast<std::size_t>(entrance)];
    if (has_place(door_of(entrance)) || all.empty()) return;
    Guest* const longest = all.begin()->second;
    all.erase(all.begin());
    longest->cut();
}

bool Switchboard::make_place_to_knock() {
    if (knocking_.empty()) return false;
    Guest* const first = knocking_.begin()->second;
    knocking_.erase(knocking_.begin());
    first->cut();
    return true;
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

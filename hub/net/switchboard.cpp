#include "hub/net/switchboard.h"

#include "hub/insist.h"

namespace honbu {

SessionId Switchboard::enter(Session& session) {
    ++last_.value;
    sessions_.emplace(last_, &session);
    return last_;
}

void Switchboard::leave(SessionId id) { doors_.left(id); }

void Switchboard::forget(SessionId id) {
    INSIST(sessions_.erase(id) == 1);
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

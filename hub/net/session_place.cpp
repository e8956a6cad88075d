#include "hub/net/session_place.h"

#include <algorithm>

namespace honbu {

// Of the crowd the slower of its own pace and that of them all counts.
std::uint64_t SessionPlace::one_more(std::uint64_t now_us) {
    const std::uint64_t pause = pace_.one_more(now_us, share());
    if (!of_the_crowd()) return pause;
    return std::max(pause, board_.crowd_pace.one_more(now_us, whole_crowd));
}

std::optional<Goodbye> SessionPlace::on_hello(Hello& hello) {
    hello.entrance = entrance();
    role_ = hello.role;
    const ClientKind kind = kind_of(role_);
    if (of_the_crowd() || board_.has_place(kind)) return std::nullopt;
    return full_farewell(kind);
}

// Whoever waited at the door may find that the last place has gone meanwhile.
std::optional<Goodbye> SessionPlace::on_welcome() {
    if (of_the_crowd() || counted_.become(kind_of(role_))) return std::nullopt;
    return full_farewell(kind_of(role_));
}

}  // namespace honbu

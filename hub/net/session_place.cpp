#include "hub/net/session_place.h"

#include <algorithm>

namespace honbu {
namespace {

// What a whole crowd's haste costs each of it afterwards, however long it went on.
constexpr std::uint64_t crowd_debt_us_max = 3'000'000;

}  // namespace

// Of the crowd the slower of its own pace and that of them all counts.
std::uint64_t SessionPlace::one_more(std::uint64_t now_us) {
    const std::uint64_t pause = pace_.one_more(now_us, share());
    if (!of_the_crowd()) return pause;
    const std::uint64_t of_all = board_.crowd_pace.one_more(now_us, whole_crowd);
    board_.crowd_pace.owe_at_most(crowd_debt_us_max, now_us, whole_crowd);
    return std::max(pause, of_all);
}

std::optional<Goodbye> SessionPlace::on_hello(Hello& hello) {
    hello.entrance = entrance();
    role_ = hello.role;
    if (knock_ && !knock_->first) {
        board_.knock_no_more(*knock_);
        knock_->first = true;
        board_.knock_as(*knock_, session_);
    }
    const ClientKind kind = kind_of(role_);
    if (of_the_crowd() || board_.has_place(kind)) return std::nullopt;
    return full_farewell(kind);
}

// Whoever waited at the door may find that the last place has gone meanwhile.
std::optional<Goodbye> SessionPlace::on_welcome() {
    if (!of_the_crowd() && !counted_.become(kind_of(role_))) return full_farewell(kind_of(role_));
    knock_no_more();
    return std::nullopt;
}

void SessionPlace::knock_no_more() {
    if (knock_) board_.knock_no_more(*knock_);
    knock_.reset();
}

}  // namespace honbu

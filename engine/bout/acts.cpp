// Between the whole vocabulary and the calls by which another may be replaced.
#include <type_traits>

#include "engine/bout/by_kind.h"
#include "engine/bout/call.h"

namespace honbu {
namespace {

template<class Call, class Variant> struct Holds;
template<class Call, class... All>
struct Holds<Call, std::variant<All...>> : std::disjunction<std::is_same<Call, All>...> {};

}  // namespace

What what(const Act& act) {
    What out;
    by_kind([&](const auto& call) { out.emplace<std::decay_t<decltype(call)>>(call); }, act);
    return out;
}

std::optional<Act> act(const What& what) {
    std::optional<Act> out(std::in_place);
    by_kind(
        [&](const auto& call) {
            if constexpr (Holds<std::decay_t<decltype(call)>, Act>::value) {
                out->emplace<std::decay_t<decltype(call)>>(call);
            } else {
                out.reset();
            }
        },
        what);
    return out;
}

Act mirrored(const Act& act) {
    const auto flipped = [](Sides sides) {
        if (sides == only(Side::white)) return only(Side::blue);
        if (sides == only(Side::blue)) return only(Side::white);
        return sides;
    };
    Act out = act;
    by_kind(
        [&](auto& call) {
            if constexpr (requires { call.to = Sides{}; }) {
                call.to = flipped(call.to);
            } else if constexpr (requires { call.to = Side::white; }) {
                call.to = other(call.to);
            } else if constexpr (requires { call.who = Sides{}; }) {
                call.who = flipped(call.who);
            } else if constexpr (requires { call.by = Side::white; }) {
                call.by = other(call.by);
            }
        },
        out);
    return out;
}

const CallId* refers_to(const What& what) {
    if (const auto* strike = std::get_if<Strike>(&what)) return &strike->call;
    if (const auto* replace = std::get_if<Replace>(&what)) return &replace->call;
    if (const auto* move = std::get_if<Move>(&what)) return &move->call;
    return nullptr;
}

}  // namespace honbu

#include "hub/net/entrance.h"

#include <algorithm>
#include <array>

namespace honbu {
namespace {

// Named one by one: a page made later is not shown to the crowd before somebody says so. The
// script of a page is called like the page.
constexpr std::array<std::string_view, 6> for_the_crowd{"/watch.", "/board.",  "/hall.",
                                                        "/trust.", "/tokens.", "/honbu.svg"};

constexpr const char* only_looked_through =
    "This is the entrance for spectators: boards, hall screens and results can be watched here, "
    "and nothing else can be done. Tables, desk and set-up come in by the hub's other address.";

bool only_looks(const Hello& hello) {
    return hello.role == Role::none || hello.role == Role::board || hello.role == Role::hall;
}

bool only_looks(const Subscribe& wish) {
    return !wish.tables && !wish.door && !wish.set_aside && !wish.audit;
}

bool only_looks(const Command& command) {
    if (const auto* hello = std::get_if<Hello>(&command)) return only_looks(*hello);
    if (const auto* wish = std::get_if<Subscribe>(&command)) return only_looks(*wish);
    return std::holds_alternative<ClockAsk>(command) || std::holds_alternative<Heartbeat>(command);
}

}  // namespace

bool leads_to(Entrance entrance, std::string_view page) {
    return entrance == Entrance::hall ||
           std::any_of(for_the_crowd.begin(), for_the_crowd.end(),
                       [page](std::string_view begin) { return page.starts_with(begin); });
}

bool leads_to(Entrance entrance, const Wish& document) {
    return entrance == Entrance::hall ||
           (document.kind != Wish::Kind::metrics && document.kind != Wish::Kind::status);
}

std::optional<std::string> turned_away(Entrance entrance, const Command& command) {
    if (entrance == Entrance::hall || only_looks(command)) return std::nullopt;
    return only_looked_through;
}

}  // namespace honbu

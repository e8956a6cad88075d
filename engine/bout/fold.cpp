// How the fold goes: calls are put in order on the timeline; before each one, everything that comes
// by itself (time up, hold levels) is let happen; then the call is taken (engine/bout/machine.h).
#include "engine/bout/fold.h"

#include <algorithm>
#include <numeric>

#include "engine/bout/machine.h"
#include "engine/record/canon.h"

namespace honbu {
namespace {

struct Run {
    Machine machine;
    std::vector<Place> places;
    Instant last_entered;
};

Run run(const Conditions& under, std::span<const Call> calls) {
    Run out{Machine(under), std::vector<Place>(calls.size()), Instant{}};
    const Timeline timeline(calls);
    const std::vector<bool> gone = struck(calls);
    for (std::size_t i = 0; i < calls.size(); ++i) {
        out.places[i].at = timeline.place(calls[i]);
        out.last_entered = std::max(out.last_entered,
                                    timeline.place(calls[i].id.run, calls[i].entered));
    }
    std::vector<std::size_t> order(calls.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
        return out.places[a].at < out.places[b].at;
    });
    for (const std::size_t i : order) {
        Place& place = out.places[i];
        out.machine.run_to(place.at, false);
        place.contest = out.machine.s.contest.at(place.at);
        place.golden = out.machine.s.golden;
        if (gone[i]) {
            place.standing = Standing::struck;
        } else if (impossible(under, out.machine.s, calls[i].what)) {
            place.standing = Standing::without_effect;
        } else {
            out.machine.take(calls[i].what, place.at);
            place.golden = out.machine.s.golden;
            if (std::holds_alternative<Hajime>(calls[i].what)) {
                place.contest = out.machine.s.contest.at(place.at);
            }
        }
    }
    return out;
}

}  // namespace

Folded fold(const Conditions& under, std::span<const Call> calls, Instant until) {
    Run folded = run(under, calls);
    folded.machine.run_to(until, true);
    return Folded{folded.machine.s, std::move(folded.places)};
}

State before(const Conditions& under, std::span<const Call> calls, const Call& call) {
    std::vector<Call> with(calls.begin(), calls.end());
    with.push_back(call);
    const Instant entered = Timeline(with).place(call.id.run, call.entered);
    return fold(under, calls, entered).state;
}

std::vector<Frame> frames(const Conditions& under, std::span<const Call> calls) {
    Run folded = run(under, calls);
    Machine& machine = folded.machine;
    machine.run_to(folded.last_entered, true);
    std::vector<Frame> out{{folded.last_entered, Happening::none, machine.s}};
    for (auto next = machine.next(); next.what != Happening::none; next = machine.next()) {
        const Happening why = machine.happen(next);
        out.push_back({next.at, why, machine.s});
    }
    return out;
}

std::optional<std::string> refusal(const Conditions& under, std::span<const Call> calls,
                                   const State& state, const What& what) {
    const bool closes = std::holds_alternative<SoreMade>(what) ||
                        std::holds_alternative<Kachi>(what) ||
                        std::holds_alternative<Confirm>(what);
    if (calls.size() >= calls_in_bout_max && !closes) {
        return "This bout has a thousand calls. Go on with paper and tell the desk.";
    }
    if (auto no = impossible(under, state, what)) return no;
    const auto* strike = std::get_if<Strike>(&what);
    if (strike == nullptr) return {};
    const std::vector<bool> gone = struck(calls);
    for (std::size_t i = 0; i < calls.size(); ++i) {
        if (calls[i].id != strike->call) continue;
        if (gone[i]) return "That call is struck already. Strike the strike to bring it back.";
        return {};
    }
    return "That call is not one of this bout's.";
}

std::optional<std::string> no_entry(const Conditions& under, std::span<const Call> calls,
                                    const Call& call) {
    if (auto no = refusal(under, calls, before(under, calls, call), call.what)) return no;
    std::vector<Call> with(calls.begin(), calls.end());
    with.push_back(call);
    // Placed where it says it took effect, it must still count there.
    const Folded folded = fold(under, with, Instant{});
    if (folded.places.back().standing == Standing::counts) return {};
    return "At that instant the call would change nothing. Look at the list of calls.";
}

Result result_of(const Conditions& under, const State& state, Instant now) {
    Result result;
    result.winner = state.decision.winner;
    result.way = state.decision.way;
    result.golden_score = state.golden;
    const Duration elapsed = state.contest.at(now);
    result.regular = state.golden ? state.regular : elapsed;
    result.golden = state.golden ? elapsed : Duration{};
    result.white = shown(under.rules, state, Side::white);
    result.blue = shown(under.rules, state, Side::blue);
    result.rules_hash = sha256(encode(under.rules));
    result.fold_version = fold_version;
    return result;
}

}  // namespace honbu

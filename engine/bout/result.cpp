// What a bout came to: the result that is read back, confirmed and printed.
#include <algorithm>
#include <optional>

#include "engine/bout/judge.h"
#include "engine/record/canon.h"

namespace honbu {
namespace {

// What the clock showed when the table had it all. A score that was raised or a call that was
// struck later decides in hindsight; meanwhile the clock ran on, or stood. Nothing: it was known at
// once.
std::optional<Duration> clock_when_known(const Conditions& under, std::span<const Call> calls,
                                         const State& state) {
    const Timeline timeline(calls);
    for (std::size_t i = calls.size(); i-- > 0;) {
        const Call& call = calls[i];
        const bool corrects = refers_to(call.what) != nullptr || call.back.ms > 0;
        if (!corrects) continue;
        const Instant then = timeline.place(call.id.run, call.entered);
        const State was = fold(under, calls.first(i), then).state;
        const bool same = was.decision.winner == state.decision.winner &&
                          was.decision.at == state.decision.at;
        if (same || then < state.decision.at) continue;
        if (was.golden != state.golden) return std::nullopt;
        return was.contest.at(then);
    }
    return std::nullopt;
}

}  // namespace

std::uint8_t points_of(const RuleSet& rules, const Decision& decision) {
    const Winner who = decision.winner;
    if (who != Winner::white && who != Winner::blue) return 0;
    switch (decision.way) {
    case Way::none:
    case Way::both_lose:
    case Way::hiki_wake: return 0;
    case Way::ippon:
    case Way::waza_ari_awasete_ippon:
    case Way::sogo_gachi:
    case Way::hansoku_make_by_shido:
    case Way::hansoku_make_direct:
    case Way::kiken_gachi:
    case Way::fusen_gachi: return rules.points.ippon;
    case Way::waza_ari: return rules.points.waza_ari;
    case Way::yuko: return rules.points.yuko;
    case Way::koka: return rules.points.koka;
    case Way::fewer_shido: return rules.points.fewer_shido;
    case Way::hantei: return rules.points.hantei;
    }
    return 0;
}

Result result_of(const Conditions& under, std::span<const Call> calls, Instant now) {
    const State state = fold(under, calls, now).state;
    Result result;
    result.winner = state.decision.winner;
    result.way = state.decision.way;
    result.means = state.decision.means;
    result.flags = state.decision.flags;
    result.golden_score = state.golden;
    const Duration elapsed = state.contest.at(now);
    result.regular = state.golden ? state.regular : elapsed;
    result.golden = state.golden ? elapsed : Duration{};
    if (state.decided()) {
        result.decided = state.decision.elapsed;
        result.stopped = std::max(elapsed, clock_when_known(under, calls, state).value_or(elapsed));
    }
    result.white = shown(under.rules, state, Side::white);
    result.blue = shown(under.rules, state, Side::blue);
    result.points = points_of(under.rules, state.decision);
    result.names_exchanged = state.names_exchanged;
    result.administrative = state.administrative;
    result.rules_hash = sha256(encode(under.rules));
    result.fold_version = fold_version;
    return result;
}

}  // namespace honbu

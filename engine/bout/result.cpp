// What a bout came to: the result that is read back, confirmed and printed.
#include <algorithm>

#include "engine/bout/corrected.h"
#include "engine/bout/judge.h"
#include "engine/record/canon.h"

namespace honbu {
namespace {

bool stops_clock(const RuleSet& rules, const What& what) {
    return (std::holds_alternative<Mate>(what) && rules.clock_runs == ClockRuns::to_mate) ||
           std::holds_alternative<Pause>(what) || std::holds_alternative<SonoMama>(what) ||
           std::holds_alternative<SoreMade>(what) || std::holds_alternative<Kachi>(what);
}

// How long the clock really ran on after the deciding instant: a call that was changed or put in
// later decided only in hindsight, so the clock ran until somebody stopped it or put it in.
Duration ran_on(const Conditions& under, std::span<const Call> calls, const State& state) {
    const Instant decided = state.decision.at;
    const Timeline timeline(calls);
    const Corrected corrected(calls);
    Instant known = decided;  // when the table had it all
    Instant stopped{0xffffffffU};
    for (const Placed& placed : corrected.order) {
        const Call& call = calls[placed.index];
        const Instant entered = timeline.place(call.id.run, call.entered);
        if (placed.gone) continue;
        if (placed.at == decided && !std::holds_alternative<Hajime>(*placed.what)) {
            known = std::max(known, entered);
            for (const Call& later : calls) {
                const CallId* about = refers_to(later.what);
                if (about == nullptr || *about != call.id) continue;
                known = std::max(known, timeline.place(later.id.run, later.entered));
            }
        }
        if (placed.at > decided && stops_clock(under.rules, *placed.what)) {
            stopped = std::min(stopped, placed.at);
        }
    }
    const Instant stood = std::min(known, stopped);
    return stood > decided ? stood - decided : Duration{};
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
        result.stopped = std::max(elapsed, state.decision.elapsed + ran_on(under, calls, state));
        const Duration limit = state.golden ? under.golden : under.time;
        if (limit.ms > 0) result.stopped = std::min(result.stopped, limit);
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

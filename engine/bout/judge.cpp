#include "engine/bout/judge.h"

namespace honbu {

bool out(const RuleSet& rules, const Tally& tally) {
    return tally.direct_hansoku_make || tally.shido >= rules.shido_out;
}

Equivalent equivalent(const RuleSet& rules, const Tally& other_tally) {
    if (other_tally.shido == 0) return Equivalent::none;
    const std::size_t nth = other_tally.shido - 1U;
    return rules.shido_equivalent[nth < shido_max ? nth : shido_max - 1];
}

BoardSide shown(const RuleSet& rules, const State& state, Side side) {
    const Tally& tally = state.of(side);
    BoardSide board;
    board.score = tally.score;
    board.shido = tally.shido;
    board.hansoku_make = out(rules, tally);
    // Only the penalty's own equivalent is replaced by the next one, never a score that was given:
    // so it is derived here from the count and kept nowhere.
    const Equivalent worth = equivalent(rules, state.of(other(side)));
    if (worth != Equivalent::none) ++board.score[static_cast<std::size_t>(worth) - 1];
    if (state.hold.on && state.hold.by == side && state.hold.reached > 0) {
        ++board.score[state.hold.reached - 1U];
    }
    return board;
}

Way ippon_way(const RuleSet& rules, const State& state, Side side) {
    const BoardSide board = shown(rules, state, side);
    const bool by_penalty = equivalent(rules, state.of(other(side))) == Equivalent::waza_ari;
    const int given = board.score[index(Level::waza_ari)] - (by_penalty ? 1 : 0);
    const int ippon = board.score[index(Level::ippon)];
    const int pairs = rules.two_waza_ari_are_ippon ? given / 2 : 0;
    if (ippon + pairs >= rules.ippon_needed)
        return ippon > 0 ? Way::ippon : Way::waza_ari_awasete_ippon;
    if (rules.sogo_gachi && by_penalty && given >= 1) return Way::sogo_gachi;
    return Way::none;
}

Decision compare(const RuleSet& rules, const State& state) {
    const BoardSide white = shown(rules, state, Side::white);
    const BoardSide blue = shown(rules, state, Side::blue);
    constexpr Way ways[level_count] = {Way::koka, Way::yuko, Way::waza_ari, Way::ippon};
    for (std::size_t i = level_count; i-- > 0;) {
        // In golden score what counts is what came in it.
        const int ahead = (white.score[i] - state.golden_base[0][i]) -
                          (blue.score[i] - state.golden_base[1][i]);
        if (ahead == 0) continue;
        Decision decision;
        decision.winner = ahead > 0 ? Winner::white : Winner::blue;
        decision.way = ways[i];
        return decision;
    }
    return Decision{};
}

bool can_still_turn(const State& s) {
    if (!s.decided()) return false;
    if (s.decision.basis == Basis::hold) return s.hold.on;
    return s.decision.basis == Basis::comparison;
}

std::string_view state_word(const State& s) {
    switch (s.phase) {
    case Phase::waiting: return s.decided() ? "decided" : "waiting";
    case Phase::called: return s.decided() ? "decided" : "called";
    case Phase::fighting: return s.decided() ? "decided" : "fighting";
    case Phase::stopped: return s.decided() ? "decided" : "stopped";
    case Phase::frozen: return s.decided() ? "decided" : "frozen";
    case Phase::over: return "over";
    case Phase::announced: return "announced";
    case Phase::confirmed: return "confirmed";
    case Phase::accepted: return "accepted";
    }
    return "";
}

}  // namespace honbu

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
    if (board.score[index(Level::ippon)] > 0) return Way::ippon;
    const bool by_penalty = equivalent(rules, state.of(other(side))) == Equivalent::waza_ari;
    const std::uint8_t waza_ari = board.score[index(Level::waza_ari)];
    const int given = waza_ari - (by_penalty ? 1 : 0);
    if (rules.two_waza_ari_are_ippon && given >= 2) return Way::waza_ari_awasete_ippon;
    if (rules.sogo_gachi && by_penalty && given >= 1) return Way::sogo_gachi;
    return Way::none;
}

Decision compare(const RuleSet& rules, const State& state) {
    const BoardSide white = shown(rules, state, Side::white);
    const BoardSide blue = shown(rules, state, Side::blue);
    constexpr Way ways[level_count] = {Way::koka, Way::yuko, Way::waza_ari, Way::ippon};
    for (std::size_t i = level_count; i-- > 0;) {
        if (white.score[i] == blue.score[i]) continue;
        const bool white_ahead = white.score[i] > blue.score[i];
        return Decision{white_ahead ? Winner::white : Winner::blue, ways[i], Instant{}};
    }
    return Decision{};
}

bool can_still_turn(const State& s) {
    if (!s.decided()) return false;
    if (s.golden) return s.hold.on && s.hold.decides;
    const Way way = s.decision.way;
    return s.time_up && (way == Way::waza_ari || way == Way::yuko || way == Way::koka ||
                         way == Way::fewer_shido);
}

namespace {

using No = std::optional<std::string>;

bool begun(const State& s) { return s.phase != Phase::waiting && s.phase != Phase::called; }

struct Impossible {
    const Conditions& under;
    const State& s;

    No operator()(const Called&) const { return {}; }
    No operator()(const Joint&) const { return {}; }
    No operator()(const Strike&) const { return {}; }

    No operator()(const Hajime&) const {
        if (s.phase == Phase::frozen) return "Sono-mama holds the bout: press yoshi to go on.";
        if (s.contest.running) return "The clock is running already.";
        if (!s.time_up) return {};
        if (s.hold.on) return "Time is up and the hold goes on: toketa or mate ends it.";
        if (s.decided()) return "Time is up and the bout is decided: press sore-made.";
        if (s.golden) return "Golden score has run out: press hantei for the winner.";
        if (under.rules.tie == Tie::hantei) {
            return "These rules have no golden score: press hantei for the winner.";
        }
        return {};
    }
    No operator()(const Mate&) const {
        if (!begun(s)) return "The bout has not begun: press hajime.";
        if (s.phase == Phase::over) return "Sore-made has been called already.";
        if (!s.contest.running && !s.hold.on && s.phase != Phase::frozen) {
            return "The clock stands already.";
        }
        return {};
    }
    No operator()(const SonoMama&) const {
        if (s.phase == Phase::frozen) return "Sono-mama is on already: press yoshi to go on.";
        if (!s.contest.running && !s.hold.on) return "The clock stands: there is nothing to hold.";
        return {};
    }
    No operator()(const Yoshi&) const {
        if (s.phase != Phase::frozen) return "Yoshi comes after sono-mama: press hajime.";
        return {};
    }
    No operator()(const Osaekomi&) const {
        if (s.phase == Phase::frozen) return "Sono-mama is on: press yoshi first.";
        if (s.phase == Phase::over && !s.time_up) {
            return "Sore-made has been called. Strike it first, then osaekomi.";
        }
        if (s.hold.on) {
            return std::string(word(s.hold.by)) + " is holding already: press toketa first.";
        }
        return {};
    }
    No operator()(const Toketa&) const {
        if (!s.hold.on) return "No hold is running.";
        return {};
    }
    No operator()(const Score& c) const {
        if (!under.rules.has(c.level)) {
            return "There is no " + std::string(word(c.level)) + " under these rules.";
        }
        if (s.of(c.to).score[index(c.level)] >= 99) return "That side has 99 of them already.";
        return {};
    }
    No operator()(const Shido& c) const { return penalty(c.to); }
    No operator()(const HansokuMake& c) const { return penalty(c.to); }
    No operator()(const Submission& c) const {
        if (s.of(c.to).score[index(Level::ippon)] > 0) {
            return std::string(word(c.to)) + " has ippon already.";
        }
        return {};
    }
    No operator()(const Award& c) const {
        switch (c.way) {
        case Way::hantei:
            if (s.decided()) return "The bout is decided already.";
            if (!s.time_up || s.hold.on || !decided_by_hantei()) {
                return "Hantei comes when time has run out with equal scores.";
            }
            return {};
        case Way::kiken_gachi:
            if (!begun(s)) return "The bout has not begun: press fusen-gachi.";
            return decided_already();
        case Way::fusen_gachi:
            if (begun(s)) return "The bout has begun: press kiken-gachi.";
            return decided_already();
        case Way::none:
        case Way::ippon:
        case Way::waza_ari_awasete_ippon:
        case Way::sogo_gachi:
        case Way::waza_ari:
        case Way::yuko:
        case Way::koka:
        case Way::fewer_shido:
        case Way::hansoku_make_by_shido:
        case Way::hansoku_make_direct:
        case Way::both_lose:
        case Way::hiki_wake: break;
        }
        return "A bout is not given that way: enter the score or the penalty.";
    }
    No operator()(const SoreMade&) const {
        if (s.phase == Phase::over) return "Sore-made has been called already.";
        if (!begun(s) && !s.decided()) return "The bout has not begun: press hajime.";
        return {};
    }
    No operator()(const Kachi&) const {
        if (!s.decided()) return "Nobody has won yet: enter what the referee called.";
        if (s.hold.on) return "A hold is running: toketa, mate or sore-made first.";
        return {};
    }
    No operator()(const Confirm&) const { return "Confirm after kachi."; }

private:
    bool decided_by_hantei() const {
        return s.golden ? under.rules.golden_limit.ms > 0 : under.rules.tie == Tie::hantei;
    }
    No decided_already() const {
        if (!s.decided() || can_still_turn(s)) return {};
        return "The bout is decided already: strike what decided it first.";
    }
    No penalty(Sides to) const {
        if (to.bits == 0 || to.bits > 3) return "Say who gets the penalty.";
        for (const Side side : {Side::white, Side::blue}) {
            if (to.has(side) && out(under.rules, s.of(side))) {
                return std::string(word(side)) + " has hansoku-make already.";
            }
        }
        return {};
    }
};

}  // namespace

std::optional<std::string> impossible(const Conditions& under, const State& state,
                                      const What& what) {
    // A joint says how clocks meet and never touches the bout itself; strikes are looked at as
    // calls.
    if (std::holds_alternative<Joint>(what)) return {};
    if (state.phase == Phase::confirmed) {
        return "This bout is confirmed. Ask the desk to open it again.";
    }
    if (state.phase == Phase::announced) {
        if (std::holds_alternative<Confirm>(what) || std::holds_alternative<Strike>(what)) {
            return {};
        }
        return "Kachi has been announced. Strike kachi first, then correct.";
    }
    return std::visit(Impossible{under, state}, what);
}

bool unusual(const Conditions& under, const State& s, const What& what) {
    struct Unusual {
        const Conditions& under;
        const State& s;
        bool standing() const { return s.phase != Phase::fighting; }
        bool operator()(const Called&) const { return false; }
        bool operator()(const Joint&) const { return false; }
        bool operator()(const Strike&) const { return false; }
        bool operator()(const Hajime&) const { return s.decided(); }
        bool operator()(const Mate&) const { return false; }
        bool operator()(const SonoMama&) const { return false; }
        bool operator()(const Yoshi&) const { return false; }
        bool operator()(const Osaekomi&) const { return standing() || s.decided(); }
        bool operator()(const Toketa&) const { return false; }
        bool operator()(const Score&) const { return standing() || s.decided(); }
        bool operator()(const Shido&) const { return !begun(s) || s.decided(); }
        bool operator()(const HansokuMake&) const { return !begun(s); }
        bool operator()(const Submission&) const { return standing() || s.decided(); }
        bool operator()(const Award& c) const { return c.way == Way::kiken_gachi && s.decided(); }
        bool operator()(const SoreMade&) const { return !s.decided() && !s.time_up; }
        bool operator()(const Kachi&) const { return s.phase != Phase::over; }
        bool operator()(const Confirm&) const { return false; }
    };
    return std::visit(Unusual{under, s}, what);
}

}  // namespace honbu

// Who has won after what was called: the judging half of the machine. Sources: docs/rules.md.
#include <utility>

#include "engine/bout/machine.h"

namespace honbu {

// `soft`: the decision before this change may still turn.
void Machine::judge_again(Instant t, bool soft) {
    const Decision before = s.decision;
    if (soft) s.decision = Decision{};
    judge(t);
    if (s.decision.winner == before.winner && s.decided()) {
        s.decision.at = before.at;
        s.decision.elapsed = before.elapsed;
    }
}

void Machine::judge(Instant t) {
    const bool white_out = out(rules_, s.of(Side::white));
    const bool blue_out = out(rules_, s.of(Side::blue));
    // The referee's own word on who wins stands until a later penalty or word.
    const bool stands = s.decision.basis == Basis::person && !s.together.over_person;
    if (stands) return;
    if (white_out && blue_out) return both_out(t);
    if (white_out || blue_out) {
        const Side loser = white_out ? Side::white : Side::blue;
        const Way way = s.of(loser).direct_hansoku_make ? Way::hansoku_make_direct
                                                        : Way::hansoku_make_by_shido;
        if (s.decision.basis == Basis::person && s.decision.winner == winner(other(loser))) return;
        const bool news = s.decision.winner != winner(other(loser)) || s.decision.way != way;
        if (news) decide({winner(other(loser)), way, Means::none, 0, t, {}, Basis::penalty});
        return;
    }
    if (s.decided()) return;
    const Way white_way = ippon_way(rules_, s, Side::white);
    const Way blue_way = ippon_way(rules_, s, Side::blue);
    // Neither has won, and golden score decides (docs/rules.md, "Ippon by both at once").
    if (white_way != Way::none && blue_way != Way::none) return go_to_golden(t);
    for (const Side side : {Side::white, Side::blue}) {
        const Way way = side == Side::white ? white_way : blue_way;
        if (way == Way::none) continue;
        const bool holding = s.hold.on && s.hold.by == side &&
                             s.hold.reached == static_cast<std::uint8_t>(Level::ippon);
        Means means = holding ? Means::hold : s.of(side).ippon_by;
        if (way != Way::ippon) means = Means::none;
        return decide({winner(side), way, means, 0, t, {}, Basis::score});
    }
    if (s.golden) {
        Decision ahead = compare(rules_, s);
        ahead.at = t;
        ahead.basis = Basis::score;
        if (ahead.winner != Winner::undecided) decide(ahead);
    } else if (s.time_up && !s.golden_next && !s.hold.on) {
        judge_at_time(t);
    }
}

void Machine::judge_at_time(Instant t) {
    Decision ahead = compare(rules_, s);
    if (ahead.winner == Winner::undecided && rules_.at_time == AtTime::scores_then_shido) {
        const int white = s.of(Side::white).shido;
        const int blue = s.of(Side::blue).shido;
        if (white != blue) {
            ahead.winner = white < blue ? Winner::white : Winner::blue;
            ahead.way = Way::fewer_shido;
        }
    }
    ahead.at = t;
    ahead.basis = Basis::comparison;
    if (ahead.winner != Winner::undecided) decide(ahead);
}

// -- penalties: those given while the clocks stand are judged as one (docs/rules.md, "Penalties")

void Machine::open_penalties() {
    if (!s.together.open) {
        s.together.open = true;
        s.together.over_person = false;
        s.together.before = s.decision;
        s.together.shido = {s.of(Side::white).shido, s.of(Side::blue).shido};
    }
    // Every other call that can decide closes them: what was decided since, they have decided.
    s.decision = s.together.before;
}

void Machine::judge_penalties(const Decision& standing_before) {
    weigh_deciding_hold();
    judge_again(now_, s.decision.basis == Basis::comparison);
    if (s.golden && !s.decided()) shido_in_golden();
    if (s.decided() && s.decision.winner == standing_before.winner) {
        s.decision.at = standing_before.at;
        s.decision.elapsed = standing_before.elapsed;
    }
    if (!standing()) s.together.open = false;
}

// A penalty of the holder comes before the value of a hold that has decided golden score
// (docs/rules.md, "Hold in golden score"): if the held athlete wins by the penalties of this pause,
// all taken together, the hold gives nothing. Worked out anew at each of them.
void Machine::weigh_deciding_hold() {
    PastHold& past = s.past_hold;
    if (past.taken_out) {
        ++s.of(past.by).score[past.reached - 1U];
        past.taken_out = false;
    }
    const bool running = s.hold.on && s.decision.basis == Basis::hold;
    if (!running && !(past.decided && past.reached > 0 && standing())) return;
    const Side holder = running ? s.hold.by : past.by;
    const std::uint8_t reached = running ? s.hold.reached : past.reached;
    const std::uint8_t shido_before = s.together.shido[holder == Side::white ? 0 : 1];
    const Tally& tally = s.of(holder);
    if (tally.shido == shido_before && !tally.direct_hansoku_make) return;

    // Asked of copies: without the hold, and without the hold and these penalties.
    const auto winner_without_hold = [&](bool with_penalties) {
        Machine trial(*this);
        trial.s.decision = Decision{};
        if (running) {
            trial.s.hold = Hold{};
        } else {
            --trial.s.of(holder).score[reached - 1U];
        }
        if (!with_penalties) {
            trial.s.of(Side::white).shido = s.together.shido[0];
            trial.s.of(Side::blue).shido = s.together.shido[1];
            trial.s.of(holder).direct_hansoku_make = false;
        }
        trial.judge(now_);
        if (!trial.s.decided()) trial.shido_in_golden();
        return trial.s.decision.winner;
    };
    const Winner held = winner(other(holder));
    if (winner_without_hold(true) != held || winner_without_hold(false) == held) return;

    if (running) {
        end_deciding_hold();
        stop(now_);
        s.together.before.basis = Basis::score;
    }
    --s.of(holder).score[reached - 1U];
    s.past_hold.taken_out = true;
    s.decision = Decision{};
}

void Machine::shido_in_golden() {
    const std::uint8_t white = s.of(Side::white).shido;
    const std::uint8_t blue = s.of(Side::blue).shido;
    const bool to_white = white > s.together.shido[0];
    const bool to_blue = blue > s.together.shido[1];
    bool white_loses = false;
    bool blue_loses = false;
    switch (rules_.golden_shido) {
    case GoldenShido::nothing: return;
    case GoldenShido::first:
        white_loses = to_white && !to_blue;
        blue_loses = to_blue && !to_white;
        break;
    case GoldenShido::lead:
        white_loses = to_white && white > blue;
        blue_loses = to_blue && blue > white;
        break;
    }
    if (white_loses == blue_loses) return;
    const Winner who = white_loses ? Winner::blue : Winner::white;
    decide({who, Way::fewer_shido, Means::none, 0, now_, {}, Basis::penalty});
}

void Machine::both_out(Instant t) {
    const bool direct = s.of(Side::white).direct_hansoku_make ||
                        s.of(Side::blue).direct_hansoku_make;
    if (rules_.both_hansoku_make == BothHansokuMake::golden_score && !direct && !s.golden) {
        s.decision = Decision{};
        go_to_golden(t);
    } else if (s.decision.winner != Winner::both_lose) {
        decide({Winner::both_lose, Way::both_lose, Means::none, 0, t, {}, Basis::penalty});
    }
}

// Regular time ends here without a winner; the next hajime begins golden score.
void Machine::go_to_golden(Instant t) {
    if (s.golden) return;
    end_hold(t, false);
    stop(t);
    s.time_up = true;
    s.time_up_at = t;
    s.golden_next = true;
}

// Ends the fighting, except that a hold in golden score runs on (docs/rules.md, "Hold in golden
// score"): from the first scoring second the bout is decided, and the hold may still grow.
void Machine::decide(Decision decision) {
    decision.elapsed = s.contest.at(decision.at);
    const bool of_the_hold = s.golden && s.hold.on && s.hold.reached > 0 &&
                             decision.winner == winner(s.hold.by) &&
                             decision.basis == Basis::score &&
                             ippon_way(rules_, s, s.hold.by) == Way::none;
    if (of_the_hold) decision.basis = Basis::hold;
    s.decision = decision;
    if (of_the_hold) return;
    end_hold(decision.at, false);
    stop(decision.at);
}

}  // namespace honbu

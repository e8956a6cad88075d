// The machine of the fold: a state, the calls it takes, and what comes by itself. Internal to
// engine/bout; fold.cpp runs it, judge.cpp knows who wins.
//
// At one and the same instant a hold's level comes first, then calls, then time up: a hold of
// exactly
// 20 s has reached 20 s, and what is called with the signal counts (docs/rules.md, "The time
// signal").
#pragma once

#include "engine/bout/judge.h"

namespace honbu {

inline constexpr std::uint8_t most_of_a_level = 99;  // what a board can show

class Machine {
public:
    explicit Machine(const Conditions& under) : under_(under), rules_(under.rules) {}

    State s;

    struct Next {
        Happening what = Happening::none;
        Instant at;
        std::uint8_t level = 0;
    };

    Next next() const {
        Next found;
        if (s.hold.on && s.hold.clock.running) {
            for (const Level level : {Level::koka, Level::yuko, Level::waza_ari, Level::ippon}) {
                const Duration needed = rules_.hold_for(level);
                const auto rank = static_cast<std::uint8_t>(level);
                if (needed.ms == 0 || rank <= s.hold.reached) continue;
                found = {Happening::hold_level, s.hold.clock.since + (needed - s.hold.clock.value),
                         rank};
                break;
            }
        }
        const Duration limit = s.golden ? rules_.golden_limit : under_.time;
        const bool limited = limit.ms > 0 || !s.golden;
        // A call that stops the clock in the instant of the signal does not keep time from being
        // up.
        const bool comes = s.contest.running || s.contest.value >= limit;
        if (limited && comes && !s.time_up) {
            const Instant at = s.contest.since + (limit - s.contest.value);
            if (found.what == Happening::none || at < found.at) {
                found = {Happening::time_up, at, 0};
            }
        }
        return found;
    }

    // Lets one happening happen. Returns what a screen should say it was.
    Happening happen(const Next& next) {
        if (next.what == Happening::time_up) {
            s.contest.stop(next.at);
            s.time_up = true;
            if (!s.hold.on) {
                if (s.phase == Phase::fighting) s.phase = Phase::stopped;
                judge(next.at);
            }
            return Happening::time_up;
        }
        s.hold.reached = next.level;
        const bool enough = ippon_way(rules_, s, s.hold.by) != Way::none ||
                            (s.golden && rules_.golden_hold == GoldenHold::stop_at_first_score);
        if (!enough) {
            judge_softly(next.at);
            return Happening::hold_level;
        }
        end_hold_and_judge(next.at, true);
        return Happening::hold_ended;
    }

    void run_to(Instant t, bool with_time_up) {
        for (Next n = next(); n.what != Happening::none; n = next()) {
            const bool due = n.what == Happening::time_up && !with_time_up ? n.at < t : n.at <= t;
            if (!due) return;
            happen(n);
        }
    }

    void take(const What& what, Instant t) {
        now_ = t;
        std::visit(*this, what);
    }

    // -- one call each, at now_
    void operator()(const Called&) {
        if (s.phase == Phase::waiting) s.phase = Phase::called;
    }
    void operator()(const Hajime&) {
        if (s.time_up && !s.golden && !s.decided()) begin_golden();
        // After a decision no contest time passes any more. If what decided is struck later, this
        // hajime counts after all.
        if (s.decided()) return;
        s.contest.start(now_);
        s.phase = Phase::fighting;
    }
    void operator()(const Mate&) { end_hold_and_judge(now_, true); }
    void operator()(const SonoMama&) {
        s.frozen_running = s.contest.running;
        s.contest.stop(now_);
        s.hold.clock.stop(now_);
        s.phase = Phase::frozen;
    }
    void operator()(const Yoshi&) {
        if (s.frozen_running && !s.time_up) s.contest.start(now_);
        if (s.hold.on) s.hold.clock.start(now_);
        s.phase = Phase::fighting;
    }
    void operator()(const Osaekomi& c) {
        s.hold = Hold{};
        s.hold.on = true;
        s.hold.by = c.by;
        s.hold.clock.start(now_);
        const bool at_signal = s.phase == Phase::stopped || s.phase == Phase::over;
        if (at_signal && s.time_up) s.phase = Phase::fighting;
        judge_softly(now_);  // a decision at the signal waits for this hold
    }
    void operator()(const Toketa&) {
        if (s.time_up) s.phase = Phase::stopped;
        end_hold_and_judge(now_, false);
    }
    void operator()(const Score& c) {
        ++s.of(c.to).score[index(c.level)];
        judge_softly(now_);
    }
    void operator()(const Shido& c) {
        for (const Side side : {Side::white, Side::blue}) {
            if (c.to.has(side)) ++s.of(side).shido;
        }
        judge_softly(now_);
        if (s.golden && !s.decided()) shido_in_golden(c.to);
    }
    void operator()(const HansokuMake& c) {
        for (const Side side : {Side::white, Side::blue}) {
            if (c.to.has(side)) s.of(side).direct_hansoku_make = true;
        }
        judge_softly(now_);
    }
    void operator()(const Submission& c) {
        const bool soft = can_still_turn(s);  // then the held athlete may win after all
        end_hold(now_);
        ++s.of(c.to).score[index(Level::ippon)];
        judge_again(now_, soft);
    }
    void operator()(const Award& c) {
        end_hold(now_);
        decide(Decision{winner(c.to), c.way, now_});
    }
    void operator()(const SoreMade&) {
        end_hold_and_judge(now_, true);
        s.phase = Phase::over;
    }
    void operator()(const Kachi&) {
        stop(now_);
        s.phase = Phase::announced;
    }
    void operator()(const Confirm&) { s.phase = Phase::confirmed; }
    void operator()(const Strike&) {}
    void operator()(const Joint&) {}

private:
    void stop(Instant t) {
        s.contest.stop(t);
        if (s.phase == Phase::fighting || s.phase == Phase::frozen) s.phase = Phase::stopped;
    }

    // One hold, one score: the highest level reached.
    void end_hold(Instant t) {
        if (!s.hold.on) return;
        s.hold.clock.stop(t);
        s.hold.on = false;
        if (s.hold.reached == 0) return;
        std::uint8_t& count = s.of(s.hold.by).score[s.hold.reached - 1U];
        if (count < most_of_a_level) ++count;
    }

    void begin_golden() {
        s.golden = true;
        s.time_up = false;
        s.regular = s.contest.value;
        s.contest = Stopwatch{};
        s.hold = Hold{};
        for (Tally& tally : s.tally) {
            if (!rules_.golden_keeps_scores) tally.score = {};
            if (!rules_.golden_keeps_shido) tally.shido = 0;
        }
    }

    void end_hold_and_judge(Instant t, bool stop_clock) {
        const bool soft = can_still_turn(s);
        end_hold(t);
        if (stop_clock) stop(t);
        judge_again(t, soft);
    }

    void judge_softly(Instant t) { judge_again(t, can_still_turn(s)); }

    // `soft`: the decision before this change may still turn.
    void judge_again(Instant t, bool soft) {
        const Decision before = s.decision;
        if (soft) s.decision = Decision{};
        judge(t);
        if (s.decision.winner == before.winner && s.decided()) s.decision.at = before.at;
    }

    void judge(Instant t) {
        const bool white_out = out(rules_, s.of(Side::white));
        const bool blue_out = out(rules_, s.of(Side::blue));
        if (white_out && blue_out) return both_out(t);
        if (white_out || blue_out) {
            const Side loser = white_out ? Side::white : Side::blue;
            const Way way = s.of(loser).direct_hansoku_make ? Way::hansoku_make_direct
                                                            : Way::hansoku_make_by_shido;
            const bool news = s.decision.winner != winner(other(loser)) || s.decision.way != way;
            if (news) decide(Decision{winner(other(loser)), way, t});
            return;
        }
        if (s.decided()) return;
        const Way white_way = ippon_way(rules_, s, Side::white);
        const Way blue_way = ippon_way(rules_, s, Side::blue);
        // Neither has won, and golden score decides (docs/rules.md, "Ippon by both at once").
        if (white_way != Way::none && blue_way != Way::none) return go_to_golden(t);
        if (white_way != Way::none) return decide(Decision{Winner::white, white_way, t});
        if (blue_way != Way::none) return decide(Decision{Winner::blue, blue_way, t});
        if (s.golden) {
            Decision ahead = compare(rules_, s);
            ahead.at = t;
            if (ahead.winner != Winner::undecided) decide(ahead);
        } else if (s.time_up && !s.hold.on) {
            judge_at_time(t);
        }
    }

    void judge_at_time(Instant t) {
        Decision ahead = compare(rules_, s);
        if (ahead.winner == Winner::undecided && rules_.at_time == AtTime::scores_then_shido) {
            const int white = s.of(Side::white).shido;
            const int blue = s.of(Side::blue).shido;
            if (white != blue) {
                ahead = {white < blue ? Winner::white : Winner::blue, Way::fewer_shido, t};
            }
        }
        ahead.at = t;
        if (ahead.winner != Winner::undecided) decide(ahead);
    }

    void both_out(Instant t) {
        const bool direct = s.of(Side::white).direct_hansoku_make ||
                            s.of(Side::blue).direct_hansoku_make;
        if (rules_.both_hansoku_make == BothHansokuMake::golden_score && !direct && !s.golden) {
            // A later kiken-gachi in the pause stands.
            if (s.decision.way != Way::kiken_gachi) s.decision = Decision{};
            go_to_golden(t);
            return;
        }
        if (s.decision.winner != Winner::both_lose) {
            decide(Decision{Winner::both_lose, Way::both_lose, t});
        }
    }

    // Regular time ends here without a winner; the next hajime begins golden score.
    void go_to_golden(Instant t) {
        if (s.golden) return;
        end_hold(t);
        stop(t);
        s.time_up = true;
    }

    void shido_in_golden(Sides to) {
        if (to == both_sides() || rules_.golden_shido == GoldenShido::nothing) return;
        const Side side = to.has(Side::white) ? Side::white : Side::blue;
        const bool lead = s.of(side).shido > s.of(other(side)).shido;
        if (rules_.golden_shido == GoldenShido::first || lead) {
            decide(Decision{winner(other(side)), Way::fewer_shido, now_});
        }
    }

    // Ends the fighting, except that a hold in golden score runs on (docs/rules.md, "Hold in golden
    // score"): from the first scoring second the bout is decided, and the hold may still grow.
    void decide(const Decision& decision) {
        s.decision = decision;
        const bool hold_runs_on = s.golden && s.hold.on && decision.way != Way::both_lose &&
                                  !out(rules_, s.of(Side::white)) &&
                                  !out(rules_, s.of(Side::blue)) &&
                                  ippon_way(rules_, s, Side::white) == Way::none &&
                                  ippon_way(rules_, s, Side::blue) == Way::none;
        s.hold.decides = hold_runs_on;
        if (hold_runs_on) return;
        end_hold(decision.at);
        stop(decision.at);
    }

    const Conditions& under_;
    const RuleSet& rules_;
    Instant now_;
};

}  // namespace honbu

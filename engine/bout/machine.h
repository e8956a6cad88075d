// The machine of the fold: a state, the calls it takes, and what comes by itself. Internal to
// engine/bout; fold.cpp runs it, judge.cpp knows who wins and what can be called.
//
// At one and the same instant a hold's level comes first, then calls, then time up: a hold of
// exactly 20 s has reached 20 s, and what is called with the signal counts (docs/rules.md, "The
// time signal").
#pragma once

#include "engine/bout/judge.h"

namespace honbu {

inline constexpr std::uint8_t most_of_a_kind = 99;      // what a board can show
inline constexpr Duration late_at_most = seconds(5);    // after a signal, and still meant before it
inline constexpr Duration at_the_signal = seconds(10);  // a call later than that is of golden score
inline constexpr Duration hold_readable = seconds(5);   // how long an ended hold's value stays

class Machine {
public:
    explicit Machine(const Conditions& under) : under_(under), rules_(under.rules) {}

    State s;

    struct Next {
        Happening what = Happening::none;
        Instant at;
        std::uint8_t level = 0;
    };
    // What comes by itself first, if nothing is called before.
    Next next() const;
    bool due(const Next& n, Instant t, bool with_time_up) const {
        if (n.what == Happening::none) return false;
        return n.what == Happening::time_up && !with_time_up ? n.at < t : n.at <= t;
    }
    // Lets it happen. Returns what a screen should say it was.
    Happening happen(const Next& next);
    void run_to(Instant t, bool with_time_up) {
        for (Next n = next(); due(n, t, with_time_up); n = next())
            happen(n);
    }

    const Conditions& under() const { return under_; }
    void take(const What& what, Instant t) {
        now_ = t;
        std::visit(*this, what);
    }

    // Kachi has no effect any more, but it was called and the clocks stood.
    void kachi_was_called(Instant t) {
        now_ = t;
        s.ended_once = true;
        if (s.phase <= Phase::called) return;
        const bool soft = can_still_turn(s);
        end_hold(t, false);
        stop(t);
        judge_again(t, soft);
        s.phase = Phase::over;
    }

    // -- one call each, at now_
    void operator()(const Called&);
    void operator()(const Absent& c);
    void operator()(const Present&) { s.absence = Absence{}; }
    void operator()(const Hajime&);
    void operator()(const Mate&);
    void operator()(const Pause&);
    void operator()(const SonoMama&);
    void operator()(const Yoshi&);
    void operator()(const Osaekomi& c);
    void operator()(const HoldChanged&) {}
    void operator()(const Toketa&);
    void operator()(const Score& c);
    void operator()(const Awasete& c);
    void operator()(const Shido& c);
    void operator()(const HansokuMake& c);
    void operator()(const Submission& c);
    void operator()(const Award& c);
    void operator()(const BothLose&);
    void operator()(const HikiWake&);
    void operator()(const Doctor& c);
    void operator()(const Bleeding& c);
    void operator()(const Injury& c);
    void operator()(const Judogi& c);
    void operator()(const Review&) { s.review = true; }
    void operator()(const ReviewOver&) { s.review = false; }
    void operator()(const SoreMade&);
    void operator()(const Kachi&);
    void operator()(const SetClock& c);
    void operator()(const SetHold& c);
    void operator()(const ExchangeNames&) { s.names_exchanged = !s.names_exchanged; }
    void operator()(const Confirm&) { s.phase = Phase::confirmed; }
    void operator()(const Accept&) { s.phase = Phase::accepted; }
    void operator()(const Reopen& c);
    void operator()(const Strike&) {}
    void operator()(const Replace&) {}
    void operator()(const Move&) {}
    void operator()(const Joint&) {}

private:
    // clocks and holds
    void stop(Instant t);  // the contest clock, and the fighting
    void stand(Instant t, bool clock_too);
    void end_hold(Instant t, bool by_signal);
    void end_deciding_hold();
    void end_hold_and_judge(Instant t, bool by_signal);
    void close_hold(Instant signal);
    void begin_golden();
    void notice_missing_hajime(bool holds);
    bool given_by_hold(Side side, Level level) const;
    bool has_won_by_ippon(Side side) const {
        return s.decision.basis == Basis::score && s.decision.way == Way::ippon &&
               s.decision.winner == winner(side);
    }
    void clocks_run() { s.together.open = false; }
    bool standing() const { return !s.contest.running && !(s.hold.on && s.hold.clock.running); }

    // who wins (judging.cpp)
    void judge_softly(Instant t) { judge_again(t, can_still_turn(s)); }
    void judge_again(Instant t, bool soft);
    void judge(Instant t);
    void judge_at_time(Instant t);
    void judge_penalties(const Decision& standing_before);
    void weigh_deciding_hold();
    void open_penalties();
    void shido_in_golden();
    void both_out(Instant t);
    void go_to_golden(Instant t);
    void decide(Decision decision);
    void word_on_winner(Winner who, Way way);  // the referee's

    const Conditions& under_;
    const RuleSet& rules_;
    Instant now_;
};

}  // namespace honbu

// What comes by itself, and what each call does to the clocks, the hold and the board.
// Sources of every rule: docs/rules.md.
#include "engine/bout/machine.h"

#include <algorithm>

namespace honbu {
namespace {

constexpr Side sides[] = {Side::white, Side::blue};

void count(std::uint8_t& number) {
    if (number < most_of_a_kind) ++number;
}

}  // namespace

Machine::Next Machine::next() const {
    Next found;
    const auto sooner = [&found](Happening what, Instant at, std::uint8_t level = 0) {
        if (found.what == Happening::none || at < found.at) found = {what, at, level};
    };
    if (s.hold.on) {
        for (std::size_t i = 0; i < level_count; ++i) {
            const Duration needed = rules_.hold[i];
            const auto rank = static_cast<std::uint8_t>(i + 1);
            if (needed.ms == 0 || rank <= s.hold.reached) continue;
            const Instant at = s.hold.clock.since + (needed - s.hold.clock.value);
            if (s.hold.clock.running || s.hold.clock.value >= needed) {
                sooner(Happening::hold_level, at, rank);
            }
            break;
        }
    }
    const Duration limit = s.golden ? under_.golden : under_.time;
    const bool limited = limit.ms > 0 || !s.golden;
    // A call that stops the clock in the instant of the signal does not keep time from being up.
    if (limited && !s.time_up && (s.contest.running || s.contest.value >= limit)) {
        sooner(Happening::time_up, s.contest.since + (limit - s.contest.value));
    }
    if (s.absence.clock.running) {
        const bool last = rules_.call_for == CallFor::countdown || s.absence.calls >= 3;
        sooner(last ? Happening::absence_over : Happening::absence_due,
               s.absence.clock.since + (rules_.call_wait - s.absence.clock.value));
    }
    if (s.past_hold.readable) sooner(Happening::hold_faded, s.past_hold.ended + hold_readable);
    return found;
}

Happening Machine::happen(const Next& next) {
    switch (next.what) {
    case Happening::none:
    case Happening::hold_ended: return next.what;
    case Happening::time_up:
        s.contest.stop(next.at);
        s.time_up = true;
        s.time_up_late = true;
        if (!s.hold.on) {
            if (s.phase == Phase::fighting) s.phase = Phase::stopped;
            judge(next.at);
        }
        return next.what;
    case Happening::absence_due:
        s.absence.clock.stop(next.at);
        s.absence.due = true;
        return next.what;
    case Happening::absence_over:
        s.absence.clock.stop(next.at);
        s.absence.over = true;
        return next.what;
    case Happening::hold_faded: s.past_hold.readable = false; return next.what;
    case Happening::hold_level: break;
    }
    s.hold.reached = next.level;
    const bool enough = next.level == static_cast<std::uint8_t>(Level::ippon) ||
                        ippon_way(rules_, s, s.hold.by) != Way::none ||
                        (s.golden && rules_.golden_hold == GoldenHold::stop_at_first_score);
    if (!enough) {
        judge_softly(next.at);
        return Happening::hold_level;
    }
    if (s.time_up && s.phase == Phase::fighting) s.phase = Phase::stopped;
    end_hold_and_judge(next.at, true);
    return Happening::hold_ended;
}

// -- clocks and holds

void Machine::stop(Instant t) { stand(t, true); }

void Machine::stand(Instant t, bool clock_too) {
    if (clock_too) s.contest.stop(t);
    if (s.phase == Phase::fighting || s.phase == Phase::frozen) s.phase = Phase::stopped;
    s.frozen_running = false;
}

// One hold, one score: the highest level reached.
void Machine::end_hold(Instant t, bool by_itself) {
    if (!s.hold.on) return;
    s.hold.clock.stop(t);
    s.past_hold = PastHold{true, by_itself, s.hold.by, s.hold.clock.value, t};
    Tally& tally = s.of(s.hold.by);
    if (s.hold.reached > 0) count(tally.score[s.hold.reached - 1U]);
    if (s.hold.reached == static_cast<std::uint8_t>(Level::ippon)) tally.ippon_by = Means::hold;
    s.hold = Hold{};
}

void Machine::end_hold_and_judge(Instant t, bool by_itself) {
    const bool soft = can_still_turn(s);
    end_hold(t, by_itself);
    judge_again(t, soft);
}

void Machine::begin_golden() {
    const bool both_disqualified = out(rules_, s.of(Side::white)) && out(rules_, s.of(Side::blue));
    s.golden = true;
    s.time_up = false;
    s.golden_next = false;
    s.regular = s.contest.value;
    s.contest = Stopwatch{};
    s.hold = Hold{};
    for (const Side side : sides) {
        Tally& tally = s.of(side);
        if (!rules_.golden_keeps_scores) tally.score = {};
        if (!rules_.golden_keeps_shido || both_disqualified) {
            tally.shido = 0;
            tally.leg_grabs = 0;
        }
        if (!rules_.golden_keeps_medical) {
            tally.doctor = 0;
            tally.bleeding = {};
        }
        s.golden_base[side == Side::white ? 0 : 1] = tally.score;
    }
}

// -- the calls

void Machine::operator()(const Called&) {
    if (s.phase == Phase::waiting) s.phase = Phase::called;
}

void Machine::operator()(const Absent& c) {
    const std::uint8_t before = c.who == s.absence.who ? s.absence.calls : std::uint8_t{0};
    s.absence = Absence{};
    s.absence.who = c.who;
    s.absence.calls = before;
    count(s.absence.calls);
    const bool last = rules_.call_for == CallFor::three_calls && s.absence.calls >= 3;
    if (last && rules_.default_at_third) {
        s.absence.over = true;
    } else {
        s.absence.clock.start(now_);
    }
}

void Machine::operator()(const Hajime&) {
    // After a decision no contest time passes any more. If what decided is struck later, this
    // hajime counts after all.
    if (s.decided()) return;
    if (s.time_up && !s.golden) begin_golden();
    s.absence = Absence{};
    s.past_hold = PastHold{};
    s.time_up_late = false;
    s.late_end = Instant{};
    s.missing = Missing::none;
    s.contest.start(now_);
    s.phase = Phase::fighting;
    clocks_run();
}

void Machine::operator()(const Mate&) {
    if (!s.hold.on && s.past_hold.by_itself) {
        s.late_end = s.past_hold.ended;
    } else if (!s.hold.on && s.time_up_late) {
        s.late_end = s.contest.since;
    }
    s.past_hold.by_itself = false;
    s.time_up_late = false;
    s.missing = Missing::none;
    const bool soft = can_still_turn(s);
    end_hold(now_, false);
    stand(now_, rules_.clock_runs == ClockRuns::to_mate);
    judge_again(now_, soft);
}

void Machine::operator()(const Pause&) {
    s.missing = Missing::none;
    const bool soft = can_still_turn(s);
    end_hold(now_, false);
    stop(now_);
    judge_again(now_, soft);
}

void Machine::operator()(const SonoMama&) {
    s.missing = Missing::none;
    if (rules_.clock_runs == ClockRuns::to_mate) {
        s.frozen_running = s.contest.running;
        s.contest.stop(now_);
    }
    if (s.hold.on) s.hold.clock.stop(now_);
    s.phase = Phase::frozen;
}

void Machine::operator()(const Yoshi&) {
    if (s.frozen_running && !s.time_up) s.contest.start(now_);
    s.frozen_running = false;
    if (s.hold.on) s.hold.clock.start(now_);
    s.phase = Phase::fighting;
    clocks_run();
}

void Machine::operator()(const Osaekomi& c) {
    s.hold = Hold{};
    s.hold.on = true;
    s.hold.by = c.by;
    s.hold.clock.start(now_);
    s.past_hold = PastHold{};
    s.late_end = Instant{};
    clocks_run();
    const bool at_signal = s.phase == Phase::stopped || s.phase == Phase::over;
    if (at_signal && s.time_up) {
        s.phase = Phase::fighting;
    } else if (s.phase != Phase::fighting && !s.decided()) {
        s.missing = Missing::hajime;
        s.missing_since = now_;
    }
    judge_softly(now_);  // a decision at the signal waits for this hold
}

void Machine::operator()(const Toketa&) {
    if (!s.hold.on) {
        s.late_end = s.past_hold.ended;
        s.past_hold.by_itself = false;
        return;
    }
    if (s.time_up) s.phase = Phase::stopped;
    end_hold_and_judge(now_, false);
}

void Machine::operator()(const Score& c) {
    if (s.phase == Phase::waiting || s.phase == Phase::called) {
        s.missing = Missing::hajime;
        s.missing_since = now_;
    }
    s.together.open = false;
    const std::array<Tally, 2> before = s.tally;
    for (const Side side : sides) {
        if (!c.to.has(side)) continue;
        count(s.of(side).score[index(c.level)]);
        if (c.level == Level::ippon) s.of(side).ippon_by = Means::called;
    }
    // Both at once: void, and golden score decides (docs/rules.md, "Ippon by both at once").
    if (c.to == both_sides() && ippon_way(rules_, s, Side::white) != Way::none &&
        ippon_way(rules_, s, Side::blue) != Way::none) {
        s.tally = before;
        if (rules_.double_ippon == DoubleIppon::golden_score && !s.decided()) go_to_golden(now_);
        return;
    }
    judge_softly(now_);
}

void Machine::operator()(const Awasete& c) {
    s.together.open = false;
    // Called over a hold of the same athlete, it is that hold's score.
    if (s.hold.on && s.hold.by == c.to) s.hold.reached = 0;
    std::uint8_t& given = s.of(c.to).score[index(Level::waza_ari)];
    do {
        count(given);
    } while (given < 2);
    judge_softly(now_);
}

void Machine::operator()(const Shido& c) {
    const bool mate_first = rules_.shido_given == ShidoGiven::after_mate && !s.hold.on;
    if (mate_first && s.contest.running && !s.decided() &&
        rules_.clock_runs == ClockRuns::to_mate) {
        s.missing = Missing::mate;
        s.missing_since = now_;
    }
    const Decision standing_before = s.decision;
    open_penalties();
    for (const Side side : sides) {
        if (!c.to.has(side)) continue;
        count(s.of(side).shido);
        if (c.reason == Reason::leg_grab) count(s.of(side).leg_grabs);
    }
    judge_penalties(standing_before);
}

void Machine::operator()(const HansokuMake& c) {
    const Decision standing_before = s.decision;
    open_penalties();
    for (const Side side : sides) {
        if (!c.to.has(side)) continue;
        s.of(side).direct_hansoku_make = true;
        s.of(side).direct_class = c.of;
    }
    judge_penalties(standing_before);
}

void Machine::operator()(const Submission& c) {
    const bool soft = can_still_turn(s);  // then the held athlete may win after all
    s.together.open = false;
    end_hold(now_, true);
    count(s.of(c.to).score[index(Level::ippon)]);
    s.of(c.to).ippon_by = c.means;
    if (c.means == Means::choke) {
        Tally& choked = s.of(other(c.to));
        choked.harm = static_cast<std::uint8_t>(choked.harm |
                                                1U << static_cast<std::uint8_t>(Harm::unconscious));
    }
    judge_again(now_, soft);
}

void Machine::operator()(const Award& c) {
    s.together.open = false;
    end_hold(now_, true);
    s.absence = Absence{};
    decide({winner(c.to), c.way, Means::none, c.flags, now_, {}});
}

void Machine::operator()(const BothLose&) {
    s.together.open = false;
    end_hold(now_, true);
    s.absence = Absence{};
    decide({Winner::both_lose, Way::both_lose, Means::none, 0, now_, {}});
}

void Machine::operator()(const HikiWake&) {
    s.together.open = false;
    end_hold(now_, true);
    decide({Winner::draw, Way::hiki_wake, Means::none, 0, now_, {}});
}

void Machine::operator()(const Doctor& c) {
    count(s.of(c.to).doctor);
    if (c.by != DoctorCall::referee) s.of(c.to).asked_for_doctor = true;
}

void Machine::operator()(const Bleeding& c) { count(s.of(c.to).bleeding[index(c.site)]); }

void Machine::operator()(const Injury& c) {
    Tally& tally = s.of(c.to);
    tally.harm = static_cast<std::uint8_t>(tally.harm | 1U << static_cast<std::uint8_t>(c.harm));
    tally.blame = c.by;
}

void Machine::operator()(const Judogi& c) {
    for (const Side side : sides) {
        if (c.who.has(side)) count(s.of(side).judogi);
    }
}

void Machine::operator()(const SoreMade&) {
    s.missing = Missing::none;
    const bool soft = can_still_turn(s);
    end_hold(now_, false);
    stop(now_);
    judge_again(now_, soft);
    s.phase = Phase::over;
}

void Machine::operator()(const Kachi&) {
    s.missing = Missing::none;
    stop(now_);
    s.phase = Phase::announced;
}

void Machine::operator()(const Reopen& c) {
    s.phase = Phase::over;
    if (c.ground == Ground::administrative) s.administrative = true;
}

// -- by hand

void Machine::operator()(const SetClock& c) {
    s.contest.value = c.elapsed;
    s.contest.since = now_;
    const Duration limit = s.golden ? under_.golden : under_.time;
    if (!s.time_up || s.golden_next || c.elapsed >= limit) return;
    // There is time left after all: what its end had decided is open again.
    s.time_up = false;
    s.time_up_late = false;
    if (!s.golden && s.decided() && by_comparison(s.decision.way)) s.decision = Decision{};
}

void Machine::operator()(const SetHold& c) {
    const bool running = s.phase == Phase::fighting;
    s.hold = Hold{};
    s.hold.on = true;
    s.hold.by = c.by;
    s.hold.clock = Stopwatch{running, c.value, now_};
    s.past_hold = PastHold{};
    if (!running) {  // both are put back into the position, and yoshi lets it go on
        s.frozen_running = !s.time_up && rules_.clock_runs == ClockRuns::to_mate;
        s.phase = Phase::frozen;
    }
    clocks_run();
    judge_softly(now_);
}

}  // namespace honbu

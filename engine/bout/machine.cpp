// What each call does to the clocks, the hold and the board.
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
    end_deciding_hold();
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
    // Called over a hold of the same athlete, it is that hold's score. It ends any hold.
    if (s.hold.by == c.to) s.hold.reached = 0;
    const bool soft = can_still_turn(s);
    end_hold(now_, true);
    std::uint8_t& given = s.of(c.to).score[index(Level::waza_ari)];
    do {
        count(given);
    } while (given < 2);
    judge_again(now_, soft);
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
    judge_penalties(standing_before, c.to);
}

void Machine::operator()(const HansokuMake& c) {
    const Decision standing_before = s.decision;
    open_penalties();
    for (const Side side : sides) {
        if (!c.to.has(side)) continue;
        s.of(side).direct_hansoku_make = true;
        s.of(side).direct_class = c.of;
    }
    judge_penalties(standing_before, c.to);
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
    end_deciding_hold();
    stop(now_);
    judge_again(now_, soft);
    s.phase = Phase::over;
}

void Machine::operator()(const Kachi&) {
    s.missing = Missing::none;
    stop(now_);
    s.ended_once = true;
    s.phase = Phase::announced;
}

void Machine::operator()(const Reopen& c) {
    stop(now_);
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
    s.together.open = false;  // else the next penalty would bring that decision back
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

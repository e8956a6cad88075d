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
    s.late_call = s.late_end = s.twice = Instant{};
    s.twice_by = Side::white;
    s.missing = Missing::none;
    s.contest.start(now_);
    s.phase = Phase::fighting;
    clocks_run();
}

void Machine::operator()(const Mate&) {
    if (!s.hold.on && s.past_hold.open && s.past_hold.by_signal) {
        close_hold(s.past_hold.ended);
    } else if (!s.hold.on && s.time_up_late && rules_.clock_runs == ClockRuns::to_mate) {
        close_hold(s.time_up_at);
    }
    s.time_up_late = false;
    if (s.missing == Missing::mate) s.missing = Missing::none;
    const bool soft = can_still_turn(s);
    end_deciding_hold();
    s.past_hold.open = false;
    stand(now_, rules_.clock_runs == ClockRuns::to_mate);
    judge_again(now_, soft);
}

void Machine::operator()(const Pause&) {
    const bool soft = can_still_turn(s);
    end_hold(now_, false);
    s.past_hold.open = false;
    stop(now_);
    judge_again(now_, soft);
}

void Machine::operator()(const SonoMama&) {
    if (s.missing == Missing::mate) s.missing = Missing::none;
    if (rules_.clock_runs == ClockRuns::to_mate) {
        s.frozen_running = s.contest.running;
        s.contest.stop(now_);
    }
    if (s.hold.on) s.hold.clock.stop(now_);
    s.phase = Phase::frozen;
}

void Machine::operator()(const Yoshi&) {
    if (s.frozen_running && !s.time_up && !s.decided()) s.contest.start(now_);
    s.frozen_running = false;
    if (s.hold.on) s.hold.clock.start(now_);
    s.phase = s.time_up && !s.hold.on ? Phase::stopped : Phase::fighting;
    clocks_run();
}

// Something happens where nothing had begun: hajime must have been missed. So in golden score too,
// if regular time has ended for good: by sore-made, by a double ippon, or some time ago.
void Machine::notice_missing_hajime(bool holds) {
    if (s.missing == Missing::mate) s.missing = Missing::none;  // the mat went on
    if (s.decided() || s.review || s.missing != Missing::none) return;
    const Instant stood = std::max(s.time_up_at, s.past_hold.ended);
    const bool pause_over = s.phase == Phase::over || now_ - stood > at_the_signal;
    const bool golden_missed = s.time_up && !s.golden && !s.hold.on && pause_over &&
                               rules_.tie == Tie::golden_score;
    const bool not_begun = s.phase == Phase::waiting || s.phase == Phase::called;
    const bool pause = s.phase == Phase::stopped || s.phase == Phase::over;
    const bool holds_in_a_pause = holds && pause && !s.time_up;
    if (!golden_missed && !not_begun && !holds_in_a_pause) return;
    s.missing = Missing::hajime;
    s.missing_since = now_;
}

void Machine::operator()(const Osaekomi& c) {
    notice_missing_hajime(true);
    s.hold = Hold{};
    s.hold.on = true;
    s.hold.by = c.by;
    s.hold.clock.start(now_);
    s.past_hold = PastHold{};
    s.late_call = s.late_end = s.twice = Instant{};
    s.twice_by = Side::white;
    s.time_up_late = false;
    clocks_run();
    const bool at_signal = s.phase == Phase::stopped || s.phase == Phase::over;
    if (at_signal && s.time_up) s.phase = Phase::fighting;
    judge_softly(now_);  // a decision at the signal waits for this hold
}

void Machine::operator()(const Toketa&) {
    s.time_up_late = false;
    if (s.hold.on) {
        const bool soft = can_still_turn(s);
        end_hold(now_, false);
        judge_again(now_, soft);
    } else if (s.past_hold.by_signal) {
        close_hold(s.past_hold.ended);
    }
    s.past_hold.open = false;
}

// A hold gives its score by itself; the same level called for the holder may be that very score.
bool Machine::given_by_hold(Side side, Level level) const {
    const auto rank = static_cast<std::uint8_t>(level);
    if (s.hold.on) return s.hold.by == side && rank <= s.hold.reached;
    return s.past_hold.by == side && rank <= s.past_hold.reached;
}

void Machine::operator()(const Score& c) {
    notice_missing_hajime(false);
    s.together.open = false;
    const std::array<Tally, 2> before = s.tally;
    for (const Side side : sides) {
        if (!c.to.has(side)) continue;
        const bool ippon = c.level == Level::ippon;
        // Called after it has won: the same ippon.
        if (ippon && has_won_by_ippon(side)) continue;
        if (given_by_hold(side, c.level)) {
            s.twice = now_;
            s.twice_by = side;
        } else if (s.hold.on && s.hold.by == side) {
            s.hold.called = static_cast<std::uint8_t>(c.level);
            s.hold.called_at = now_;
        }
        count(s.of(side).score[index(c.level)]);
        if (ippon) s.of(side).ippon_by = Means::called;
    }
    // Both at once: void, and golden score decides (docs/rules.md, "Ippon by both at once").
    if (c.to == both_sides() && ippon_way(rules_, s, Side::white) != Way::none &&
        ippon_way(rules_, s, Side::blue) != Way::none) {
        s.tally = before;
        if (rules_.double_ippon == DoubleIppon::golden_score && !s.decided()) go_to_golden(now_);
        return;
    }
    // A hold that has decided golden score is turned only by an ippon, a submission or a penalty.
    const bool soft = can_still_turn(s) &&
                      (s.decision.basis != Basis::hold || c.level == Level::ippon);
    judge_again(now_, soft);
}

void Machine::operator()(const Awasete& c) {
    s.together.open = false;
    // Called over a hold of the same athlete, it is that hold's score. It ends any hold.
    if (s.hold.by == c.to) s.hold.reached = 0;
    const bool soft = can_still_turn(s);
    end_hold(now_, false);
    std::uint8_t& given = s.of(c.to).score[index(Level::waza_ari)];
    while (given < 2)
        count(given);
    judge_again(now_, soft);
}

void Machine::operator()(const Shido& c) {
    const bool mate_first = rules_.shido_given == ShidoGiven::after_mate && !s.hold.on;
    if (mate_first && s.contest.running && !s.decided() && s.missing == Missing::none &&
        rules_.clock_runs == ClockRuns::to_mate) {
        s.missing = Missing::mate;
        s.missing_since = now_;
    }
    // Given on the spot it is judged at once, alone; after mate all of the pause are one judgement.
    const bool alone = rules_.shido_given == ShidoGiven::on_the_spot && !standing();
    const Decision standing_before = s.decision;
    open_penalties();
    for (const Side side : sides) {
        if (!c.to.has(side)) continue;
        Tally& tally = s.of(side);
        const bool was_out = out(rules_, tally);
        count(tally.shido);
        if (!was_out && out(rules_, tally)) s.together.over_person = true;
        if (c.reason == Reason::leg_grab) count(tally.leg_grabs);
    }
    judge_penalties(standing_before);
    if (alone) s.together.open = false;
}

void Machine::operator()(const HansokuMake& c) {
    const Decision standing_before = s.decision;
    open_penalties();
    s.together.over_person = true;
    for (const Side side : sides) {
        if (!c.to.has(side)) continue;
        s.of(side).direct_hansoku_make = true;
        s.of(side).direct_class = c.of;
    }
    judge_penalties(standing_before);
}

void Machine::operator()(const Submission& c) {
    const bool soft = can_still_turn(s);  // then the held athlete may win after all
    notice_missing_hajime(false);
    s.together.open = false;
    end_hold(now_, false);
    if (!has_won_by_ippon(c.to)) {
        count(s.of(c.to).score[index(Level::ippon)]);
        s.of(c.to).ippon_by = c.means;
    }
    if (c.means == Means::choke) {
        Tally& choked = s.of(other(c.to));
        choked.harm = static_cast<std::uint8_t>(choked.harm |
                                                1U << static_cast<std::uint8_t>(Harm::unconscious));
    }
    judge_again(now_, soft);
}

void Machine::operator()(const Award& c) {
    word_on_winner(winner(c.to), c.way);
    s.decision.flags = c.flags;
}
void Machine::operator()(const BothLose&) { word_on_winner(Winner::both_lose, Way::both_lose); }
void Machine::operator()(const HikiWake&) { word_on_winner(Winner::draw, Way::hiki_wake); }

void Machine::word_on_winner(Winner who, Way way) {
    s.together = Together{};
    end_hold(now_, false);
    s.absence = Absence{};
    decide({who, way, Means::none, 0, now_, {}, Basis::person});
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
    if (s.missing == Missing::mate || s.decided()) s.missing = Missing::none;
    s.time_up_late = false;
    const bool soft = can_still_turn(s);
    end_deciding_hold();
    s.past_hold.open = false;
    stop(now_);
    judge_again(now_, soft);
    s.phase = Phase::over;
}

void Machine::operator()(const Kachi&) {
    stop(now_);
    s.ended_once = true;
    s.phase = Phase::announced;
}

void Machine::operator()(const Reopen& c) {
    stop(now_);
    // Nothing had begun: it is called again, or not there again.
    const bool begun = s.golden || s.contest.value.ms > 0;
    s.phase = begun ? Phase::over : Phase::called;
    if (c.ground == Ground::administrative) s.administrative = true;
}

// -- by hand

void Machine::operator()(const SetClock& c) {
    s.contest.value = c.elapsed;
    s.contest.since = now_;
    s.together = Together{};
    const Duration limit = s.golden ? under_.golden : under_.time;
    if (s.time_up && !s.golden_next && c.elapsed < limit) {
        // There is time left after all: what its end had decided is open again.
        s.time_up = false;
        s.time_up_late = false;
        const Way way = s.decision.way;
        const bool by_time = s.decision.basis == Basis::comparison || way == Way::hantei ||
                             way == Way::hiki_wake;
        if (by_time) {
            s.decision = Decision{};
            judge(now_);
        }
        if (s.phase == Phase::fighting && !s.decided()) s.contest.start(now_);
    }
    if (s.decided()) s.decision.elapsed = c.elapsed;  // the clock has stood since
}

void Machine::operator()(const SetHold& c) {
    const bool soft = can_still_turn(s);
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
    judge_again(now_, soft);
}

}  // namespace honbu

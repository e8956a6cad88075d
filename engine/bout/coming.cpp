// What comes by itself: time up, a hold's levels, the calls for who is missing; and what clocks and
// holds do when they end. Sources of every rule: docs/rules.md.
#include "engine/bout/machine.h"

namespace honbu {

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
        s.time_up_at = next.at;
        if (!s.hold.on) {
            if (s.phase == Phase::fighting || s.phase == Phase::frozen) s.phase = Phase::stopped;
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
    const bool open = !s.decided() || can_still_turn(s);  // else only its last second ends it
    const bool at_first = s.golden && rules_.golden_hold == GoldenHold::stop_at_first_score;
    const bool enough = next.level == static_cast<std::uint8_t>(Level::ippon) ||
                        (open && (at_first || ippon_way(rules_, s, s.hold.by) != Way::none));
    if (!enough) {
        judge_softly(next.at);
        return Happening::hold_level;
    }
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
void Machine::end_hold(Instant t, bool by_signal) {
    if (!s.hold.on) return;
    s.hold.clock.stop(t);
    s.past_hold = PastHold{};
    s.past_hold.readable = s.past_hold.open = true;
    s.past_hold.by_signal = by_signal;
    s.past_hold.by = s.hold.by;
    s.past_hold.value = s.hold.clock.value;
    s.past_hold.ended = t;
    s.past_hold.reached = s.hold.reached;
    if (s.hold.called > 0 && s.hold.called <= s.hold.reached) {
        s.twice = s.hold.called_at;
        s.twice_by = s.hold.by;
    }
    Tally& tally = s.of(s.hold.by);
    if (s.hold.reached > 0) {
        std::uint8_t& given = tally.score[s.hold.reached - 1U];
        if (given < most_of_a_kind) ++given;
    }
    if (s.hold.reached == static_cast<std::uint8_t>(Level::ippon)) tally.ippon_by = Means::hold;
    s.hold = Hold{};
    // After time is up only a hold kept the bout going.
    if (s.time_up && s.phase == Phase::fighting) s.phase = Phase::stopped;
}

// By mate or sore-made: a penalty of the holder in the pause that follows still comes before it.
void Machine::end_deciding_hold() {
    const bool decides = s.hold.on && s.decision.basis == Basis::hold;
    end_hold(now_, false);
    if (decides) s.past_hold.decided = true;
}

// A toketa or mate that comes within seconds of a signal may have been called before it.
void Machine::close_hold(Instant signal) {
    if (now_ - signal > late_at_most) return;
    s.late_call = now_;
    s.late_end = signal;
}

void Machine::end_hold_and_judge(Instant t, bool by_signal) {
    const bool soft = can_still_turn(s);
    end_hold(t, by_signal);
    judge_again(t, soft);
}

void Machine::begin_golden() {
    const bool both_disqualified = out(rules_, s.of(Side::white)) && out(rules_, s.of(Side::blue));
    s.golden = true;
    s.time_up = false;
    s.golden_next = false;
    s.regular = s.contest.value;
    s.contest = Stopwatch{};
    for (const Side side : {Side::white, Side::blue}) {
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
    }
    s.golden_base = {shown(rules_, s, Side::white).score, shown(rules_, s, Side::blue).score};
}

}  // namespace honbu

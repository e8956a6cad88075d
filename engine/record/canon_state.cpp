// A bout's state in the canonical encoding. Only written: its hash is what a table says it saw.
#include "engine/record/parts.h"

namespace honbu {
namespace {

void put(Writer& w, const Stopwatch& clock) {
    const auto& [running, value, since] = clock;
    w.flag(running);
    w.u32(value.ms);
    w.u32(since.ms);
}

void put(Writer& w, const Tally& tally) {
    const auto& [score, ippon_by, shido, leg_grabs, direct_hansoku_make, direct_class, doctor,
                 bleeding, asked_for_doctor, harm, blame, judogi] = tally;
    w.fixed(score);
    put_choice(w, ippon_by);
    w.u8(shido);
    w.u8(leg_grabs);
    w.flag(direct_hansoku_make);
    put_choice(w, direct_class);
    w.u8(doctor);
    w.fixed(bleeding);
    w.flag(asked_for_doctor);
    w.u8(harm);
    put_choice(w, blame);
    w.u8(judogi);
}

void put(Writer& w, const Hold& hold) {
    const auto& [on, by, clock, reached, called, called_at] = hold;
    w.flag(on);
    put_choice(w, by);
    put(w, clock);
    w.u8(reached);
    w.u8(called);
    w.u32(called_at.ms);
}

void put(Writer& w, const PastHold& past) {
    const auto& [readable, open, by_signal, by, value, ended, reached, decided, taken_out] = past;
    w.flag(readable);
    w.flag(open);
    w.flag(by_signal);
    put_choice(w, by);
    w.u32(value.ms);
    w.u32(ended.ms);
    w.u8(reached);
    w.flag(decided);
    w.flag(taken_out);
}

void put(Writer& w, const Decision& decision) {
    const auto& [who, way, means, flags, at, elapsed, basis] = decision;
    put_choice(w, who);
    put_choice(w, way);
    put_choice(w, means);
    w.u8(flags);
    w.u32(at.ms);
    w.u32(elapsed.ms);
    put_choice(w, basis);
}

void put(Writer& w, const Together& together) {
    const auto& [open, before, shido, over_person] = together;
    w.flag(open);
    put(w, before);
    w.fixed(shido);
    w.flag(over_person);
}

void put(Writer& w, const Absence& absence) {
    const auto& [who, calls, clock, due, over] = absence;
    w.u8(who.bits);
    w.u8(calls);
    put(w, clock);
    w.flag(due);
    w.flag(over);
}

}  // namespace

std::string encode(const State& state) {
    const auto& [phase, golden, time_up, time_up_late, time_up_at, contest, golden_next,
                 frozen_running, regular, hold, past_hold, tally, golden_base, decision, together,
                 absence, missing, missing_since, late_call, late_end, twice, twice_by, review,
                 names_exchanged, ended_once, administrative] = state;
    Writer w;
    put_choice(w, phase);
    w.flag(golden);
    w.flag(time_up);
    w.flag(time_up_late);
    w.u32(time_up_at.ms);
    put(w, contest);
    w.flag(golden_next);
    w.flag(frozen_running);
    w.u32(regular.ms);
    put(w, hold);
    put(w, past_hold);
    for (const Tally& side : tally)
        put(w, side);
    for (const auto& scores : golden_base)
        w.fixed(scores);
    put(w, decision);
    put(w, together);
    put(w, absence);
    put_choice(w, missing);
    w.u32(missing_since.ms);
    w.u32(late_call.ms);
    w.u32(late_end.ms);
    w.u32(twice.ms);
    put_choice(w, twice_by);
    w.flag(review);
    w.flag(names_exchanged);
    w.flag(ended_once);
    w.flag(administrative);
    return w.take();
}

}  // namespace honbu

// Rule sets in the canonical encoding.
#include "engine/record/parts.h"

namespace honbu {
namespace {

void put(Writer& w, const AgeGroup& group) {
    const auto& [name, time, golden_limit] = group;
    w.text(name);
    w.u32(time.ms);
    w.flag(golden_limit.has_value());
    if (golden_limit) w.u32(golden_limit->ms);
}

AgeGroup group_of(Reader& r) {
    AgeGroup group;
    group.name = r.text();
    group.time = Duration{r.u32()};
    if (r.flag()) group.golden_limit = Duration{r.u32()};
    return group;
}

void put(Writer& w, const Points& points) {
    const auto& [ippon, waza_ari, yuko, koka, fewer_shido, hantei] = points;
    for (const std::uint8_t count : {ippon, waza_ari, yuko, koka, fewer_shido, hantei})
        w.u8(count);
}

Points points_of(Reader& r) {
    Points v;
    v.ippon = r.u8();
    v.waza_ari = r.u8();
    v.yuko = r.u8();
    v.koka = r.u8();
    v.fewer_shido = r.u8();
    v.hantei = r.u8();
    return v;
}

}  // namespace

void put(Writer& w, const RuleSet& rules) {
    const auto& [name, title, levels, hold, two_waza_ari_are_ippon, sogo_gachi, ippon_needed,
                 double_ippon, shido_out, shido_equivalent, shido_given, leg_grab,
                 both_hansoku_make, direct_excludes, clock_runs, end_signal, at_time, tie,
                 decision_by, golden_limit, golden_as_contest, golden_tie, golden_keeps_scores,
                 golden_keeps_shido, golden_keeps_medical, golden_shido, golden_hold,
                 bleeding_treatments, call_for, call_wait, default_at_third, points, white_word,
                 blue_word, white_colour, blue_colour, times] = rules;
    w.text(name);
    w.text(title);
    for (const bool has : levels)
        w.flag(has);
    for (const Duration d : hold)
        w.u32(d.ms);
    w.flag(two_waza_ari_are_ippon);
    w.flag(sogo_gachi);
    w.u8(ippon_needed);
    put_choice(w, double_ippon);
    w.u8(shido_out);
    for (const Equivalent e : shido_equivalent)
        put_choice(w, e);
    put_choice(w, shido_given);
    put_choice(w, leg_grab);
    put_choice(w, both_hansoku_make);
    w.flag(direct_excludes);
    put_choice(w, clock_runs);
    put_choice(w, end_signal);
    put_choice(w, at_time);
    put_choice(w, tie);
    put_choice(w, decision_by);
    w.u32(golden_limit.ms);
    w.flag(golden_as_contest);
    put_choice(w, golden_tie);
    w.flag(golden_keeps_scores);
    w.flag(golden_keeps_shido);
    w.flag(golden_keeps_medical);
    put_choice(w, golden_shido);
    put_choice(w, golden_hold);
    w.u8(bleeding_treatments);
    put_choice(w, call_for);
    w.u32(call_wait.ms);
    w.flag(default_at_third);
    put(w, points);
    w.text(white_word);
    w.text(blue_word);
    put_choice(w, white_colour);
    put_choice(w, blue_colour);
    w.u32(static_cast<std::uint32_t>(times.size()));
    for (const AgeGroup& group : times)
        put(w, group);
}

RuleSet rules_of(Reader& r) {
    RuleSet v;
    v.name = r.text();
    v.title = r.text();
    for (bool& has : v.levels)
        has = r.flag();
    for (Duration& d : v.hold)
        d = Duration{r.u32()};
    v.two_waza_ari_are_ippon = r.flag();
    v.sogo_gachi = r.flag();
    v.ippon_needed = r.u8();
    v.double_ippon = r.choice(DoubleIppon::golden_score, DoubleIppon::void_both);
    v.shido_out = r.u8();
    for (Equivalent& e : v.shido_equivalent)
        e = r.choice(Equivalent::none, Equivalent::waza_ari);
    v.shido_given = r.choice(ShidoGiven::after_mate, ShidoGiven::on_the_spot);
    v.leg_grab = r.choice(LegGrab::shido, LegGrab::second_hansoku_make);
    v.both_hansoku_make = r.choice(BothHansokuMake::both_lose, BothHansokuMake::golden_score);
    v.direct_excludes = r.flag();
    v.clock_runs = r.choice(ClockRuns::to_mate, ClockRuns::to_pause);
    v.end_signal = r.choice(EndSignal::sounds, EndSignal::waits_for_hold);
    v.at_time = r.choice(AtTime::scores, AtTime::scores_then_shido);
    v.tie = r.choice(Tie::golden_score, Tie::hiki_wake);
    v.decision_by = r.choice(DecisionBy::flags, DecisionBy::one_person);
    v.golden_limit = Duration{r.u32()};
    v.golden_as_contest = r.flag();
    v.golden_tie = r.choice(Tie::golden_score, Tie::hiki_wake);
    v.golden_keeps_scores = r.flag();
    v.golden_keeps_shido = r.flag();
    v.golden_keeps_medical = r.flag();
    v.golden_shido = r.choice(GoldenShido::nothing, GoldenShido::lead);
    v.golden_hold = r.choice(GoldenHold::run_to_ippon, GoldenHold::stop_at_first_score);
    v.bleeding_treatments = r.u8();
    v.call_for = r.choice(CallFor::countdown, CallFor::three_calls);
    v.call_wait = Duration{r.u32()};
    v.default_at_third = r.flag();
    v.points = points_of(r);
    v.white_word = r.text();
    v.blue_word = r.text();
    v.white_colour = r.choice(Colour::white, Colour::red);
    v.blue_colour = r.choice(Colour::white, Colour::red);
    const std::uint32_t groups = r.count(7);
    for (std::uint32_t i = 0; i < groups && r.good(); ++i)
        v.times.push_back(group_of(r));
    return v;
}

}  // namespace honbu

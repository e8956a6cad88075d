// What must make no difference: which athlete is called first, when the table's clock began, and in
// which order two things of one instant were pressed.
#include "engine/record/canon.h"
#include "tests/property/drawn.h"

namespace honbu {
namespace {

using generate::Asking;
using generate::Sitting;

constexpr std::array askings{Asking::asked, Asking::unasked};

Winner mirrored_winner(Winner who) {
    if (who == Winner::white) return Winner::blue;
    return who == Winner::blue ? Winner::white : who;
}
Sides mirrored_sides(Sides sides) {
    return Sides{static_cast<std::uint8_t>(((sides.bits & 1U) << 1U) | ((sides.bits >> 1U) & 1U))};
}

State mirrored_state(State s) {
    // A side nobody holds is not a side: left as it starts.
    if (s.hold.on) s.hold.by = other(s.hold.by);
    if (s.past_hold.ended.ms > 0) s.past_hold.by = other(s.past_hold.by);
    std::swap(s.tally[0], s.tally[1]);
    std::swap(s.golden_base[0], s.golden_base[1]);
    std::swap(s.together.shido[0], s.together.shido[1]);
    s.decision.winner = mirrored_winner(s.decision.winner);
    s.together.before.winner = mirrored_winner(s.together.before.winner);
    s.absence.who = mirrored_sides(s.absence.who);
    if (s.twice.ms > 0) s.twice_by = other(s.twice_by);
    return s;
}

std::vector<Call> mirrored_calls(std::vector<Call> calls) {
    for (Call& call : calls) {
        if (const auto mat = act(call.what)) call.what = what(mirrored(*mat));
        if (auto* replace = std::get_if<Replace>(&call.what)) replace->by = mirrored(replace->by);
    }
    return calls;
}

// Everything called for the other athlete gives everything to the other athlete.
RC_GTEST_PROP(Symmetry, TheOtherAthletesCallsGiveTheOtherAthletesResult, (const Drawn& drawn)) {
    const Conditions under = drawn.under();
    for (const Asking asking : askings) {
        Sitting sitting(under, asking);
        sitting.press_all(drawn.presses);
        const std::vector<Call> other_way = mirrored_calls(sitting.calls());
        const Instant now = sitting.now() + Duration{2'500};
        const State one = fold(under, sitting.calls(), now).state;
        const State two = fold(under, other_way, now).state;
        RC_ASSERT(encode(mirrored_state(one)) == encode(two));
    }
}

// A table whose clock began an hour earlier calls the same bout.
constexpr Duration hour = seconds(3600);

void put_back(Instant& t) {
    if (t.ms > 0) t = t - hour;
}
State an_hour_earlier(State s) {
    for (Instant* t : {&s.contest.since, &s.hold.clock.since, &s.past_hold.ended, &s.decision.at,
                       &s.together.before.at, &s.absence.clock.since, &s.missing_since,
                       &s.time_up_at, &s.hold.called_at, &s.late_call, &s.late_end, &s.twice})
        put_back(*t);
    return s;
}

RC_GTEST_PROP(Symmetry, OnlyDistancesInTimeMatter, (const Drawn& drawn)) {
    const Conditions under = drawn.under();
    for (const Asking asking : askings) {
        Sitting sitting(under, asking);
        sitting.press_all(drawn.presses);
        std::vector<Call> shifted = sitting.calls();
        for (Call& call : shifted) {
            call.entered = call.entered + hour;
            if (auto* move = std::get_if<Move>(&call.what)) move->to = move->to + hour;
            if (auto* joint = std::get_if<Joint>(&call.what)) {
                joint->there = joint->there + hour;
                joint->here = joint->here + hour;
            }
        }
        const Instant now = sitting.now() + Duration{2'500};
        const State one = fold(under, sitting.calls(), now).state;
        const State two = fold(under, shifted, now + hour).state;
        RC_ASSERT(encode(one) == encode(an_hour_earlier(two)));
    }
}

// (vi) Outside golden score, two calls of one instant for different sides come to the same in
// either order, except where each alone would have won (double ippon, both hansoku-make).
RC_GTEST_PROP(Symmetry, InOneInstantTheOrderOfTheSidesDoesNotMatter, (const Drawn& drawn)) {
    const Conditions under = drawn.under();
    Sitting sitting(under);
    sitting.press_all(drawn.presses);
    const auto act_for = [&](Side side) -> What {
        const auto level = *rc::gen::inRange(1, 5);
        const Sides to = only(side);
        switch (*rc::gen::inRange(0, 7)) {
        case 0:
        case 1: return Score{to, static_cast<Level>(level)};
        case 2:
        case 3: return Shido{to, Reason::non_combativity};
        case 4: return HansokuMake{to};
        case 5: return Doctor{side, DoctorCall::referee};
        default: return Judogi{to};
        }
    };
    const State start = fold(under, sitting.calls(), sitting.now()).state;
    RC_PRE(!start.golden && !start.decided() && start.phase < Phase::announced);
    const What white = act_for(Side::white);
    const What blue = act_for(Side::blue);
    const auto after = [&](const std::vector<What>& whats) {
        std::vector<Call> calls = sitting.calls();
        for (const What& each : whats) {
            Call call = sitting.call(each);
            call.id.number.value += static_cast<std::uint32_t>(&each - whats.data());
            calls.push_back(std::move(call));
        }
        return fold(under, calls, sitting.now()).state;
    };
    const Winner alone_white = after({white}).decision.winner;
    const Winner alone_blue = after({blue}).decision.winner;
    RC_PRE(alone_white == Winner::undecided || alone_blue == Winner::undecided ||
           alone_white == alone_blue);
    const State one = after({white, blue});
    const State two = after({blue, white});
    RC_ASSERT(one.decision.winner == two.decision.winner);
    for (const Side side : {Side::white, Side::blue}) {
        RC_ASSERT(shown(under.rules, one, side) == shown(under.rules, two, side));
    }
}

}  // namespace
}  // namespace honbu

// A bout is of a piece after every call: what is decided, what runs and what the board shows agree,
// and what is offered can be taken. Found by reading the engine with fresh eyes; derived from the
// rules themselves (docs/rules.md, sections 3, 4 and 6).
#include "engine/bout/judge.h"
#include "tests/property/drawn.h"

namespace honbu {
namespace {

// Short bouts: many of them come to the signal and to golden score.
Conditions short_bout(const Drawn& drawn) {
    const RuleSet& rules = drawn.set();
    return {rules, seconds(30), rules.golden_limit_for(seconds(20), nullptr)};
}

// After each call of a bout as a table enters it.
template<class Check> void after_every_call(const Drawn& drawn, const Check& check) {
    const Conditions under = short_bout(drawn);
    generate::Sitting sitting(under);
    sitting.press_all(drawn.presses);
    const std::vector<Call>& calls = sitting.calls();
    for (std::size_t n = 1; n <= calls.size(); ++n) {
        const auto so_far = std::span(calls).first(n);
        const Timeline timeline(so_far);
        const Instant now = timeline.place(calls[n - 1].id.run, calls[n - 1].entered);
        check(under, so_far, fold(under, so_far, now).state, now);
    }
}

RC_GTEST_PROP(OfAPiece, NoContestTimePassesInADecidedBout, (const Drawn& drawn)) {
    after_every_call(drawn, [](const Conditions&, auto, const State& s, Instant) {
        if (s.decided() && s.decision.basis != Basis::hold) RC_ASSERT(!s.contest.running);
    });
}

RC_GTEST_PROP(OfAPiece, AfterTimeOnlyAHoldGoesOn, (const Drawn& drawn)) {
    after_every_call(drawn, [](const Conditions&, auto, const State& s, Instant) {
        if (s.phase == Phase::fighting && s.time_up) RC_ASSERT(s.hold.on);
    });
}

RC_GTEST_PROP(OfAPiece, WhoIsAheadWhenItCountsHasWon, (const Drawn& drawn)) {
    after_every_call(drawn, [](const Conditions& under, auto, const State& s, Instant) {
        const bool both_out = out(under.rules, s.of(Side::white)) &&
                              out(under.rules, s.of(Side::blue));
        if (s.hold.on || s.golden_next || both_out) return;
        const bool it_counts = s.golden || s.time_up;
        if (it_counts && !s.decided()) {
            RC_ASSERT(compare(under.rules, s).winner == Winner::undecided);
        }
        if (s.decision.basis == Basis::comparison && s.decision.way != Way::fewer_shido) {
            RC_ASSERT(s.time_up);
            RC_ASSERT(compare(under.rules, s).winner == s.decision.winner);
        }
    });
}

RC_GTEST_PROP(OfAPiece, SoreMadeChangesNoDecisionWithoutAHold, (const Drawn& drawn)) {
    after_every_call(drawn, [](const Conditions& under, auto calls, const State& s, Instant now) {
        if (!s.decided() || s.hold.on || s.phase >= Phase::over) return;
        std::vector<Call> with(calls.begin(), calls.end());
        Call end = with.back();
        ++end.id.number.value;
        end.back = Duration{};
        end.what = SoreMade{};
        with.push_back(end);
        const Decision then = fold(under, with, now).state.decision;
        RC_ASSERT(then.winner == s.decision.winner);
        RC_ASSERT(then.way == s.decision.way);
    });
}

RC_GTEST_PROP(OfAPiece, AHoldThatIsOnCanBeEnded, (const Drawn& drawn)) {
    after_every_call(drawn, [](const Conditions& under, auto, const State& s, Instant) {
        if (!s.hold.on || s.phase >= Phase::announced) return;
        RC_ASSERT(!impossible(under, s, Mate{}));
        RC_ASSERT(!impossible(under, s, Toketa{}));
    });
}

RC_GTEST_PROP(OfAPiece, WhatIsOfferedCanBeTakenOnce, (const Drawn& drawn)) {
    after_every_call(drawn, [](const Conditions& under, auto calls, const State& s, Instant now) {
        const Call& last = calls.back();
        for (const Offer& offer : offers(under, calls, s, now)) {
            Call call = last;
            ++call.id.number.value;
            call.what = offer.what;
            const bool put_in = std::holds_alternative<Hajime>(offer.what) ||
                                std::holds_alternative<Mate>(offer.what);
            call.back = put_in ? now - offer.at : Duration{};
            RC_ASSERT(!no_entry(under, calls, call));
            std::vector<Call> with(calls.begin(), calls.end());
            with.push_back(call);
            const State then = fold(under, with, now).state;
            for (const Offer& again : offers(under, with, then, now)) {
                const CallId* about = refers_to(again.what);
                const CallId* before = refers_to(offer.what);
                const bool other_call = about != nullptr && before != nullptr && *about != *before;
                RC_ASSERT(other_call || again.at != offer.at || again.words != offer.words);
            }
        }
    });
}

RC_GTEST_PROP(OfAPiece, AResultIsOfOnePieceToo, (const Drawn& drawn)) {
    after_every_call(drawn, [](const Conditions& under, auto calls, const State& s, Instant now) {
        const Result r = result_of(under, calls, now);
        RC_ASSERT(r.winner == s.decision.winner);
        if (s.decided()) RC_ASSERT(r.decided <= r.stopped);
        RC_ASSERT((r.points > 0) == (r.winner == Winner::white || r.winner == Winner::blue) ||
                  r.points == 0);
    });
}

// docs/decisions/0016: whatever the order of the presses, penalties of one pause come to the same.
RC_GTEST_PROP(OfAPiece, PenaltiesOfOnePauseHaveNoOrder, (const Drawn& drawn)) {
    const Conditions under = short_bout(drawn);
    generate::Sitting sitting(under);
    sitting.press_all(drawn.presses);
    const Instant now = sitting.now();
    const State start = fold(under, sitting.calls(), now).state;
    const bool pause = start.phase == Phase::stopped && !start.hold.on && !start.contest.running;
    RC_PRE(pause);
    const auto after = [&](Side first) {
        std::vector<Call> calls = sitting.calls();
        for (const Side side : {first, other(first)}) {
            Call call = sitting.call(Shido{side});
            call.id.number.value += side == first ? 0 : 1;
            if (!no_entry(under, calls, call)) calls.push_back(call);
        }
        return fold(under, calls, now).state;
    };
    const State one = after(Side::white);
    const State two = after(Side::blue);
    RC_ASSERT(one.decision.winner == two.decision.winner);
    RC_ASSERT(one.decision.way == two.decision.way);
    for (const Side side : {Side::white, Side::blue}) {
        RC_ASSERT(shown(under.rules, one, side) == shown(under.rules, two, side));
    }
}

}  // namespace
}  // namespace honbu

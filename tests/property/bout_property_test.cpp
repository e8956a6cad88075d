// What holds for every bout, whatever is called in whatever order: all shipped rule sets, the whole
// vocabulary, all corrections. The properties with a roman number are the dossier's test ideas
// (docs/rules.md has the rules they follow from); the rest follows from what fold.h promises.
#include "engine/record/canon.h"
#include "tests/property/drawn.h"

namespace honbu {
namespace {

using generate::Asking;
using generate::Sitting;

constexpr std::array askings{Asking::asked, Asking::unasked};
constexpr Duration a_while = seconds(400);  // longer than any contest time or hold

Instant last_entered(std::span<const Call> calls) {
    const Timeline timeline(calls);
    Instant last;
    for (const Call& call : calls)
        last = std::max(last, timeline.place(call.id.run, call.entered));
    return last;
}

Sitting sat(const Drawn& drawn, const Conditions& under, Asking asking) {
    Sitting sitting(under, asking);
    sitting.press_all(drawn.presses);
    return sitting;
}

bool period_changed(const State& before, const State& after) {
    return before.golden != after.golden;
}

// (i) Replayed from a journal's bytes, a bout is the same; and those bytes are the only ones.
RC_GTEST_PROP(Bout, ReplayedFromItsBytesIsTheSame, (const Drawn& drawn)) {
    const Conditions under = drawn.under();
    for (const Asking asking : askings) {
        const Sitting sitting = sat(drawn, under, asking);
        std::vector<Call> again;
        for (const Call& call : sitting.calls()) {
            const std::string bytes = encode(call);
            const auto read = decode_call(bytes);
            RC_ASSERT(read.has_value());
            RC_ASSERT(encode(*read) == bytes);
            again.push_back(*read);
        }
        const Instant later = last_entered(again) + Duration{3'000};
        RC_ASSERT(encode(fold(under, again, later).state) ==
                  encode(fold(under, sitting.calls(), later).state));
    }
}

// (ii) Struck, a call never was; and brought back, it had never been struck.
RC_GTEST_PROP(Bout, AStruckCallNeverWasAndBroughtBackItAlwaysWas, (const Drawn& drawn)) {
    const Conditions under = drawn.under();
    const Sitting sitting = sat(drawn, under, Asking::unasked);
    std::vector<Call> calls = sitting.calls();
    RC_PRE(!calls.empty());
    const std::size_t which = *rc::gen::inRange<std::size_t>(0, calls.size());
    const Call target = calls[which];
    // A struck joint may leave calls behind `now` on the timeline.
    const Instant until = std::max(last_entered(calls), sitting.now()) + Duration{3'000};
    const auto folded = [&](std::span<const Call> of) {
        return encode(fold(under, of, until).state);
    };
    const std::string as_was = folded(calls);
    Call strike = sitting.call(Strike{target.id});
    calls.push_back(strike);

    // Without it: also without what speaks of it, which speaks of nothing then. The first call and
    // the joints carry the timeline and stay in both.
    const bool was_struck = struck(sitting.calls())[which];
    if (which > 0 && !std::holds_alternative<Joint>(target.what) && !was_struck) {
        std::vector<Call> without = calls;
        without.erase(without.begin() + static_cast<std::ptrdiff_t>(which));
        RC_ASSERT(folded(calls) == folded(without));
    }
    if (was_struck) return;
    Call back = sitting.call(Strike{strike.id});
    ++back.id.number.value;
    calls.push_back(back);
    RC_ASSERT(folded(calls) == as_was);
}

// (iii) Who is out has not won, and where both are out nobody has.
RC_GTEST_PROP(Bout, WhoIsOutHasNotWon, (const Drawn& drawn)) {
    const Conditions under = drawn.under();
    for (const Asking asking : askings) {
        const Sitting sitting = sat(drawn, under, asking);
        for (const Step& step : steps(under, sitting.calls(), sitting.now() + a_while)) {
            for (const Side side : {Side::white, Side::blue}) {
                if (step.state.decision.winner != winner(side)) continue;
                // Where both are out and golden score is to decide, one may still give up.
                if (step.state.golden_next && step.state.decision.way == Way::kiken_gachi) continue;
                RC_ASSERT(!shown(under.rules, step.state, side).hansoku_make);
            }
        }
    }
}

// A decision names how, and a board bears it out.
RC_GTEST_PROP(Bout, TheBoardBearsOutTheWinner, (const Drawn& drawn)) {
    const Conditions under = drawn.under();
    for (const Asking asking : askings) {
        const Sitting sitting = sat(drawn, under, asking);
        for (const Step& step : steps(under, sitting.calls(), sitting.now() + a_while)) {
            const Decision& decision = step.state.decision;
            RC_ASSERT((decision.winner == Winner::undecided) == (decision.way == Way::none));
            RC_ASSERT((decision.winner == Winner::both_lose) == (decision.way == Way::both_lose));
            RC_ASSERT((decision.winner == Winner::draw) == (decision.way == Way::hiki_wake));
            if (decision.winner != Winner::white && decision.winner != Winner::blue) continue;
            const Side side = decision.winner == Winner::white ? Side::white : Side::blue;
            const BoardSide won = shown(under.rules, step.state, side);
            const BoardSide lost = shown(under.rules, step.state, other(side));
            switch (decision.way) {
            case Way::ippon: RC_ASSERT(won.score[index(Level::ippon)] > 0); break;
            case Way::waza_ari_awasete_ippon:
                RC_ASSERT(won.score[index(Level::waza_ari)] >= 2);
                break;
            case Way::hansoku_make_by_shido:
            case Way::hansoku_make_direct: RC_ASSERT(lost.hansoku_make); break;
            default: break;
            }
        }
    }
}

// (iv) A hold is never longer than the second of its ippon.
RC_GTEST_PROP(Bout, AHoldEndsWithItsIppon, (const Drawn& drawn)) {
    const Conditions under = drawn.under();
    const Duration most = under.rules.hold_for(Level::ippon);
    for (const Asking asking : askings) {
        const Sitting sitting = sat(drawn, under, asking);
        for (const Step& step : steps(under, sitting.calls(), sitting.now() + a_while)) {
            if (step.state.hold.on) RC_ASSERT(step.state.hold.clock.at(step.at) <= most);
            if (step.state.past_hold.readable) RC_ASSERT(step.state.past_hold.value <= most);
        }
    }
}

// (v) In sono-mama the hold's clock stands, and the contest's where mate stops it.
RC_GTEST_PROP(Bout, InSonoMamaTheClocksStand, (const Drawn& drawn)) {
    const Conditions under = drawn.under();
    for (const Asking asking : askings) {
        const Sitting sitting = sat(drawn, under, asking);
        for (const Step& step : steps(under, sitting.calls(), sitting.now() + a_while)) {
            if (step.state.phase != Phase::frozen) continue;
            RC_ASSERT(!step.state.hold.clock.running);
            if (under.rules.clock_runs == ClockRuns::to_mate) {
                RC_ASSERT(!step.state.contest.running);
            }
        }
    }
}

// Clocks go forward, except where a hand sets them; and never beyond their limit.
RC_GTEST_PROP(Bout, ClocksNeverRunBackwards, (const Drawn& drawn)) {
    const Conditions under = drawn.under();
    for (const Asking asking : askings) {
        const Sitting sitting = sat(drawn, under, asking);
        State before;
        for (const Step& step : steps(under, sitting.calls(), sitting.now() + a_while)) {
            const State& s = step.state;
            const Duration limit = s.golden ? under.golden : under.time;
            const Duration elapsed = s.contest.at(step.at);
            if (limit.ms > 0) RC_ASSERT(elapsed <= limit);
            const bool counts = step.call && step.standing == Standing::counts;
            const bool set_clock = counts && std::holds_alternative<SetClock>(step.what);
            const bool set_hold = counts && std::holds_alternative<SetHold>(step.what);
            if (!set_clock && !period_changed(before, s)) {
                RC_ASSERT(elapsed >= before.contest.at(step.at));
            }
            const bool new_hold = counts && std::holds_alternative<Osaekomi>(step.what);
            if (before.hold.on && s.hold.on && !set_hold && !new_hold) {
                RC_ASSERT(s.hold.clock.at(step.at) == before.hold.clock.at(step.at));
                RC_ASSERT(s.hold.by == before.hold.by);
                RC_ASSERT(s.hold.reached >= before.hold.reached ||
                          std::holds_alternative<Awasete>(step.what));
            }
            before = s;
        }
    }
}

// A call taken as a table asks counts, and a refusal says why in a sentence and changes nothing.
RC_GTEST_PROP(Bout, WhatIsTakenCountsAndWhatIsRefusedHasWords, (const Drawn& drawn)) {
    const Conditions under = drawn.under();
    Sitting sitting(under);
    for (const generate::Press& press : drawn.presses) {
        const std::vector<Call> before = sitting.calls();
        const auto refused = sitting.press(press);
        if (refused) {
            RC_ASSERT(refused->size() > 8U);
            RC_ASSERT(refused->back() == '.');
            RC_ASSERT(sitting.calls().size() == before.size());
        } else if (sitting.calls().size() > before.size()) {
            const Folded folded = fold(under, sitting.calls(), sitting.now());
            RC_ASSERT(folded.places.back().standing == Standing::counts);
        }
    }
}

// Calls are numbered without a gap, whatever was refused between them; and none gets lost.
RC_GTEST_PROP(Bout, NoCallGetsLost, (const Drawn& drawn)) {
    const Conditions under = drawn.under();
    for (const Asking asking : askings) {
        const Sitting sitting = sat(drawn, under, asking);
        const std::vector<Call>& calls = sitting.calls();
        for (std::size_t i = 1; i < calls.size(); ++i) {
            const bool same_run = calls[i].id.run == calls[i - 1].id.run;
            RC_ASSERT(calls[i].id.number.value ==
                      (same_run ? calls[i - 1].id.number.value + 1 : 1U));
        }
        const Instant late{0xfffffff0U};
        std::vector<int> seen(calls.size());
        for (const Step& step : steps(under, calls, late)) {
            if (step.call) ++seen[*step.call];
        }
        RC_ASSERT(std::all_of(seen.begin(), seen.end(), [](int times) { return times == 1; }));
        RC_ASSERT(fold(under, calls, late).places.size() == calls.size());
    }
}

// An announced bout changes only after it was opened again, with a ground.
RC_GTEST_PROP(Bout, AnnouncedItChangesOnlyWhenOpenedAgain, (const Drawn& drawn)) {
    const Conditions under = drawn.under();
    Sitting sitting(under);
    // Half the presses are of any kind; then it is brought to kachi, and the rest tries to
    // change it.
    const std::size_t half = drawn.presses.size() / 2;
    for (std::size_t i = 0; i < half; ++i)
        sitting.press(drawn.presses[i]);
    sitting.enter(sitting.call(Hajime{}));
    sitting.enter(sitting.call(Score{only(Side::white), Level::ippon}));
    sitting.enter(sitting.call(SoreMade{}));
    sitting.enter(sitting.call(Kachi{}));
    const State announced = fold(under, sitting.calls(), sitting.now()).state;
    RC_PRE(announced.phase >= Phase::announced);
    const std::size_t until_then = sitting.calls().size();
    for (std::size_t i = half; i < drawn.presses.size(); ++i) {
        sitting.press(drawn.presses[i]);
        const std::vector<Call>& calls = sitting.calls();
        for (std::size_t k = until_then; k < calls.size(); ++k) {
            if (std::holds_alternative<Reopen>(calls[k].what)) return;
        }
        const State now = fold(under, calls, sitting.now()).state;
        RC_ASSERT(now.phase >= Phase::announced);
        RC_ASSERT(now.decision.winner == announced.decision.winner);
        RC_ASSERT(now.decision.way == announced.decision.way);
        RC_ASSERT(now.contest.at(sitting.now()) == announced.contest.at(sitting.now()));
        for (const Side side : {Side::white, Side::blue}) {
            RC_ASSERT(shown(under.rules, now, side) == shown(under.rules, announced, side));
        }
    }
}

// Step by step and all at once come to the same.
RC_GTEST_PROP(Bout, StepsAndFoldAgree, (const Drawn& drawn)) {
    const Conditions under = drawn.under();
    for (const Asking asking : askings) {
        const Sitting sitting = sat(drawn, under, asking);
        const std::vector<Call>& calls = sitting.calls();
        RC_PRE(!calls.empty());
        const Instant until = last_entered(calls) + a_while;
        const std::vector<Step> all = steps(under, calls, until);
        const Folded folded = fold(under, calls, until);
        RC_ASSERT(encode(all.back().state) == encode(folded.state));
        for (std::size_t i = 0; i < all.size(); ++i) {
            if (i > 0) RC_ASSERT(all[i].at >= all[i - 1].at);
            if (i > 0 && all[i].call && all[i - 1].call && all[i].at == all[i - 1].at) {
                RC_ASSERT(*all[i].call > *all[i - 1].call);  // in the order they were entered
            }
            if (all[i].call) RC_ASSERT(all[i].standing == folded.places[*all[i].call].standing);
        }
    }
}

// What a screen is told is coming is what comes, up to the last millisecond before the next.
RC_GTEST_PROP(Bout, FramesSayWhatComes, (const Drawn& drawn)) {
    const Conditions under = drawn.under();
    for (const Asking asking : askings) {
        const Sitting sitting = sat(drawn, under, asking);
        const std::vector<Call>& calls = sitting.calls();
        const std::vector<Frame> coming = frames(under, calls);
        RC_ASSERT(!coming.empty());
        for (std::size_t i = 0; i < coming.size(); ++i) {
            const bool last = i + 1 == coming.size();
            const Instant end = last ? coming[i].from + a_while : coming[i + 1].from;
            RC_ASSERT(end >= coming[i].from);
            if (end == coming[i].from) continue;  // only the last of one instant is ever seen
            const std::string shown_then = encode(coming[i].state);
            RC_ASSERT(encode(fold(under, calls, coming[i].from).state) == shown_then);
            RC_ASSERT(encode(fold(under, calls, end - Duration{1}).state) == shown_then);
        }
    }
}

// The result that is read back is what the fold came to.
RC_GTEST_PROP(Bout, TheResultIsWhatWasFolded, (const Drawn& drawn)) {
    const Conditions under = drawn.under();
    for (const Asking asking : askings) {
        const Sitting sitting = sat(drawn, under, asking);
        const Result result = result_of(under, sitting.calls(), sitting.now());
        const State state = fold(under, sitting.calls(), sitting.now()).state;
        RC_ASSERT(result.winner == state.decision.winner);
        RC_ASSERT(result.way == state.decision.way);
        RC_ASSERT(result.decided <= result.stopped || !state.decided());
        RC_ASSERT(result.points == points_of(under.rules, state.decision));
        RC_ASSERT(result.white == shown(under.rules, state, Side::white));
        RC_ASSERT(result.blue == shown(under.rules, state, Side::blue));
    }
}

}  // namespace
}  // namespace honbu

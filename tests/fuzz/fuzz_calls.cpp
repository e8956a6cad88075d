// Any bytes as the calls of a bout: nothing crashes, and what must hold for every bout holds.
//
// The whole way of a call that comes from outside: decoded, asked, folded, stepped, shown as
// frames, read back as a result, encoded. Built by clang 14 with libFuzzer and the address and
// undefined-behaviour checks; layout of the bytes: call_bytes.h.
#include <cstdio>
#include <cstdlib>

#include "engine/bout/fold.h"
#include "engine/record/canon.h"
#include "tests/fuzz/call_bytes.h"
#include "tests/generate/listed.h"
#include "tests/generate/shipped.h"

namespace {

using namespace honbu;

const std::vector<Call>* looked_at = nullptr;

void must(bool holds, const char* what) {
    if (holds) return;
    std::fprintf(stderr, "does not hold: %s\n", what);
    if (looked_at != nullptr) {
        std::fprintf(stderr, "%s\n", generate::listed(*looked_at).c_str());
    }
    std::abort();
}

std::vector<Call> read(const Conditions& under, std::string_view bytes) {
    std::vector<Call> calls;
    looked_at = &calls;
    while (bytes.size() >= 2) {
        const auto switches = static_cast<std::uint8_t>(bytes[0]);
        const std::size_t length = static_cast<std::uint8_t>(bytes[1]);
        bytes.remove_prefix(2);
        const std::string_view of_call = bytes.substr(0, length);
        bytes.remove_prefix(of_call.size());
        auto call = decode_call(of_call);
        if (!call) continue;
        must(encode(*call) == of_call, "what decodes encodes to the same bytes");
        if (!calls.empty() && (switches & fuzz::numbered) != 0) {
            call->id = calls.back().id;
            ++call->id.number.value;
        }
        if (!calls.empty() && (switches & fuzz::timed) != 0) {
            call->entered = calls.back().entered + Duration{call->entered.ms % 30'000};
            call->back = Duration{call->back.ms % 10'000};
        }
        if ((switches & fuzz::asked) != 0) {
            if (const auto no = no_entry(under, calls, *call)) {
                must(!no->empty() && no->back() == '.', "a refusal is a sentence");
                continue;
            }
        }
        calls.push_back(*call);
        if ((switches & fuzz::asked) != 0) {
            must(fold(under, calls, calls.back().entered).places.back().standing ==
                     Standing::counts,
                 "what is taken counts");
        }
    }
    return calls;
}

void look_at(const Conditions& under, const State& s, Instant at) {
    const Duration most = under.rules.hold_for(Level::ippon);
    if (s.hold.on) must(s.hold.clock.at(at) <= most, "a hold ends with its ippon");
    const Winner who = s.decision.winner;
    if (who != Winner::white && who != Winner::blue) return;
    const Side side = who == Winner::white ? Side::white : Side::blue;
    // Where both are out and golden score is to decide, one may still give up.
    if (s.golden_next && s.decision.way == Way::kiken_gachi) return;
    must(!shown(under.rules, s, side).hansoku_make, "who is out has not won");
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* bytes, std::size_t size) {
    if (size < 2) return 0;
    const RuleSet& rules = generate::all_rules()[bytes[0] % generate::all_rules().size()];
    const AgeGroup& group = rules.times[bytes[1] % rules.times.size()];
    const Conditions under{rules, group.time, rules.golden_limit_for(group.time, &group)};
    const std::vector<Call> calls = read(under,
                                         {reinterpret_cast<const char*>(bytes) + 2, size - 2});

    const Instant end{0xffffffffU};
    const std::vector<Step> all = steps(under, calls, end);
    Instant at;
    for (const Step& step : all) {
        must(step.at >= at, "steps go forward");
        at = step.at;
        look_at(under, step.state, step.at);
    }
    const Folded folded = fold(under, calls, end);
    must(folded.places.size() == calls.size(), "every call has its place");
    if (!all.empty()) {
        must(encode(all.back().state) == encode(folded.state), "steps and fold agree");
    }
    const std::vector<Frame> coming = frames(under, calls);
    must(!coming.empty() && coming.size() < 16, "a few things are coming, not endlessly many");
    for (std::size_t i = 1; i < coming.size(); ++i)
        must(coming[i].from >= coming[i - 1].from, "frames go forward");
    const Result result = result_of(under, calls, end);
    must(result.winner == folded.state.decision.winner, "the result is what was folded");
    offers(under, calls, folded.state, end);
    prompts(under, folded.state);
    looked_at = nullptr;
    return 0;
}

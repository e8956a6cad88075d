// How fast the engine is: one call folded, a bout of forty calls folded anew, a day of 440 bouts.
//
// Run and printed with its aims by tests/bench/engine.mjs. "Allocations" counts every call of
// operator new inside the measured part. Figures, no test.
#include <benchmark/benchmark.h>

#include <algorithm>

#include "tests/bench/allocations.h"
#include "tests/generate/contest.h"
#include "tests/generate/shipped.h"

namespace {

using namespace honbu;
using bench::allocations;

const RuleSet& rules() {
    const auto& all = generate::all_rules();
    return *std::find_if(all.begin(), all.end(),
                         [](const RuleSet& each) { return each.name == "2025"; });
}
const Conditions& under() {
    static const Conditions conditions{rules(), seconds(240), Duration{}};
    return conditions;
}

// A contest as fought with just so many calls, corrected or not.
std::vector<Call> contest_of(std::size_t count, bool corrected) {
    for (std::uint32_t seed = 1;; ++seed) {
        std::vector<Call> calls = contest(under(), generate::Field::men, seed);
        const bool has = std::any_of(calls.begin(), calls.end(), [](const Call& call) {
            return refers_to(call.what) != nullptr;
        });
        if (calls.size() == count && has == corrected) return calls;
    }
}

void fold_40(benchmark::State& state, bool corrected) {
    const std::vector<Call> calls = contest_of(40, corrected);
    const Instant until = calls.back().entered + Duration{1'000};
    const std::uint64_t before = allocations();
    for (auto _ : state)
        benchmark::DoNotOptimize(fold(under(), calls, until));
    const auto events = static_cast<double>(state.iterations()) * 40;
    state.counters["allocations_per_event"] = static_cast<double>(allocations() - before) / events;
    state.counters["per_event"] = benchmark::Counter(events, benchmark::Counter::kIsRate |
                                                                 benchmark::Counter::kInvert);
}
BENCHMARK_CAPTURE(fold_40, plain, false);
BENCHMARK_CAPTURE(fold_40, corrected, true);

// What a screen is sent after a call: the bout folded, and every frame to come.
void frames_40(benchmark::State& state) {
    const std::vector<Call> calls = contest_of(40, false);
    for (auto _ : state)
        benchmark::DoNotOptimize(frames(under(), std::span(calls).first(30)));
}
BENCHMARK(frames_40);

// Whether a table may enter its fortieth call.
void no_entry_40(benchmark::State& state) {
    const std::vector<Call> calls = contest_of(40, false);
    for (auto _ : state)
        benchmark::DoNotOptimize(no_entry(under(), std::span(calls).first(39), calls.back()));
}
BENCHMARK(no_entry_40);

// A day of 440 bouts, each folded once.
void day_of_440(benchmark::State& state) {
    const auto bouts = generate::day(under(), 7, 4, 440);
    std::uint64_t calls = 0;
    for (const auto& bout : bouts)
        calls += bout.calls.size();
    const std::uint64_t before = allocations();
    for (auto _ : state) {
        for (const auto& bout : bouts)
            benchmark::DoNotOptimize(fold(under(), bout.calls, bout.calls.back().entered));
    }
    const double events = static_cast<double>(state.iterations()) * static_cast<double>(calls);
    state.counters["calls"] = static_cast<double>(calls);
    state.counters["allocations_per_event"] = static_cast<double>(allocations() - before) / events;
}
BENCHMARK(day_of_440)->Unit(benchmark::kMillisecond);

// The same day entered call by call: after each one its bout is folded anew.
void day_of_440_call_by_call(benchmark::State& state) {
    const auto bouts = generate::day(under(), 7, 4, 440);
    for (auto _ : state) {
        for (const auto& bout : bouts) {
            for (std::size_t n = 1; n <= bout.calls.size(); ++n) {
                const auto so_far = std::span(bout.calls).first(n);
                benchmark::DoNotOptimize(fold(under(), so_far, so_far.back().entered));
            }
        }
    }
}
BENCHMARK(day_of_440_call_by_call)->Unit(benchmark::kMillisecond);

}  // namespace

BENCHMARK_MAIN();

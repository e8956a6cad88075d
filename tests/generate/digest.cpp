#include "tests/generate/digest.h"

#include "tests/generate/contest.h"
#include "tests/generate/presses.h"
#include "tests/generate/shipped.h"

namespace honbu::generate {
namespace {

Hash with(const Hash& before, const std::string& bytes) {
    std::string all(before.begin(), before.end());
    all += bytes;
    return sha256(all);
}

std::string bytes_of(const Conditions& under, const std::vector<Call>& calls) {
    std::string out;
    if (calls.empty()) return out;
    const Instant last = Timeline(calls).place(calls.back().id.run, calls.back().entered);
    const Folded folded = fold(under, calls, last + Duration{7'000});
    out += encode(folded.state);
    for (const Place& place : folded.places) {
        out += static_cast<char>(place.standing);
        for (const std::uint32_t number : {place.at.ms, place.contest.ms}) {
            for (int shift = 0; shift < 32; shift += 8)
                out += static_cast<char>(number >> shift);
        }
    }
    for (const Frame& frame : frames(under, calls))
        out += encode(frame.state);
    return out;
}

}  // namespace

Hash digest(std::uint32_t first, std::uint32_t count, Hash before) {
    const std::vector<RuleSet>& rules = all_rules();
    Hash so_far = before;
    for (std::uint32_t bout = first; bout < first + count; ++bout) {
        const RuleSet& set = rules[bout % rules.size()];
        const AgeGroup& group = set.times[bout / 16 % set.times.size()];
        const Conditions under{set, group.time, set.golden_limit_for(group.time, &group)};
        if (bout % 10 == 0) {
            const Field field = bout % 20 == 0 ? Field::men : Field::women;
            so_far = with(so_far, bytes_of(under, contest(under, field, bout)));
            continue;
        }
        Lots lots(bout);
        Sitting sitting(under, bout % 2 == 0 ? Asking::asked : Asking::unasked);
        sitting.press_all(presses(lots, lots.from_to(5, 30)));
        so_far = with(so_far, bytes_of(under, sitting.calls()));
    }
    return so_far;
}

}  // namespace honbu::generate

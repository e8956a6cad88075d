// Where calls fall in time, and what corrections make of them.
#include <algorithm>

#include "engine/bout/corrected.h"

namespace honbu {
namespace {

bool corrects(const Call& call) { return refers_to(call.what) != nullptr; }

// The last call of this name entered before `end`; nothing: there is none.
std::optional<std::size_t> find(std::span<const Call> calls, CallId id, std::size_t end) {
    for (std::size_t i = end; i-- > 0;) {
        if (calls[i].id == id) return i;
    }
    return std::nullopt;
}

}  // namespace

Corrected::Corrected(std::span<const Call> calls) {
    const Timeline timeline(calls);
    order.resize(calls.size());
    bool any = false;
    for (std::size_t i = 0; i < calls.size(); ++i) {
        const Instant entered = timeline.place(calls[i].id.run, calls[i].entered);
        order[i] = Placed{entered - calls[i].back, &calls[i].what, i, false};
        last_entered = std::max(last_entered, entered);
        any = any || corrects(calls[i]);
    }
    if (any) correct(calls, timeline);
    // In order of entry where instants are equal. Nearly sorted already, so this is one pass.
    for (std::size_t i = 1; i < order.size(); ++i) {
        const Placed call = order[i];
        std::size_t at = i;
        for (; at > 0 && call.at < order[at - 1].at; --at)
            order[at] = order[at - 1];
        order[at] = call;
    }
}

void Corrected::correct(std::span<const Call> calls, const Timeline& timeline) {
    const std::vector<bool> gone = struck(calls);
    replaced_.reserve(calls.size());
    for (std::size_t i = 0; i < calls.size(); ++i) {
        order[i].gone = gone[i];
        if (gone[i]) continue;
        const auto* replace = std::get_if<Replace>(&calls[i].what);
        const auto* move = std::get_if<Move>(&calls[i].what);
        if (replace == nullptr && move == nullptr) continue;
        const auto target = find(calls, *refers_to(calls[i].what), i);
        if (!target || !act(calls[*target].what)) continue;
        // A later one of the same kind counts instead of an earlier.
        if (replace != nullptr) {
            replaced_.push_back(what(replace->by));
            order[*target].what = &replaced_.back();
        } else {
            order[*target].at = timeline.place(calls[*target].id.run, move->to);
        }
    }
}

std::vector<bool> struck(std::span<const Call> calls) {
    std::vector<bool> out(calls.size(), false);
    // Newest first: whether a strike still stands is known before what it strikes is looked at.
    for (std::size_t i = calls.size(); i-- > 0;) {
        const auto* strike = std::get_if<Strike>(&calls[i].what);
        if (strike == nullptr || out[i]) continue;
        for (std::size_t earlier = 0; earlier < i; ++earlier) {
            if (calls[earlier].id == strike->call) out[earlier] = true;
        }
    }
    return out;
}

Timeline::Timeline(std::span<const Call> calls) {
    if (calls.empty()) return;
    ties_.push_back({calls.front().id.run, 0});
    const bool one_run = std::all_of(calls.begin(), calls.end(), [&](const Call& call) {
        return call.id.run == calls.front().id.run;
    });
    if (one_run) return;
    const std::vector<bool> gone = struck(calls);
    for (std::size_t i = 0; i < calls.size(); ++i) {
        const auto* joint = std::get_if<Joint>(&calls[i].what);
        if (joint == nullptr || gone[i]) continue;
        const RunId run = calls[i].id.run;
        if (run == ties_.front().run) continue;  // the first run is the timeline itself
        const std::int64_t shift = std::int64_t{joint->there.ms} + shift_ms(joint->earlier) -
                                   std::int64_t{joint->here.ms};
        const auto known = std::find_if(ties_.begin(), ties_.end(),
                                        [run](const Tie& tie) { return tie.run == run; });
        if (known != ties_.end()) {
            known->shift_ms = shift;  // a later joint of the same run corrects the earlier one
        } else {
            ties_.push_back({run, shift});
        }
    }
}

std::int64_t Timeline::shift_ms(RunId run) const {
    for (const Tie& tie : ties_) {
        if (tie.run == run) return tie.shift_ms;
    }
    return 0;
}

bool Timeline::knows(RunId run) const {
    return std::any_of(ties_.begin(), ties_.end(),
                       [run](const Tie& tie) { return tie.run == run; });
}

Instant Timeline::place(RunId run, Instant t) const {
    const std::int64_t placed = std::int64_t{t.ms} + shift_ms(run);
    constexpr std::int64_t last = 0xffffffff;
    return Instant{static_cast<std::uint32_t>(std::clamp<std::int64_t>(placed, 0, last))};
}

Instant Timeline::place(const Call& call) const {
    return place(call.id.run, call.entered) - call.back;
}

}  // namespace honbu

#include "engine/bout/so_far.h"

#include <algorithm>

#include "engine/bout/corrected.h"
#include "engine/bout/machine.h"

namespace honbu {
namespace {

// Only these speak of other calls, or of how clocks meet.
bool changes_others(const What& what) {
    return refers_to(what) != nullptr || std::holds_alternative<Joint>(what);
}

}  // namespace

void SoFar::go_on(const Conditions& under, std::span<const Call> calls) {
    for (; taken_ < calls.size(); ++taken_) {
        const Call& call = calls[taken_];
        if (taken_ == 0 || changes_others(call.what)) return from_the_beginning(under, calls);
        const Instant entered = timeline_.place(call.id.run, call.entered);
        const Instant at = entered - call.back;
        if (at < last_at_) return from_the_beginning(under, calls);
        Machine machine(under);
        machine.s = state_;
        take(machine, Placed{at, &call.what, taken_, false}, nullptr);
        state_ = machine.s;
        last_at_ = at;
        last_entered_ = std::max(last_entered_, entered);
    }
}

void SoFar::from_the_beginning(const Conditions& under, std::span<const Call> calls) {
    Machine machine(under);
    const Corrected corrected(calls);
    for (const Placed& call : corrected.order)
        take(machine, call, nullptr);
    state_ = machine.s;
    timeline_ = Timeline(calls);
    last_at_ = corrected.order.empty() ? Instant{} : corrected.order.back().at;
    last_entered_ = corrected.last_entered;
    taken_ = calls.size();
}

State SoFar::before(const Conditions& under, std::span<const Call> calls, const Call& call) const {
    if (taken_ == 0 || changes_others(call.what)) return honbu::before(under, calls, call);
    Machine machine(under);
    machine.s = state_;
    machine.run_to(timeline_.place(call.id.run, call.entered), true);
    return machine.s;
}

std::optional<std::string> SoFar::no_entry(const Conditions& under, std::span<const Call> calls,
                                           const Call& call) const {
    const Instant at = timeline_.place(call.id.run, call.entered);
    const bool behind_all = taken_ > 0 && call.back == Duration{} && at >= last_at_;
    if (!behind_all || changes_others(call.what)) return honbu::no_entry(under, calls, call);
    Machine machine(under);
    machine.s = state_;
    machine.run_to(at, true);
    if (auto no = refusal(under, calls, machine.s, call.what)) return no;
    machine.s = state_;
    std::optional<std::string> why;
    take(machine, Placed{at, &call.what, taken_, false}, &why);
    if (why) return not_at_that_instant(*why);
    return {};
}

std::vector<Frame> SoFar::frames(const Conditions& under) const {
    Machine machine(under);
    machine.s = state_;
    return frames_of(machine, last_entered_);
}

State SoFar::last(const Conditions& under) const {
    Machine machine(under);
    machine.s = state_;
    machine.run_to(last_entered_, true);
    return machine.s;
}

}  // namespace honbu

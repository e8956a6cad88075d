// How the fold goes: calls are put in order on the timeline; before each one, everything that comes
// by itself (time up, hold levels) is let happen; then the call is taken (engine/bout/machine.h).
#include "engine/bout/fold.h"

#include <algorithm>

#include "engine/bout/corrected.h"
#include "engine/bout/machine.h"

namespace honbu {
namespace {

struct Run {
    Machine machine;
    std::vector<Place> places;
    Instant last_entered;
};

Run run(const Conditions& under, std::span<const Call> calls) {
    Run out{Machine(under), std::vector<Place>(calls.size()), Instant{}};
    const Corrected corrected(calls);
    out.last_entered = corrected.last_entered;
    for (const Placed& call : corrected.order)
        out.places[call.index] = take(out.machine, call, nullptr);
    return out;
}

// Why the call at `index` can have no effect where it stands; nothing: it has.
std::optional<std::string> why_not(const Conditions& under, std::span<const Call> calls,
                                   std::size_t index) {
    Machine machine(under);
    const Corrected corrected(calls);
    std::optional<std::string> why;
    for (const Placed& call : corrected.order) {
        const Place place = take(machine, call, call.index == index ? &why : nullptr);
        if (call.index != index) continue;
        if (place.standing == Standing::struck) return "It is struck.";
        return why;
    }
    return why;
}

std::optional<std::string> too_many(std::span<const Call> calls, const What& what) {
    const bool closes = std::holds_alternative<SoreMade>(what) ||
                        std::holds_alternative<Kachi>(what) ||
                        std::holds_alternative<Confirm>(what);
    if (calls.size() < calls_in_bout_max || closes) return {};
    return "This bout has a thousand calls. Go on with paper and tell the desk.";
}

// What a correction speaks of must be there, stand, and be of the kind that can be corrected so.
std::optional<std::string> wrong_target(const Conditions& under, std::span<const Call> calls,
                                        const What& what) {
    const CallId* id = refers_to(what);
    if (id == nullptr) return {};
    const auto target = std::find_if(calls.begin(), calls.end(),
                                     [id](const Call& call) { return call.id == *id; });
    if (target == calls.end())
        return "That call is not one of this bout's: choose it from the list of calls.";
    const bool gone = struck(calls)[static_cast<std::size_t>(target - calls.begin())];
    if (std::holds_alternative<Kachi>(target->what)) {
        return "Kachi stays on record. Open the bout again instead.";
    }
    if (std::holds_alternative<Joint>(target->what)) {
        return "How two clocks meet is corrected by saying it anew.";
    }
    if (std::holds_alternative<Strike>(what)) {
        if (gone) return "That call is struck already. Strike the strike to bring it back.";
        if (std::holds_alternative<Confirm>(target->what) ||
            std::holds_alternative<Accept>(target->what) ||
            std::holds_alternative<Reopen>(target->what)) {
            return "What closed or opened a bout stays on record.";
        }
        return {};
    }
    if (gone) return "That call is struck. Bring it back first.";
    if (!act(target->what)) return "Only a call from the mat can be changed so.";
    const auto* replace = std::get_if<Replace>(&what);
    if (replace == nullptr) return {};
    const auto* score = std::get_if<Score>(&replace->by);
    if (score != nullptr && !under.rules.has(score->level)) {
        return "There is no " + std::string(word(score->level)) +
               " under these rules: choose another score.";
    }
    return {};
}

}  // namespace

Place take(Machine& machine, const Placed& call, std::optional<std::string>* why_not) {
    machine.run_to(call.at, false);
    Place place;
    place.at = call.at;
    place.contest = machine.s.contest.at(call.at);
    place.golden = machine.s.golden;
    if (call.gone) {
        place.standing = Standing::struck;
        return place;
    }
    if (auto no = impossible(machine.under(), machine.s, *call.what)) {
        place.standing = Standing::without_effect;
        if (std::holds_alternative<Kachi>(*call.what)) machine.kachi_was_called(call.at);
        if (why_not != nullptr) *why_not = std::move(no);
        return place;
    }
    machine.take(*call.what, call.at);
    place.golden = machine.s.golden;
    if (std::holds_alternative<Hajime>(*call.what)) {
        place.contest = machine.s.contest.at(call.at);
    }
    return place;
}

std::string not_at_that_instant(const std::string& why) {
    return "At that instant it can't be: " + why;
}

Folded fold(const Conditions& under, std::span<const Call> calls, Instant until) {
    Run folded = run(under, calls);
    folded.machine.run_to(until, true);
    return Folded{folded.machine.s, std::move(folded.places)};
}

std::vector<Step> steps(const Conditions& under, std::span<const Call> calls, Instant until) {
    std::vector<Step> out;
    Machine machine(under);
    const Corrected corrected(calls);
    const auto come = [&](Instant t, bool with_time_up) {
        for (auto next = machine.next(); machine.due(next, t, with_time_up);
             next = machine.next()) {
            const Happening why = machine.happen(next);
            out.push_back({next.at, why, {}, Standing::counts, Called{}, machine.s});
        }
    };
    for (const Placed& call : corrected.order) {
        if (call.at > until) break;
        come(call.at, false);
        const Place place = take(machine, call, nullptr);
        out.push_back(
            {call.at, Happening::none, call.index, place.standing, *call.what, machine.s});
    }
    come(until, true);
    return out;
}

State before(const Conditions& under, std::span<const Call> calls, const Call& call) {
    std::vector<Call> with(calls.begin(), calls.end());
    with.push_back(call);
    const Instant entered = Timeline(with).place(call.id.run, call.entered);
    return fold(under, calls, entered).state;
}

std::vector<Frame> frames(const Conditions& under, std::span<const Call> calls) {
    Run folded = run(under, calls);
    return frames_of(folded.machine, folded.last_entered);
}

std::vector<Frame> frames_of(Machine& machine, Instant last_entered) {
    machine.run_to(last_entered, true);
    std::vector<Frame> out{{last_entered, Happening::none, machine.s}};
    for (auto next = machine.next(); next.what != Happening::none; next = machine.next()) {
        const Happening why = machine.happen(next);
        out.push_back({next.at, why, machine.s});
    }
    return out;
}

std::optional<std::string> refusal(const Conditions& under, std::span<const Call> calls,
                                   const State& state, const What& what) {
    if (auto no = too_many(calls, what)) return no;
    if (auto no = impossible(under, state, what)) return no;
    if (std::holds_alternative<Reopen>(what) && state.phase < Phase::announced) return bout_is_open;
    return wrong_target(under, calls, what);
}

std::optional<std::string> no_entry(const Conditions& under, std::span<const Call> calls,
                                    const Call& call) {
    const State now = before(under, calls, call);
    // What took effect earlier is judged where it belongs; only an ended bout takes nothing.
    if (call.back.ms > 0 && now.phase < Phase::announced) {
        if (auto no = too_many(calls, call.what)) return no;
        if (auto no = wrong_target(under, calls, call.what)) return no;
    } else if (auto no = refusal(under, calls, now, call.what)) {
        return no;
    }
    std::vector<Call> with(calls.begin(), calls.end());
    with.push_back(call);
    if (Timeline(with).place(call.id.run, call.entered).ms < call.back.ms) {
        return "That is before this bout's clock began: choose a later moment.";
    }
    // Placed where it says it took effect, it must still count there; and so must what it changes.
    if (const auto why = why_not(under, with, calls.size())) {
        return not_at_that_instant(*why);
    }
    const bool changes = std::holds_alternative<Replace>(call.what) ||
                         std::holds_alternative<Move>(call.what);
    if (!changes) return {};
    const auto target = std::find_if(with.begin(), with.end(), [&](const Call& other) {
        return other.id == *refers_to(call.what);
    });
    const Timeline timeline(with);
    const auto* move = std::get_if<Move>(&call.what);
    if (move != nullptr &&
        timeline.place(target->id.run, move->to) > timeline.place(call.id.run, call.entered)) {
        return "A call can't be moved to a moment that has not come yet: choose an earlier one.";
    }
    if (const auto why = why_not(under, with, static_cast<std::size_t>(target - with.begin()))) {
        return "That change is not possible: " + *why;
    }
    return {};
}

}  // namespace honbu

// Calls that come in a file, since the table that kept them can't reach this hub: its hub died, or
// its page belongs to another address. The desk hands them in, and decides about them as about any
// that were set aside. Whatever is wrong with one of them, none is taken.
#include <algorithm>

#include "hub/core/inside.h"

namespace honbu {
namespace {

std::string calls_text(std::size_t number) {
    return std::to_string(number) + (number == 1 ? " call" : " calls");
}

}  // namespace

void Hub::Inside::hand_in(SessionId session, const HandIn& wish, Instant now) {
    if (!is_desk(session, wish.request)) return;
    const auto known = runs.find(wish.calls.front().id.run);
    const std::size_t given = known == runs.end() ? 0 : known->second.given.size();
    if (known != runs.end() && known->second.device != wish.device) {
        refuse(session, Cause::other_content,
               "The hub has this run from another device than the file says. Nothing of it was "
               "taken; is it the right file?",
               wish.request);
        return;
    }
    const std::size_t first = wish.calls.front().id.number.value;
    if (first > given + 1 && !wish.only_look) {
        refuse(session, Cause::number_gap,
               "The hub has call number " + std::to_string(given) +
                   " of this run as the last one, and the file begins with " +
                   std::to_string(first) + ": what lies between is missing. Nothing was taken.",
               wish.request);
        return;
    }
    const std::size_t behind = first - 1;
    const std::size_t here = given > behind ? std::min(given - behind, wish.calls.size()) : 0;
    for (std::size_t i = 0; i < here; ++i) {
        const GivenNumber& is = known->second.given[behind + i];
        if (is.content == first_bytes(sha256(encode(wish.calls[i])))) continue;
        refuse(session, Cause::other_content,
               "Call number " + std::to_string(first + i) +
                   " of this run is another one here than in the file. Nothing of it was taken; "
                   "was the file changed?",
               wish.request);
        return;
    }
    if (here > 0 && known->second.committed < given) {
        refuse(session, Cause::changed,
               "Calls of this run are being written this moment. Press again.", wish.request);
        return;
    }
    const std::size_t fresh = wish.calls.size() - here;
    if (wish.only_look || fresh == 0) {
        const std::string words = fresh == 0 ? "The hub has all " + calls_text(here) + " already."
                                  : here == 0
                                      ? "The hub has none of these " + calls_text(fresh) + " yet."
                                      : "The hub has " + std::to_string(here) + " of these " +
                                            calls_text(wish.calls.size()) + ", and lacks " +
                                            std::to_string(fresh) + ".";
        outlet.reply(session, Done{wish.request, committed, words});
        return;
    }
    CallsHandedIn fact{wish.device, wish.hand, {}};
    fact.calls.assign(wish.calls.begin() + static_cast<std::ptrdiff_t>(here), wish.calls.end());
    record(std::move(fact), Verdict::none, Asker{session, wish.request}, now);
    if (wish.clock) {
        const auto [run, on_run, on_hub] = *wish.clock;
        runs.at(run).by_its_file_ms = std::int64_t{on_hub.ms} - std::int64_t{on_run.ms};
    }
}

// The run stays its table's: when that comes back and sends the same calls, it gets this verdict.
void Hub::Inside::decide_handed_in(const Record& r, const CallsHandedIn& f) {
    KnownRun& run = runs[f.calls.front().id.run];
    run.device = f.device;
    for (const Call& call : f.calls) {
        const auto delay = std::int64_t{r.received.ms} - std::int64_t{call.entered.ms};
        run.least_delay_ms = run.given.empty() ? delay : std::min(run.least_delay_ms, delay);
        GivenNumber given;
        given.content = first_bytes(sha256(encode(call)));
        given.verdict = Verdict::set_aside;
        given.record = r.number;
        run.given.push_back(given);
        aside[call.id] = Aside{call, r.number, Verdict::set_aside, f.device, f.hand, {}};
    }
}

void Hub::Inside::commit_handed_in(const Waiting& waiting_record, const CallsHandedIn& f) {
    runs.at(f.calls.front().id.run).committed += f.calls.size();
    if (!replaying)
        tallies.verdicts.at(static_cast<std::size_t>(Verdict::set_aside)) += f.calls.size();
    aside_changed = waiting_record.record.number;
    aside_stale = true;
    const std::string were = f.calls.size() == 1 ? " was taken, and waits"
                                                 : " were taken, and wait";
    done(waiting_record, calls_text(f.calls.size()) + were + " for a decision.");
    // Who sent them meanwhile, while this was on its way.
    for (const SessionId session : waiting_record.also) {
        for (const Call& call : f.calls) {
            const GivenNumber& given = runs.at(call.id.run).given.at(call.id.number.value - 1);
            outlet.reply(session, VerdictGiven{call.id, given.verdict, given.record, false});
        }
    }
}

}  // namespace honbu

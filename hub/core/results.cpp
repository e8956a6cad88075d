// Results: who has one, since when, and what the stream tells of it.
//
// A confirmed result is a fact: from then on the bout's state is what was recorded, and the fold is
// a check beside it. Each item names the one it replaces.
#include <algorithm>
#include <utility>

#include "hub/core/inside.h"

namespace honbu {
namespace {

std::string bout_name(BoutId bout) { return "bout " + std::to_string(bout.value); }

std::optional<Result> last_confirmed(std::span<const Call> calls) {
    const auto last = std::find_if(calls.rbegin(), calls.rend(), [](const Call& c) {
        return std::holds_alternative<Confirm>(c.what);
    });
    if (last == calls.rend()) return std::nullopt;
    return std::get<Confirm>(last->what).result;
}

// In what goes on record and into the next bouts. Times may differ a little, where two clocks meet;
// and who has no engine can't name the rules by their hash.
bool alike(const Result& confirmed, const Result& folded) {
    return confirmed.winner == folded.winner && confirmed.way == folded.way &&
           confirmed.white == folded.white && confirmed.blue == folded.blue &&
           confirmed.names_exchanged == folded.names_exchanged &&
           (confirmed.rules_hash == Hash{} || confirmed.rules_hash == folded.rules_hash);
}

}  // namespace

// Runs that the bout does not know get a joint, by the hub's clock as it stands to each of them: it
// is recorded with the decision, so that nothing depends on what is measured later. In a bout
// without calls the first one of the decision that can be there begins the timeline. Of a run that
// only came in a file the clock is in no record, and forgotten by the next start: there nothing is
// known, and the first of its calls is taken to follow at once. A person looks at that.
std::vector<SetAsideDecided::RunJoined> Hub::Inside::joined(const BoutLog& log,
                                                            const std::vector<CallId>& ids) const {
    std::vector<SetAsideDecided::RunJoined> out;
    const Timeline timeline(log.calls);
    RunId known;
    Instant last;
    if (log.calls.empty()) {
        const auto first = std::find_if(ids.begin(), ids.end(), [&](const CallId id) {
            return !no_entry(under(log), {}, aside.at(id).call);
        });
        if (first == ids.end()) return out;  // then none counts
        known = first->run;
    } else {
        // A run whose own joint did not count is not known, though it has calls here: the first is.
        const auto met = std::find_if(log.calls.rbegin(), log.calls.rend(), [&](const Call& call) {
            return timeline.knows(call.id.run);
        });
        known = met->id.run;
        last = met->entered;
    }
    const auto clock_known = [this](const RunId run) {
        const auto found = runs.find(run);
        return found != runs.end() && (found->second.came_itself || found->second.to_hub_ms);
    };
    for (const CallId id : ids) {
        if (id.run == known) last = std::max(last, aside.at(id).call.entered);
        const bool made = std::any_of(out.begin(), out.end(),
                                      [id](const auto& joined) { return joined.run == id.run; });
        if (made || id.run == known || timeline.knows(id.run)) continue;
        const Instant here = aside.at(id).call.entered;
        if (!clock_known(known) || !clock_known(id.run)) {
            out.push_back({id.run, Joint{known, last, here, Joint::Source::assumed}});
            continue;
        }
        const std::int64_t there = std::int64_t{here.ms} + to_hub_ms(id.run) - to_hub_ms(known);
        const Instant met{
            static_cast<std::uint32_t>(std::clamp<std::int64_t>(there, 0, 0xffffffff))};
        out.push_back({id.run, Joint{known, met, here, Joint::Source::hub_clock}});
    }
    return out;
}

// A run's own joint comes first if it can be; where there is none, the one made for it. Worked out
// anew from the record each time, so that every replay comes to the same.
Hub::Inside::Taken Hub::Inside::taken(const BoutLog& log, const SetAsideDecided& decision) const {
    Taken out;
    out.calls = log.calls;
    for (const CallId id : decision.calls) {
        Call call = aside.at(id).call;
        call.bout = log.entry.bout;
        const auto made = std::find_if(decision.joined.begin(), decision.joined.end(),
                                       [id](const auto& joined) { return joined.run == id.run; });
        const bool joins = std::holds_alternative<Joint>(call.what);
        const bool meets_some = !out.calls.empty() && !Timeline(out.calls).knows(id.run);
        if (made != decision.joined.end() && !joins && meets_some) {
            Call meets = call;
            meets.id = CallId{id.run, CallNumber{0}};  // no call has this number
            meets.entered = made->joint.here;
            meets.back = Duration{};
            meets.seen = 0;
            meets.what = made->joint;
            out.calls.push_back(meets);
        }
        if (const auto no = no_entry(under(log), out.calls, call)) {
            if (out.problem.empty()) out.problem = *no;
        } else {
            out.calls.push_back(std::move(call));
            ++out.counted;
        }
    }
    return out;
}

std::size_t Hub::Inside::take_aside(const SetAsideDecided& decision) {
    BoutLog& log = bouts.at(decision.into);
    const std::size_t before = log.calls.size();
    log.calls = taken(log, decision).calls;
    return log.calls.size() - before;
}

void Hub::Inside::commit_aside(const Waiting& waiting_record, const SetAsideDecided& decision) {
    const Record& r = waiting_record.record;
    for (const CallId id : decision.calls)
        aside.erase(id);
    aside_changed = r.number;
    aside_stale = true;
    const std::string calls = std::to_string(decision.calls.size()) +
                              (decision.calls.size() == 1 ? " call" : " calls");
    if (decision.how == SetAsideDecided::How::dismissed) {
        done(waiting_record, "Dismissed: " + calls + ".");
        return;
    }
    BoutLog& log = bouts.at(decision.into);
    const auto counted = std::span<const Call>(log.calls).subspan(log.committed,
                                                                  waiting_record.counted);
    const bool confirmed_anew = std::any_of(counted.begin(), counted.end(), [](const Call& c) {
        return std::holds_alternative<Confirm>(c.what);
    });
    const auto of_theirs = std::count_if(
        counted.begin(), counted.end(), [](const Call& c) { return c.id.number != CallNumber{0}; });
    log.committed += waiting_record.counted;
    log.changed = r.number;
    log.known_at_desk = true;
    Mat& mat = mats.at(log.entry.mat);
    mat.number = r.number;  // it does not wait for its turn any more
    feed.sheet_changed(decision.into);
    settle(log, r, confirmed_anew);
    settle_names();
    publish(log.entry.mat);
    give_allotment(log.entry.mat);
    done(waiting_record, calls + " taken into " + bout_name(decision.into) + ", of which " +
                             std::to_string(of_theirs) + " count.");
}

void Hub::Inside::commit_result(const Waiting& waiting_record, const ResultEntered& entered) {
    const Record& r = waiting_record.record;
    BoutLog& log = bouts.at(entered.bout);
    log.changed = r.number;
    log.known_at_desk = true;
    const bool taken_away = entered.result.winner == Winner::undecided;
    const bool had = log.standing.has_value();
    stand(log, taken_away ? std::nullopt : std::optional(entered.result), r);
    const ResultFrom from = entered.from == ResultEntered::From::paper ? ResultFrom::paper
                                                                       : ResultFrom::desk;
    if (!taken_away) {
        tell(finished(log, r, from));
    } else if (had) {
        tell(reopened(log, r));
    }
    settle_names();
    mats.at(log.entry.mat).number = r.number;
    publish(log.entry.mat);
    feed.sheet_changed(entered.bout);
    tell_mats_waiting_for(entered.bout);
    give_allotment(log.entry.mat);
    done(waiting_record,
         taken_away ? "Bout " + std::to_string(entered.bout.value) + " has no result any more."
                    : "Bout " + std::to_string(entered.bout.value) + " has this result now.");
}

// Calls, result and all change places; each bout keeps its athletes, its mat and its rules.
void Hub::Inside::commit_moved(const Waiting& waiting_record, const RecordMoved& moved) {
    const Record& r = waiting_record.record;
    BoutLog& from = bouts.at(moved.from);
    BoutLog& to = bouts.at(moved.to);
    const bool from_had = from.standing.has_value();
    const bool to_had = to.standing.has_value();
    std::swap(from.calls, to.calls);
    std::swap(from.committed, to.committed);
    for (BoutLog* log : {&from, &to})
        log->all_folded = log->folded = SoFar();  // other calls, and perhaps other rules
    std::swap(from.confirmed, to.confirmed);
    std::swap(from.by_calls, to.by_calls);
    std::optional<Result> standing = to.standing;
    stand(to, from.standing, r);
    stand(from, std::move(standing), r);
    for (const Call& call : from.calls)
        to.gone.push_back(call.id);
    for (const Call& call : to.calls)
        from.gone.push_back(call.id);
    for (BoutLog* log : {&from, &to}) {
        log->changed = r.number;
        std::erase_if(log->gone, [log](CallId id) {
            return std::any_of(log->calls.begin(), log->calls.end(),
                               [id](const Call& c) { return c.id == id; });
        });
        log->known_at_desk = true;
        Mat& mat = mats.at(log->entry.mat);
        mat.number = r.number;
        log->moving = false;
    }
    // A screen that shows one of the two goes on with that record, if it is on its mat still.
    for (auto& [id, mat] : mats) {
        if (mat.current != moved.from && mat.current != moved.to) continue;
        const BoutLog& same = mat.current == moved.from ? to : from;
        const BoutLog& here = same.entry.mat == id ? same : bouts.at(*mat.current);
        mat.current = here.committed > 0 ? std::optional(here.entry.bout) : std::nullopt;
    }
    settle_names();
    // One record, one item: what became of the other is in it.
    if (to.standing || from.standing) {
        BoutLog& first = to.standing ? to : from;
        BoutLog& other = to.standing ? from : to;
        Finished item = finished(first, r, ResultFrom::other_record);
        if (other.standing) {
            item.also.push_back(finished(other, r, ResultFrom::other_record));
        } else if (&other == &from ? from_had : to_had) {
            item.no_result.push_back(reopened(other, r));
        }
        tell(item);
    }
    for (const BoutLog* log : {&from, &to}) {
        publish(log->entry.mat);
        feed.sheet_changed(log->entry.bout);
        tell_mats_waiting_for(log->entry.bout);
        give_allotment(log->entry.mat);
    }
    done(waiting_record, "What was recorded as " + bout_name(moved.from) + " is " +
                             bout_name(moved.to) + " now, and the other way round.");
}

bool Hub::Inside::as_folded(const BoutLog& log, std::span<const Call> calls) const {
    const auto confirmed = last_confirmed(calls);
    if (!confirmed) return true;
    const Call& last = calls.back();
    return alike(*confirmed, result_of(under(log), calls, Timeline(calls).place(last)));
}

void Hub::Inside::settle(BoutLog& log, const Record& record, bool confirmed_anew) {
    const auto calls = committed_calls(log);
    if (calls.empty()) return;
    const Phase phase = so_far(log).last(under(log)).phase;
    const bool confirmed = phase == Phase::confirmed || phase == Phase::accepted;
    std::optional<Result> result = last_confirmed(calls);
    const bool another = confirmed && confirmed_anew && result != log.standing;
    if (confirmed == log.confirmed && !another) return;
    log.confirmed = confirmed;
    if (confirmed) {
        // The table's word is the fact; this hub's own fold is a check beside it.
        log.by_calls = as_folded(log, calls) ? result : std::nullopt;
        stand(log, std::move(result), record);
        Finished item = finished(log, record, ResultFrom::table);
        item.unlike_calls = !log.by_calls;
        tell(item);
    } else if (log.standing) {
        stand(log, std::nullopt, record);
        tell(reopened(log, record));
    }
    feed.sheet_changed(log.entry.bout);
    tell_mats_waiting_for(log.entry.bout);
}

// Names go on to the bouts that wait for them, and another result brings other names. Without a
// result they go, unless such a bout has begun: its names stay, and what follows from that is for
// people to say.
void Hub::Inside::stand(BoutLog& log, std::optional<Result> result, const Record& record) {
    const BoutId bout = log.entry.bout;
    log.standing = std::move(result);
    log.standing_since = log.standing ? record.number : RecordNumber{};
    if (log.standing) {
        progress.confirm(bout, *log.standing);
    } else if (!begun_after(bout)) {
        progress.reopen(bout);
    }
}

// Where a bout has not begun any more, the names that it had to keep go.
void Hub::Inside::settle_names() {
    for (const auto& [id, log] : bouts) {
        if (!log.standing && !begun_after(id)) progress.reopen(id);
    }
}

Finished Hub::Inside::finished(BoutLog& log, const Record& record, ResultFrom from) {
    Finished item;
    item.number = record.number;
    item.mat = log.entry.mat;
    item.bout = seated(listed(log), log.standing->names_exchanged);
    item.result = *log.standing;
    item.words = words(under(log).rules, item.result);
    item.confirmed = record.received;
    item.from = from;
    item.replaces = std::exchange(log.told, record.number);
    return item;
}

Reopened Hub::Inside::reopened(BoutLog& log, const Record& record) {
    return Reopened{record.number, log.entry.mat, log.entry.bout, log.told};
}

}  // namespace honbu

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

}  // namespace

// Their calls go behind what the bout has; those that can't be there don't count. Worked out anew
// from the record each time, so that every replay comes to the same.
std::size_t Hub::Inside::take_aside(const SetAsideDecided& decision) {
    BoutLog& log = bouts.at(decision.into);
    const std::size_t before = log.calls.size();
    for (const CallId id : decision.calls) {
        Call call = aside.at(id).call;
        call.bout = decision.into;
        for (const auto& [run, joint] : decision.joined) {
            const bool there = std::any_of(log.calls.begin(), log.calls.end(), [&](const Call& c) {
                return c.id == CallId{run, CallNumber{0}};
            });
            if (run != id.run || there || log.calls.empty()) continue;
            Call meets = call;
            meets.id = CallId{run, CallNumber{0}};  // no call has this number
            meets.entered = joint.here;
            meets.back = Duration{};
            meets.seen = 0;
            meets.what = joint;
            log.calls.push_back(meets);
        }
        if (!no_entry(under(log), log.calls, call)) log.calls.push_back(std::move(call));
    }
    return log.calls.size() - before;
}

void Hub::Inside::commit_aside(const Waiting& waiting_record, const SetAsideDecided& decision) {
    const Record& r = waiting_record.record;
    for (const CallId id : decision.calls)
        aside.erase(id);
    aside_changed = r.number;
    publish_set_aside();
    const std::string calls = std::to_string(decision.calls.size()) +
                              (decision.calls.size() == 1 ? " call" : " calls");
    if (decision.how == SetAsideDecided::How::dismissed) {
        done(waiting_record, "Dismissed: " + calls + ".");
        return;
    }
    BoutLog& log = bouts.at(decision.into);
    log.committed += waiting_record.counted;
    log.changed = r.number;
    log.known_at_desk = true;
    Mat& mat = mats.at(log.entry.mat);
    mat.number = r.number;  // it does not wait for its turn any more
    feed.sheet_changed(decision.into);
    settle(log, r, true, ResultFrom::table, decision.reason);
    publish(log.entry.mat);
    if (!replaying) give_allotment(log.entry.mat);
    done(waiting_record, calls + " taken into " + bout_name(decision.into) + ", of which " +
                             std::to_string(waiting_record.counted - decision.joined.size()) +
                             " count.");
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
        feed.finished(finished(log, r, from, entered.reason));
    } else if (had) {
        feed.reopened(reopened(log, r, entered.reason));
    }
    mats.at(log.entry.mat).number = r.number;
    publish(log.entry.mat);
    feed.sheet_changed(entered.bout);
    tell_mats_waiting_for(entered.bout);
    if (!replaying) give_allotment(log.entry.mat);
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
        if (mat.current == moved.from || mat.current == moved.to) {
            mat.current = log->committed > 0 ? std::optional(log->entry.bout) : std::nullopt;
        }
    }
    // One record, one item: what became of the other is in it.
    if (to.standing || from.standing) {
        BoutLog& first = to.standing ? to : from;
        BoutLog& other = to.standing ? from : to;
        Finished item = finished(first, r, ResultFrom::other_record, moved.reason);
        if (other.standing) {
            item.also.push_back(finished(other, r, ResultFrom::other_record, moved.reason));
        } else if (&other == &from ? from_had : to_had) {
            item.no_result.push_back(reopened(other, r, moved.reason));
        }
        feed.finished(item);
    }
    for (const BoutLog* log : {&from, &to}) {
        publish(log->entry.mat);
        feed.sheet_changed(log->entry.bout);
        tell_mats_waiting_for(log->entry.bout);
        if (!replaying) give_allotment(log->entry.mat);
    }
    done(waiting_record, "What was recorded as " + bout_name(moved.from) + " is " +
                             bout_name(moved.to) + " now, and the other way round.");
}

void Hub::Inside::settle(BoutLog& log, const Record& record, bool confirmed_anew, ResultFrom from,
                         const std::string& reason) {
    const auto calls = committed_calls(log);
    if (calls.empty()) return;
    const Phase phase = frames(under(log), calls).front().state.phase;
    const bool confirmed = phase == Phase::confirmed || phase == Phase::accepted;
    std::optional<Result> result = last_confirmed(calls);
    const bool another = confirmed && confirmed_anew && result != log.standing;
    if (confirmed == log.confirmed && !another) return;
    log.confirmed = confirmed;
    if (confirmed) {
        log.by_calls = result;
        stand(log, std::move(result), record);
        feed.finished(finished(log, record, from, reason));
    } else if (log.standing) {
        stand(log, std::nullopt, record);
        feed.reopened(reopened(log, record, reason));
    }
    feed.sheet_changed(log.entry.bout);
    tell_mats_waiting_for(log.entry.bout);
}

void Hub::Inside::stand(BoutLog& log, std::optional<Result> result, const Record& record) {
    const bool had = log.standing.has_value();
    log.standing = std::move(result);
    log.standing_since = log.standing ? record.number : RecordNumber{};
    if (log.standing) {
        progress.confirm(log.entry.bout, *log.standing);
    } else if (had && !begun_after(log.entry.bout)) {
        progress.reopen(log.entry.bout);
    }
}

Finished Hub::Inside::finished(BoutLog& log, const Record& record, ResultFrom from,
                               const std::string& reason) {
    Finished item;
    item.number = record.number;
    item.mat = log.entry.mat;
    item.bout = seated(listed(log), log.standing->names_exchanged);
    item.result = *log.standing;
    item.words = words(under(log).rules, item.result);
    item.confirmed = record.received;
    item.from = from;
    item.replaces = std::exchange(log.told, record.number);
    item.reason = reason;
    return item;
}

Reopened Hub::Inside::reopened(BoutLog& log, const Record& record, const std::string& reason) {
    return Reopened{record.number, log.entry.mat, log.entry.bout, log.told, reason};
}

}  // namespace honbu

// From a fact to a record, and what follows from it: at once for the order of things, and once it
// is on the disk for the eyes of people.
#include <algorithm>

#include "hub/core/inside.h"
#include "hub/insist.h"

namespace honbu {

void Hub::Inside::record(Fact fact, Verdict verdict, std::optional<SessionId> asker, Instant now,
                         std::vector<Beside> beside) {
    Record r;
    r.number = RecordNumber{decided.value + 1};
    r.previous = last_hash;
    r.received = std::max(now, last_received);  // hub time never goes back in the journal
    if (asker) {
        const Hello& hello = sessions.at(*asker).hello;
        r.device = hello.device;
        r.hand = hello.hand;
    }
    r.verdict = verdict;
    r.fact = std::move(fact);
    std::string bytes = encode(r);
    last_hash = sha256(bytes);
    decide(r);
    waiting.push_back(Waiting{r, asker, {}});
    journal.append(r.number, std::move(bytes), std::move(beside));
}

void Hub::Inside::decide(const Record& r) {
    struct Decide {
        Inside& in;
        const Record& r;
        void operator()(const EpochBegan& f) const {
            in.has_epoch = true;
            in.epoch = f;
        }
        void operator()(const CompetitionLoaded& f) const {
            in.has_competition = true;
            in.competition = f;
            for (const BoutEntry& entry : f.bouts) {
                in.bouts[entry.bout].entry = entry;
                in.mats[entry.mat].order.push_back(entry.bout);
                in.progress.add(entry);
            }
        }
        void operator()(const MatTaken& f) const {
            Mat& mat = in.mats.at(f.mat);
            mat.term = f.term;
            mat.holder = r.device;
        }
        void operator()(const Call& call) const {
            KnownRun& run = in.runs[call.id.run];
            run.device = r.device;
            const auto delay = std::int64_t{r.received.ms} - std::int64_t{call.entered.ms};
            run.least_delay_ms = run.given.empty() ? delay : std::min(run.least_delay_ms, delay);
            GivenNumber given;
            given.content = sha256(encode(call));
            given.verdict = r.verdict;
            given.record = r.number;
            const auto bout = in.bouts.find(call.bout);
            if (bout != in.bouts.end() && r.verdict != Verdict::set_aside) {
                BoutLog& log = bout->second;
                // 0: a table without an engine of its own, which can't say.
                given.state_differs = call.seen != 0 && short_hash(before(in.under(log), log.calls,
                                                                          call)) != call.seen;
                if (r.verdict == Verdict::applied) log.calls.push_back(call);
            }
            run.given.push_back(given);
        }
    };
    decided = r.number;
    last_received = r.received;
    std::visit(Decide{*this, r}, r.fact);
}

void Hub::Inside::commit(Waiting& done) {
    struct Commit {
        Inside& in;
        Waiting& done;
        void operator()(const EpochBegan&) const {}
        void operator()(const CompetitionLoaded&) const { in.publish_all(); }
        void operator()(const MatTaken& f) const {
            Mat& mat = in.mats.at(f.mat);
            const DeviceId before = mat.known_holder;
            mat.known_holder = done.record.device;
            mat.known_term = f.term;
            mat.number = done.record.number;
            in.publish(f.mat);
            in.give_allotment(f.mat);
            for (const auto& [id, session] : in.sessions) {
                const Hello& hello = session.hello;
                if (hello.role != Role::table || hello.device != before) continue;
                in.outlet.reply(id, MatLost{f.mat, f.term,
                                            "Another table has taken mat " +
                                                std::to_string(f.mat.value) + "."});
            }
        }
        void operator()(const Call& call) const { in.commit_call(done, call); }
    };
    committed = done.record.number;
    std::visit(Commit{*this, done}, done.record.fact);
}

void Hub::Inside::commit_call(const Waiting& done, const Call& call) {
    KnownRun& run = runs.at(call.id.run);
    ++run.committed;
    const GivenNumber& given = run.given.at(call.id.number.value - 1);
    if (!replaying) ++tallies.verdicts.at(static_cast<std::size_t>(given.verdict));
    const VerdictGiven verdict{call.id, given.verdict, given.record, given.state_differs};
    if (done.asker) outlet.reply(*done.asker, verdict);
    for (const SessionId session : done.also)
        outlet.reply(session, verdict);
    if (given.verdict != Verdict::applied) return;

    BoutLog& log = bouts.at(call.bout);
    Mat& mat = mats.at(call.mat);
    ++log.committed;
    mat.current = call.bout;
    mat.number = done.record.number;
    publish(call.mat);

    // Only these open or close a result; a struck reopening closes it again.
    const bool may_close = std::holds_alternative<Confirm>(call.what) ||
                           std::holds_alternative<Strike>(call.what);
    if (!log.confirmed && !may_close) return;
    const auto calls = committed_calls(log);
    const Phase phase = frames(under(log), calls).front().state.phase;
    const bool confirmed = phase == Phase::confirmed || phase == Phase::accepted;
    if (confirmed == log.confirmed) return;
    log.confirmed = confirmed;
    if (confirmed) {
        const auto last = std::find_if(calls.rbegin(), calls.rend(), [](const Call& c) {
            return std::holds_alternative<Confirm>(c.what);
        });
        const Result& result = std::get<Confirm>(last->what).result;
        progress.confirm(call.bout, result);
        feed.finished(Finished{done.record.number, call.mat, head(log), result,
                               words(under(log).rules, result), done.record.received});
    } else {
        feed.reopened(Reopened{done.record.number, call.mat, call.bout});
        if (!begun_after(call.bout)) progress.reopen(call.bout);
    }
    tell_mats_waiting_for(call.bout);
}

void Hub::Inside::check_equal() const {
    if (!waiting.empty()) return;
    INSIST(decided == committed);
    for (const auto& [id, bout] : bouts)
        INSIST(bout.committed == bout.calls.size());
    for (const auto& [id, run] : runs)
        INSIST(run.committed == run.given.size());
}

}  // namespace honbu

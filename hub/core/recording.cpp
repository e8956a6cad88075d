// From a fact to a record, and what follows from it: at once for the order of things, and once it
// is on the disk for the eyes of people.
#include <algorithm>
#include <utility>

#include "hub/core/inside.h"
#include "hub/insist.h"

namespace honbu {
namespace {

// The bouts that a fact is about.
std::vector<BoutId> bouts_of(const Fact& fact) {
    struct Of {
        std::vector<BoutId> operator()(const EpochBegan&) const { return {}; }
        std::vector<BoutId> operator()(const CompetitionLoaded&) const { return {}; }
        std::vector<BoutId> operator()(const MatTaken&) const { return {}; }
        std::vector<BoutId> operator()(const MatFreed&) const { return {}; }
        std::vector<BoutId> operator()(const Call& f) const { return {f.bout}; }
        std::vector<BoutId> operator()(const SetAsideDecided& f) const { return {f.into}; }
        std::vector<BoutId> operator()(const ResultEntered& f) const { return {f.bout}; }
        std::vector<BoutId> operator()(const RecordMoved& f) const { return {f.from, f.to}; }
        std::vector<BoutId> operator()(const BoutGivenBack& f) const { return {f.bout}; }
        std::vector<BoutId> operator()(const DeviceLetIn&) const { return {}; }
        std::vector<BoutId> operator()(const DeviceShutOut&) const { return {}; }
        std::vector<BoutId> operator()(const PersonErased&) const { return {}; }
        std::vector<BoutId> operator()(const CallsHandedIn&) const { return {}; }
    };
    return std::visit(Of{}, fact);
}

}  // namespace

std::uint64_t first_bytes(const Hash& hash) {
    std::uint64_t out = 0;
    for (std::size_t i = 0; i < 8; ++i)
        out = out << 8 | hash[i];
    return out;
}

void Hub::Inside::record(Fact fact, Verdict verdict, std::optional<Asker> asker, Instant now,
                         std::vector<Beside> beside) {
    Record r;
    r.number = RecordNumber{decided.value + 1};
    r.previous = last_hash;
    r.received = std::max(now, last_received);  // hub time never goes back in the journal
    if (asker) {
        const Hello& hello = sessions.at(asker->session).hello;
        r.device = hello.device;
        r.hand = hello.hand;
    }
    r.verdict = verdict;
    r.fact = std::move(fact);
    std::string bytes = encode(r);
    last_hash = sha256(bytes);
    Waiting next{r, bytes, {}, {}, 0, decide(r)};
    if (asker) {
        next.asker = asker->session;
        next.request = asker->request;
    }
    touched(r.fact, 1);
    waiting.push_back(std::move(next));
    journal.append(r.number, std::move(bytes), std::move(beside));
}

void Hub::Inside::touched(const Fact& fact, int by) {
    for (const BoutId bout : bouts_of(fact)) {
        const auto found = bouts.find(bout);
        if (found != bouts.end()) found->second.waiting += static_cast<std::size_t>(by);
        if (by < 0) to_check.bouts.push_back(bout);
    }
    const auto* call = std::get_if<Call>(&fact);
    if (by < 0 && call != nullptr) to_check.runs.push_back(call->id.run);
    const auto* handed_in = std::get_if<CallsHandedIn>(&fact);
    if (by < 0 && handed_in != nullptr) to_check.runs.push_back(handed_in->calls.front().id.run);
    constexpr std::size_t many = 10'000;  // something has been waiting without end
    if (to_check.bouts.size() + to_check.runs.size() > many) to_check.each_once();
}

// How many calls it makes count, in the one bout that it is about.
std::size_t Hub::Inside::decide(const Record& r) {
    struct Decide {
        Inside& in;
        const Record& r;
        std::size_t operator()(const EpochBegan& f) const {
            in.epoch = f;
            in.epochs.push_back({f.epoch, r.number});
            if (f.parent == Epoch{}) return 0;
            for (auto& [id, mat] : in.mats) {
                mat.holder = DeviceId{};
                mat.term.value += terms_skipped(f.epoch);
                mat.before_epoch = mat.term;
            }
            return 0;
        }
        std::size_t operator()(const CompetitionLoaded& f) const {
            lay_out(in, f);
            return 0;
        }
        std::size_t operator()(const MatTaken& f) const {
            Mat& mat = in.mats.at(f.mat);
            mat.term = f.term;
            mat.holder = r.device;
            return 0;
        }
        std::size_t operator()(const MatFreed& f) const {
            in.mats.at(f.mat).holder = DeviceId{};
            return 0;
        }
        std::size_t operator()(const Call& call) const {
            in.decide_call(r, call);
            return r.verdict == Verdict::applied ? 1 : 0;
        }
        std::size_t operator()(const SetAsideDecided& f) const {
            for (const CallId call : f.calls)
                in.aside.at(call).decided = r.number;
            if (f.how == SetAsideDecided::How::dismissed) return 0;
            in.bouts.at(f.into).at_desk = true;
            return in.take_aside(f);
        }
        std::size_t operator()(const ResultEntered& f) const {
            in.bouts.at(f.bout).at_desk = true;
            return 0;
        }
        std::size_t operator()(const RecordMoved& f) const {
            for (const BoutId id : {f.from, f.to}) {
                in.bouts.at(id).at_desk = true;
                in.bouts.at(id).moving = true;  // until then nobody writes either
            }
            return 0;
        }
        std::size_t operator()(const BoutGivenBack& f) const {
            in.bouts.at(f.bout).at_desk = false;
            return 0;
        }
        std::size_t operator()(const PersonErased& f) const {
            if (f.person == PersonId{}) {
                in.typed_erased.insert(f.bout);
            } else {
                in.erased.insert(f.person);
            }
            return 0;
        }
        std::size_t operator()(const DeviceLetIn& f) const {
            in.decide_let_in(f);
            return 0;
        }
        std::size_t operator()(const DeviceShutOut& f) const {
            in.decide_shut_out(f);
            return 0;
        }
        std::size_t operator()(const CallsHandedIn& f) const {
            in.decide_handed_in(r, f);
            return 0;
        }
    };
    decided = r.number;
    last_received = r.received;
    hashes.push_back(first_bytes(last_hash));
    return std::visit(Decide{*this, r}, r.fact);
}

void Hub::Inside::decide_call(const Record& r, const Call& call) {
    KnownRun& run = runs[call.id.run];
    run.device = r.device;
    const auto delay = std::int64_t{r.received.ms} - std::int64_t{call.entered.ms};
    run.least_delay_ms = run.given.empty() ? delay : std::min(run.least_delay_ms, delay);
    run.came_itself = true;
    GivenNumber given;
    given.content = first_bytes(sha256(encode(call)));
    given.verdict = r.verdict;
    given.record = r.number;
    const auto bout = bouts.find(call.bout);
    if (bout != bouts.end() && r.verdict != Verdict::set_aside) {
        BoutLog& log = bout->second;
        // 0: whoever has no engine, and can't say.
        given.state_differs = call.seen != 0 &&
                              short_hash(all_so_far(log).before(under(log), log.calls, call)) !=
                                  call.seen;
        if (r.verdict == Verdict::applied) {
            log.calls.push_back(call);
            if (std::holds_alternative<Confirm>(call.what) && !as_folded(log, log.calls)) {
                given.state_differs = true;
            }
            if (call.term == Term{}) log.at_desk = true;
        }
    }
    if (r.verdict != Verdict::applied) {
        aside[call.id] = Aside{call, r.number, r.verdict, r.device, r.hand, {}};
    }
    run.given.push_back(given);
}

void Hub::Inside::commit(Waiting& done) {
    struct Commit {
        Inside& in;
        Waiting& done;
        void operator()(const EpochBegan& f) const {
            if (f.parent == Epoch{}) return;
            for (auto& [id, mat] : in.mats) {
                mat.known_term = mat.term;
                if (std::exchange(mat.known_holder, DeviceId{}) == DeviceId{}) continue;
                mat.number = done.record.number;
            }
            in.publish_all();
        }
        void operator()(const CompetitionLoaded&) const { in.publish_all(); }
        void operator()(const MatTaken& f) const { in.commit_taken(done, f); }
        void operator()(const MatFreed& f) const { in.commit_freed(done, f); }
        void operator()(const Call& call) const { in.commit_call(done, call); }
        void operator()(const SetAsideDecided& f) const { in.commit_aside(done, f); }
        void operator()(const ResultEntered& f) const { in.commit_result(done, f); }
        void operator()(const RecordMoved& f) const { in.commit_moved(done, f); }
        void operator()(const BoutGivenBack& f) const {
            BoutLog& log = in.bouts.at(f.bout);
            log.known_at_desk = false;
            log.changed = done.record.number;
            Mat& mat = in.mats.at(log.entry.mat);
            mat.number = done.record.number;
            mat.passed = 0;  // it may wait its turn again
            in.publish(log.entry.mat);
            in.feed.sheet_changed(f.bout);
            in.give_allotment(log.entry.mat);
            in.done(done, "Bout " + std::to_string(f.bout.value) + " is its mat's table's again.");
        }
        void operator()(const PersonErased& f) const { in.commit_erased(done, f); }
        void operator()(const DeviceLetIn& f) const { in.commit_let_in(done, f); }
        void operator()(const DeviceShutOut& f) const { in.commit_shut_out(done, f); }
        void operator()(const CallsHandedIn& f) const { in.commit_handed_in(done, f); }
    };
    committed = done.record.number;
    std::visit(Commit{*this, done}, done.record.fact);
    if (!replaying) feed.recorded(committed, done.bytes);
}

void Hub::Inside::commit_taken(const Waiting& waiting_record, const MatTaken& taken) {
    const Record& r = waiting_record.record;
    Mat& mat = mats.at(taken.mat);
    const DeviceId before = mat.known_holder;
    mat.known_holder = r.device;
    mat.known_term = taken.term;
    mat.hand = r.hand;
    mat.taken = r.received;
    mat.differs = false;
    mat.number = r.number;
    publish(taken.mat);
    publish_tables();
    give_allotment(taken.mat);
    for (auto& [id, session] : sessions) {
        const Hello& hello = session.hello;
        if (hello.device == r.device && session.mat == taken.mat) tell_open_asks(id);
        if (before == DeviceId{} || hello.role != Role::table || hello.device != before) continue;
        outlet.reply(id,
                     MatLost{taken.mat, taken.term,
                             "Another table has taken mat " + std::to_string(taken.mat.value) + ".",
                             false});
    }
}

void Hub::Inside::commit_freed(const Waiting& freed_record, const MatFreed& freed) {
    Mat& mat = mats.at(freed.mat);
    const DeviceId before = mat.known_holder;
    mat.known_holder = DeviceId{};
    mat.hand.clear();
    mat.number = freed_record.record.number;
    publish(freed.mat);
    publish_tables();
    const std::string name = "mat " + std::to_string(freed.mat.value);
    const bool left = !freed.by_desk;
    for (const auto& [id, session] : sessions) {
        const Hello& hello = session.hello;
        if (before == DeviceId{} || hello.role != Role::table || hello.device != before) continue;
        outlet.reply(id, MatLost{freed.mat, freed.term,
                                 left ? "This table has left " + name + ". Any table may take it."
                                      : "The desk has freed " + name + ".",
                                 left});
    }
    if (!left) done(freed_record, "Nobody has " + name + " now.");
}

void Hub::Inside::commit_call(const Waiting& call_record, const Call& call) {
    const Record& r = call_record.record;
    KnownRun& run = runs.at(call.id.run);
    ++run.committed;
    const GivenNumber& given_number = run.given.at(call.id.number.value - 1);
    if (!replaying) ++tallies.verdicts.at(static_cast<std::size_t>(given_number.verdict));
    const VerdictGiven verdict{call.id, given_number.verdict, given_number.record,
                               given_number.state_differs};
    if (call_record.asker) outlet.reply(*call_record.asker, verdict);
    for (const SessionId session : call_record.also)
        outlet.reply(session, verdict);
    const auto mat = mats.find(call.mat);
    if (given_number.state_differs && mat != mats.end() && mat->second.known_term == call.term) {
        mat->second.differs = true;
        publish_tables();
    }
    if (call_record.typed) typed.emplace(call.bout, *call_record.typed);
    if (given_number.verdict != Verdict::applied) {
        aside_changed = r.number;
        aside_stale = true;
        return;
    }

    BoutLog& log = bouts.at(call.bout);
    ++log.committed;
    log.changed = r.number;
    const bool taken_by_desk = call.term == Term{} && !std::exchange(log.known_at_desk, true);
    Mat& on = mats.at(log.entry.mat);
    // What the desk puts right leaves on the screens what is being fought.
    if (call.term != Term{}) on.current = call.bout;
    // And what it takes does not wait for its turn any more.
    if (on.current == call.bout || taken_by_desk) on.number = r.number;
    feed.sheet_changed(call.bout);
    // Any call may open or close a result: where two runs' clocks meet badly a kachi may come to
    // stand before a confirmation that was there already.
    settle(log, r, std::holds_alternative<Confirm>(call.what));
    if (on.current == call.bout || taken_by_desk) publish(log.entry.mat);
    if (taken_by_desk && !replaying) give_allotment(log.entry.mat);
    const bool names = std::holds_alternative<ExchangeNames>(call.what) ||
                       std::holds_alternative<Strike>(call.what) ||
                       std::holds_alternative<Replace>(call.what);
    aside_stale = aside_stale || (names && !aside.empty());  // it shows them as they stand
}

void Hub::Inside::ToCheck::each_once() {
    std::sort(bouts.begin(), bouts.end());
    bouts.erase(std::unique(bouts.begin(), bouts.end()), bouts.end());
    std::sort(runs.begin(), runs.end());
    runs.erase(std::unique(runs.begin(), runs.end()), runs.end());
}

void Hub::Inside::check_equal() {
    if (!waiting.empty()) return;
    INSIST(decided == committed);
    INSIST(hashes.size() == committed.value);
    for (const BoutId id : to_check.bouts) {
        const auto bout = bouts.find(id);
        if (bout != bouts.end()) check(bout->second);
    }
    for (const RunId id : to_check.runs)
        check(runs.at(id));
    to_check = {};
}

void Hub::Inside::check_all() const {
    for (const auto& [id, bout] : bouts)
        check(bout);
    for (const auto& [id, run] : runs)
        check(run);
}

void Hub::Inside::check(const BoutLog& bout) const {
    INSIST(bout.committed == bout.calls.size());
    INSIST(bout.waiting == 0 && bout.at_desk == bout.known_at_desk);
}

void Hub::Inside::check(const KnownRun& run) const { INSIST(run.committed == run.given.size()); }

}  // namespace honbu

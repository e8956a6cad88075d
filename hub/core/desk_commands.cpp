// What the desk asks. Refused, it changes nothing; taken, it is one record, answered once that is
// on the disk. Each command says what it was decided on, so that what has changed meanwhile, and a
// command that comes twice, is refused.
#include <algorithm>

#include "hub/core/inside.h"

namespace honbu {
namespace {

std::string bout_name(BoutId bout) { return "bout " + std::to_string(bout.value); }

constexpr const char* look_again = " Look again, then decide again.";

// What can be said of a result without its calls; empty: nothing against it.
std::string result_problem(const Result& result) {
    const bool one_wins = result.winner == Winner::white || result.winner == Winner::blue;
    switch (result.winner) {
    case Winner::undecided: return {};
    case Winner::both_lose:
        if (result.way == Way::both_lose) return {};
        return "A bout that both lose has WAY_BOTH_LOSE.";
    case Winner::draw:
        if (result.way == Way::hiki_wake) return {};
        return "A drawn bout has WAY_HIKI_WAKE.";
    case Winner::white:
    case Winner::blue: break;
    }
    if (one_wins &&
        (result.way == Way::none || result.way == Way::both_lose || result.way == Way::hiki_wake)) {
        return "A result with a winner says how the bout was won.";
    }
    return {};
}

}  // namespace

std::string at_the_table(const BoutEntry& entry) {
    const std::string mat = "mat " + std::to_string(entry.mat.value);
    return "The table of " + mat + " may be writing " + bout_name(entry.bout) +
           ". Ask it to confirm the bout or to leave the mat; or free " + mat +
           ", and what the table has not sent yet is set aside.";
}

bool Hub::Inside::is_desk(SessionId session, std::uint32_t request) {
    const Hello& hello = sessions.at(session).hello;
    if (hello.role != Role::desk) {
        refuse(session, Cause::not_the_desk, "Only the desk decides this.", request);
        return false;
    }
    if (hello.device == DeviceId{}) {
        refuse(session, Cause::not_the_desk,
               "A desk that decides says hello with a device of its own, so that the record says "
               "whose decision it was.",
               request);
        return false;
    }
    return true;
}

// A bout that a table may be fighting is the table's. What is confirmed, or was never begun, the
// desk may take to itself.
bool Hub::Inside::desk_may_write(const BoutLog& log) const {
    if (log.at_desk || mats.at(log.entry.mat).holder == DeviceId{}) return true;
    return log.waiting == 0 && (log.confirmed || log.standing || log.calls.empty());
}

BoutLog* Hub::Inside::for_desk(SessionId session, BoutId bout, std::uint32_t request) {
    const auto found = bouts.find(bout);
    if (found == bouts.end()) {
        refuse(session, Cause::no_such_bout, "This competition has no " + bout_name(bout) + ".",
               request);
        return nullptr;
    }
    BoutLog& log = found->second;
    if (!desk_may_write(log)) {
        refuse(session, Cause::at_the_table, at_the_table(log.entry), request);
        return nullptr;
    }
    if (log.waiting > 0) {
        refuse(session, Cause::changed,
               "Something about " + bout_name(bout) + " is being written this moment." + look_again,
               request);
        return nullptr;
    }
    return &log;
}

void Hub::Inside::open_bout(SessionId session, const OpenBout& wish) {
    if (!is_desk(session, wish.request)) return;
    const BoutLog* log = for_desk(session, wish.bout, wish.request);
    if (log == nullptr) return;
    Allotment one;
    one.mat = log->entry.mat;  // and no term: the desk needs none
    one.rules = competition.rules;
    BoutGiven bout = given(*log);
    bout.at_desk = false;  // for this reader it is its own
    put_calls(*log, bout, one);
    one.bouts.push_back(std::move(bout));
    outlet.reply(session, one);
}

void Hub::Inside::decide_set_aside(SessionId session, const DecideSetAside& wish, Instant now) {
    if (!is_desk(session, wish.request)) return;
    for (const CallId id : wish.calls) {
        const auto found = aside.find(id);
        if (found != aside.end() && found->second.decided == RecordNumber{} &&
            found->second.record <= committed) {
            continue;
        }
        refuse(session, Cause::changed,
               "One of these calls does not wait for a decision any more." +
                   std::string(look_again),
               wish.request);
        return;
    }
    SetAsideDecided decision;
    decision.how = wish.how;
    decision.calls = wish.calls;
    decision.reason = wish.reason;
    if (wish.how == SetAsideDecided::How::taken) {
        decision.into = wish.into;
        const BoutLog* log = for_desk(session, wish.into, wish.request);
        if (log == nullptr) return;
        const std::string problem = join_runs(*log, decision);
        if (!problem.empty()) {
            refuse(session, Cause::impossible,
                   "None of these calls can count in " + bout_name(wish.into) + ": " + problem,
                   wish.request);
            return;
        }
    }
    record(std::move(decision), Verdict::none, Asker{session, wish.request}, now);
}

// Runs that the bout does not know get a joint, by the hub's clock as it stood to each of them: it
// is recorded with the decision, so that it never depends on what is measured later. Empty: at
// least one of the calls counts; else what stands against the first.
std::string Hub::Inside::join_runs(const BoutLog& log, SetAsideDecided& decision) const {
    std::vector<Call> calls = log.calls;
    std::string problem;
    bool any = false;
    for (const CallId id : decision.calls) {
        Call call = aside.at(id).call;
        call.bout = log.entry.bout;
        const bool joins = std::holds_alternative<Joint>(call.what);
        if (!calls.empty() && !joins && !Timeline(calls).knows(id.run)) {
            const Call& last = calls.back();
            const RunId earlier = last.id.run;
            const std::int64_t there = std::int64_t{call.entered.ms} + to_hub_ms(id.run) -
                                       to_hub_ms(earlier);
            const Instant met{
                static_cast<std::uint32_t>(std::clamp<std::int64_t>(there, 0, 0xffffffff))};
            const Joint joint{earlier, met, call.entered, Joint::Source::hub_clock};
            decision.joined.push_back({id.run, joint});
            Call meets = call;
            meets.id = CallId{id.run, CallNumber{0}};
            meets.back = Duration{};
            meets.what = joint;
            calls.push_back(meets);
        }
        if (const auto no = no_entry(under(log), calls, call)) {
            if (problem.empty()) problem = *no;
        } else {
            calls.push_back(std::move(call));
            any = true;
        }
    }
    return any ? std::string() : problem;
}

void Hub::Inside::enter_result(SessionId session, const EnterResult& wish, Instant now) {
    if (!is_desk(session, wish.request)) return;
    ResultEntered entered = wish.entered;
    const BoutLog* log = for_desk(session, entered.bout, wish.request);
    if (log == nullptr) return;
    if (entered.replaces != log->standing_since) {
        refuse(session, Cause::changed,
               log->standing
                   ? "Bout " + std::to_string(entered.bout.value) + " has the result of record " +
                         std::to_string(log->standing_since.value) + " now." + look_again
                   : "Bout " + std::to_string(entered.bout.value) + " has no result now." +
                         look_again,
               wish.request);
        return;
    }
    std::string problem = result_problem(entered.result);
    if (entered.result.winner == Winner::undecided) {
        if (!log->standing) problem = "There is no result to take away.";
        entered.result = Result{};
    } else {
        // It is under the rules of its bout, and no fold has made it.
        entered.result.rules_hash = sha256(encode(under(*log).rules));
        entered.result.fold_version = 0;
        for (const Slot& slot : {log->entry.white, log->entry.blue}) {
            if (!progress.person_in(slot) && entered.result.way != Way::both_lose &&
                entered.result.way != Way::fusen_gachi) {
                problem = "It is not known yet who fights in it.";
            }
        }
    }
    if (!problem.empty()) {
        refuse(session, Cause::impossible,
               "This can't be the result of " + bout_name(entered.bout) + ": " + problem,
               wish.request);
        return;
    }
    record(std::move(entered), Verdict::none, Asker{session, wish.request}, now);
}

void Hub::Inside::move_record(SessionId session, const MoveRecord& wish, Instant now) {
    if (!is_desk(session, wish.request)) return;
    const RecordMoved& moved = wish.moved;
    const BoutLog* from = for_desk(session, moved.from, wish.request);
    if (from == nullptr) return;
    const BoutLog* to = for_desk(session, moved.to, wish.request);
    if (to == nullptr) return;
    std::string problem;
    if (moved.from == moved.to) {
        problem = "It is the same bout.";
    } else if (from->calls.empty() && !from->standing) {
        problem = "Nothing is recorded for " + bout_name(moved.from) + ".";
    }
    if (!problem.empty()) {
        refuse(session, Cause::impossible, "The record can't be moved: " + problem, wish.request);
        return;
    }
    if (wish.from_changed != from->changed || wish.to_changed != to->changed) {
        refuse(session, Cause::changed,
               "One of the two bouts has changed meanwhile." + std::string(look_again),
               wish.request);
        return;
    }
    record(moved, Verdict::none, Asker{session, wish.request}, now);
}

void Hub::Inside::give_back(SessionId session, const GiveBack& wish, Instant now) {
    if (!is_desk(session, wish.request)) return;
    const BoutLog* log = for_desk(session, wish.bout, wish.request);
    if (log == nullptr) return;
    if (!log->at_desk) {
        refuse(session, Cause::changed,
               "Bout " + std::to_string(wish.bout.value) +
                   " is not at the desk; its mat's table has it.",
               wish.request);
        return;
    }
    record(BoutGivenBack{wish.bout}, Verdict::none, Asker{session, wish.request}, now);
}

void Hub::Inside::done(const Waiting& done_record, std::string words) {
    if (!done_record.asker) return;
    outlet.reply(*done_record.asker,
                 Done{done_record.request, done_record.record.number, std::move(words)});
}

}  // namespace honbu

// What the desk asks. Refused, it changes nothing; taken, it is one record, answered once that is
// on the disk. Each command says what it was decided on, so that what has changed meanwhile, and a
// command that comes twice, is refused.
#include <algorithm>

#include "hub/core/inside.h"

namespace honbu {
namespace {

std::string bout_name(BoutId bout) { return "bout " + std::to_string(bout.value); }

constexpr const char* look_again = " Look again, then decide again.";

std::optional<Level> level_of(Way way) {
    if (way == Way::koka) return Level::koka;
    if (way == Way::yuko) return Level::yuko;
    return std::nullopt;
}

// What can be said of a result without its calls; empty: nothing against it.
std::string result_problem(const Result& result, const RuleSet& rules) {
    for (const Level level : {Level::koka, Level::yuko, Level::waza_ari}) {
        const bool shown = result.white.score[index(level)] + result.blue.score[index(level)] > 0;
        if (!rules.has(level) && (shown || level_of(result.way) == level)) {
            return "Its rules (" + rules.title + ") know no " + std::string(word(level)) + ".";
        }
    }
    const bool one_wins = result.winner == Winner::white || result.winner == Winner::blue;
    switch (result.winner) {
    case Winner::undecided: return {};
    case Winner::both_lose:
        if (result.way == Way::both_lose) return {};
        return "Where both lose, that is also how the bout ended.";
    case Winner::draw:
        if (result.way == Way::hiki_wake) return {};
        return "A bout without a winner ended by hiki-wake.";
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

// Decided on how the bout stands now? Asked before anything else, so that a command that comes
// again is told that, and not what else stands in its way by now.
bool Hub::Inside::as_the_desk_saw(SessionId session, BoutId bout, RecordNumber changed,
                                  std::uint32_t request) {
    const auto found = bouts.find(bout);
    if (found == bouts.end()) {
        refuse(session, Cause::no_such_bout, "This competition has no " + bout_name(bout) + ".",
               request);
        return false;
    }
    if (found->second.waiting == 0 && found->second.changed == changed) return true;
    refuse(session, Cause::changed,
           "Bout " + std::to_string(bout.value) + " has changed meanwhile." + look_again, request);
    return false;
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

// Nothing about the bouts that its two come from is on its way to the disk: who fights in it is
// known then as it will stand in the journal.
bool Hub::Inside::names_settled(const BoutEntry& entry) const {
    for (const Slot& slot : {entry.white, entry.blue}) {
        if (slot.from == Slot::From::person) continue;
        const auto source = bouts.find(BoutId{slot.value});
        if (source == bouts.end()) continue;
        if (source->second.waiting > 0 || !names_settled(source->second.entry)) return false;
    }
    return true;
}

bool Hub::Inside::knows_who(SessionId session, const BoutLog& log, std::uint32_t request) {
    if (names_settled(log.entry)) return true;
    refuse(session, Cause::changed,
           "Who fights in " + bout_name(log.entry.bout) + " is being written this moment." +
               look_again,
           request);
    return false;
}

std::string Hub::Inside::not_known_who(const BoutLog& log) const {
    const bool known = progress.person_in(log.entry.white) && progress.person_in(log.entry.blue);
    return known ? std::string()
                 : "It is not known yet who fights in " + bout_name(log.entry.bout) + ".";
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
        if (!knows_who(session, *log, wish.request)) return;
        std::string problem = not_known_who(*log);
        if (problem.empty()) {
            decision.joined = joined(*log, decision.calls);
            const Taken would_be = taken(*log, decision);
            if (would_be.counted == 0) problem = would_be.problem;
        }
        if (!problem.empty()) {
            refuse(session, Cause::impossible,
                   "These calls can't count in " + bout_name(wish.into) + ": " + problem,
                   wish.request);
            return;
        }
    }
    record(std::move(decision), Verdict::none, Asker{session, wish.request}, now);
}

void Hub::Inside::enter_result(SessionId session, const EnterResult& wish, Instant now) {
    if (!is_desk(session, wish.request)) return;
    ResultEntered entered = wish.entered;
    if (!as_the_desk_saw(session, entered.bout, wish.changed, wish.request)) return;
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
    if (!knows_who(session, *log, wish.request)) return;
    std::string problem = result_problem(entered.result, under(*log).rules);
    if (entered.result.winner == Winner::undecided) {
        if (!log->standing) problem = "There is no result to take away.";
        entered.result = Result{};
    } else {
        // It is under the rules of its bout, and no fold has made it.
        entered.result.rules_hash = sha256(encode(under(*log).rules));
        entered.result.fold_version = 0;
        // Where nobody comes from a bout that both lost, the other has it without a fight.
        const bool without_fight = entered.result.way == Way::both_lose ||
                                   entered.result.way == Way::fusen_gachi;
        if (problem.empty() && !without_fight) problem = not_known_who(*log);
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
    if (!as_the_desk_saw(session, moved.from, wish.from_changed, wish.request)) return;
    if (!as_the_desk_saw(session, moved.to, wish.to_changed, wish.request)) return;
    const BoutLog* from = for_desk(session, moved.from, wish.request);
    if (from == nullptr) return;
    const BoutLog* to = for_desk(session, moved.to, wish.request);
    if (to == nullptr) return;
    if (!knows_who(session, *from, wish.request) || !knows_who(session, *to, wish.request)) return;
    const CategoryEntry& there = competition.categories.at(from->entry.category);
    const CategoryEntry& here = competition.categories.at(to->entry.category);
    const bool goes_back = !to->calls.empty() || to->standing;
    std::string problem;
    if (moved.from == moved.to) {
        problem = "It is the same bout.";
    } else if (from->calls.empty() && !from->standing) {
        problem = "Nothing is recorded for " + bout_name(moved.from) + ".";
    } else if (there.rules != here.rules || there.time != here.time ||
               there.golden != here.golden) {
        problem = "The two are fought under different rules or times, so the same calls would mean "
                  "something else. Enter the result from the sheet.";
    } else {
        problem = not_known_who(*to);
        if (problem.empty() && goes_back) problem = not_known_who(*from);
    }
    if (!problem.empty()) {
        refuse(session, Cause::impossible, "The record can't be moved: " + problem, wish.request);
        return;
    }
    record(moved, Verdict::none, Asker{session, wish.request}, now);
}

void Hub::Inside::give_back(SessionId session, const GiveBack& wish, Instant now) {
    if (!is_desk(session, wish.request)) return;
    if (!as_the_desk_saw(session, wish.bout, wish.changed, wish.request)) return;
    const BoutLog& log = bouts.at(wish.bout);
    if (!log.at_desk) {
        refuse(session, Cause::changed,
               "Bout " + std::to_string(wish.bout.value) +
                   " is not at the desk; its mat's table has it.",
               wish.request);
        return;
    }
    // The table goes by its calls: it would show what the desk has put right as it was before.
    if (!stands(log).as_called) {
        refuse(session, Cause::impossible,
               "Bout " + std::to_string(wish.bout.value) +
                   " can't be given back as it stands: its result is not what was called. Take the "
                   "result away, or open the bout again by a call, and then give it back.",
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

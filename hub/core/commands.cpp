// What clients ask. Everything refused here uses up no number and changes nothing.
#include <algorithm>

#include "hub/core/inside.h"

namespace honbu {

void Hub::Inside::refuse(SessionId session, Cause reason, std::string words) {
    outlet.reply(session, Refusal{reason, std::move(words), false, {}});
}

void Hub::Inside::refuse_call(SessionId session, Cause reason, std::string words, CallId call) {
    ++tallies.verdicts[0];
    outlet.reply(session, Refusal{reason, std::move(words), true, call});
}

void Hub::Inside::hello(SessionId session, const Hello& hello, Instant now) {
    if (hello.schema != wire_schema) {
        outlet.close(session,
                     Goodbye{Cause::other_schema,
                             "This page speaks another version than the hub. Reload the page.",
                             false});
        return;
    }
    if (sessions.count(session) != 0) {
        refuse(session, Cause::unreadable, "This connection has said hello already.");
        return;
    }
    const bool table = hello.role == Role::table;
    if (table && hello.fold_version != fold_version) {
        outlet.close(session, Goodbye{Cause::other_fold,
                                      "This page's rules engine is of another version than the "
                                      "hub's. Reload the page between two bouts.",
                                      false});
        return;
    }
    sessions[session].hello = hello;

    Welcome welcome;
    welcome.epoch = epoch.epoch;
    welcome.number = committed;
    welcome.now = now;
    welcome.rehearsal_rate = epoch.rehearsal_rate;
    welcome.title = competition.title;
    welcome.fold_version = fold_version;
    for (const auto& [id, mat] : mats)
        welcome.mats.push_back(id);
    if (table) {
        for (const auto& [id, run] : runs) {
            if (run.device != hello.device || run.committed == 0) continue;
            welcome.runs.push_back({id, CallNumber{static_cast<std::uint32_t>(run.committed)}});
        }
    }
    outlet.reply(session, welcome);
}

void Hub::Inside::take_mat(SessionId session, const TakeMat& wish, Instant now) {
    if (sessions.at(session).hello.role != Role::table) {
        refuse(session, Cause::not_a_table, "Only a table can take a mat.");
        return;
    }
    const auto found = mats.find(wish.mat);
    const std::string name = "mat " + std::to_string(wish.mat.value);
    if (found == mats.end()) {
        refuse(session, Cause::no_such_mat, "This competition has no " + name + ".");
        return;
    }
    const Mat& mat = found->second;
    const DeviceId device = sessions.at(session).hello.device;
    if (mat.holder == device) {
        sit_down(session, wish);
        // Coming back to its own mat raises no term; while a taking is on its way to the disk the
        // allotment follows by itself.
        for (const Waiting& w : waiting) {
            const auto* taken = std::get_if<MatTaken>(&w.record.fact);
            if (taken != nullptr && taken->mat == wish.mat) return;
        }
        outlet.reply(session, allotment(wish.mat));
        publish(wish.mat);  // the table is back
        return;
    }
    if (mat.holder != DeviceId{} && !wish.take_over) {
        refuse(session, Cause::mat_held,
               "Another table is in charge of " + name +
                   ". Ask there first: if you take it over, what that table has not sent yet is "
                   "set aside.");
        return;
    }
    sit_down(session, wish);
    record(MatTaken{wish.mat, Term{mat.term.value + 1}}, Verdict::none, session, now);
}

void Hub::Inside::submit(SessionId session, const Call& call, Instant now) {
    if (sessions.at(session).hello.role != Role::table) {
        refuse_call(session, Cause::not_a_table, "Only a table can send calls.", call.id);
        return;
    }
    if (std::holds_alternative<Accept>(call.what)) {
        refuse_call(session, Cause::not_the_desk,
                    "A table confirms a result; only the desk accepts it. Confirm the bout and "
                    "leave the rest to the desk.",
                    call.id);
        return;
    }
    const DeviceId device = sessions.at(session).hello.device;
    const auto run = runs.find(call.id.run);
    std::size_t given = 0;
    if (run != runs.end()) {
        given = run->second.given.size();
        if (run->second.device != device) {
            refuse_call(session, Cause::other_content,
                        "This run belongs to another device. Reload the page.", call.id);
            return;
        }
    }
    if (call.id.number.value == 0 || call.id.number.value > given + 1) {
        refuse_call(session, Cause::number_gap,
                    "Call number " + std::to_string(given + 1) + " of this run comes next, not " +
                        std::to_string(call.id.number.value) + ". Send again from there.",
                    call.id);
        return;
    }
    if (call.id.number.value <= given) {  // seen before: the same answer, once it is on the disk
        const std::size_t at = call.id.number.value - 1;
        const GivenNumber& known = run->second.given[at];
        if (known.content != sha256(encode(call))) {
            refuse_call(session, Cause::other_content,
                        "Number " + std::to_string(call.id.number.value) +
                            " of this run was a different call. Tell the desk.",
                        call.id);
        } else if (at < run->second.committed) {
            outlet.reply(session,
                         VerdictGiven{call.id, known.verdict, known.record, known.state_differs});
        } else {
            for (Waiting& w : waiting) {
                if (w.record.number != known.record || w.asker == session) continue;
                const bool told = std::find(w.also.begin(), w.also.end(), session) != w.also.end();
                if (!told) w.also.push_back(session);
            }
        }
        return;
    }

    Verdict verdict = Verdict::set_aside;
    const auto bout = bouts.find(call.bout);
    const auto mat = mats.find(call.mat);
    if (bout != bouts.end() && mat != mats.end() && bout->second.entry.mat == call.mat &&
        mat->second.holder == device && mat->second.term == call.term) {
        const BoutLog& log = bout->second;
        verdict = no_entry(under(log), log.calls, call) ? Verdict::without_effect
                                                        : Verdict::applied;
    }
    record(call, verdict, session, now);
    const Session& from = sessions.at(session);
    if (from.to_hub_ms && from.hello.run == call.id.run) {
        runs.at(call.id.run).to_hub_ms = from.to_hub_ms;
    }
}

// A table that goes to another mat has left the one it sat at.
void Hub::Inside::sit_down(SessionId session, const TakeMat& wish) {
    Session& table = sessions.at(session);
    const MatId before = table.mat;
    table.mat = wish.mat;
    if (!wish.hand.empty()) table.hello.hand = wish.hand;
    if (before != MatId{} && before != wish.mat) publish(before);
}

// How a run's clock stands to the hub's, as its table measured it. A run that has no call yet is
// nobody's: what is measured waits in the session.
void Hub::Inside::run_clock(Session& session, const RunClock& clock) {
    if (session.hello.role != Role::table || session.hello.run != clock.run) return;
    const std::int64_t measured = std::int64_t{clock.on_hub.ms} - std::int64_t{clock.on_run.ms};
    session.to_hub_ms = measured;
    const auto run = runs.find(clock.run);
    if (run == runs.end() || run->second.device != session.hello.device) return;
    // Screens are drawn anew only if they would move by more than a hundredth of a second.
    constexpr std::int64_t visible_ms = 10;
    const std::int64_t moved = measured - to_hub_ms(clock.run);
    run->second.to_hub_ms = measured;
    if (moved <= visible_ms && moved >= -visible_ms) return;
    for (const auto& [id, mat] : mats) {
        if (mat.known_holder == session.hello.device) publish(id);
    }
}

}  // namespace honbu

// What clients ask. Everything refused here uses up no number and changes nothing.
#include <algorithm>
#include <utility>

#include "hub/core/inside.h"

namespace honbu {

void Hub::Inside::refuse(SessionId session, Cause reason, std::string words,
                         std::uint32_t request) {
    outlet.reply(session, Refusal{reason, std::move(words), false, {}, request});
}

void Hub::Inside::refuse_call(SessionId session, Cause reason, std::string words, CallId call) {
    ++tallies.verdicts[0];
    outlet.reply(session, Refusal{reason, std::move(words), true, call, 0});
}

void Hub::Inside::hello(SessionId session, const Hello& hello, Instant now) {
    if (hello.schema != wire_schema && hello.schema != wire_schema_before) {
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
    // A desk that names no run only looks on and decides; with one it writes as a table does.
    const bool writes = hello.role == Role::table ||
                        (hello.role == Role::desk && hello.run != RunId{});
    if (writes && hello.fold_version != fold_version) {
        outlet.close(session, Goodbye{Cause::other_fold,
                                      "This page's rules engine is of another version than the "
                                      "hub's. Reload the page between two bouts.",
                                      false});
        return;
    }
    if (writes && hello.device == DeviceId{}) {
        outlet.close(session, Goodbye{Cause::unreadable,
                                      "Whoever sends calls says hello with a device and a run of "
                                      "its own. Reload the page.",
                                      false});
        return;
    }
    // From here on the secret itself is nowhere.
    Hello kept = hello;
    kept.token.clear();
    const bool secret = !hello.token.empty() && hello.entrance == Entrance::hall;
    const Hash key = secret ? sha256(hello.token) : Hash{};
    if (may_come_in(kept, key, now)) {
        greet(session, kept, secret && !anyone, now);
    } else if (hello.entrance == Entrance::crowd) {
        outlet.close(session, Goodbye{Cause::not_let_in,
                                      "This address is for looking only. Tables and the desk use "
                                      "the hall's own address.",
                                      false});
    } else if (!secret) {
        outlet.close(session, Goodbye{Cause::not_let_in,
                                      "Only devices that were let in can do this. Open the hub's "
                                      "own page: it asks, and shows a code.",
                                      false});
    } else {
        knock(session, std::move(kept), key, now);
    }
}

void Hub::Inside::greet(SessionId session, const Hello& hello, bool let_in, Instant now) {
    const bool writes = hello.role == Role::table ||
                        (hello.role == Role::desk && hello.run != RunId{});
    sessions[session].hello = hello;
    sessions[session].let_in = let_in;
    if (hello.role == Role::table) table_sessions.insert(session);
    if (let_in) {
        renew(hello, now);
        hands[hello.device] = hello.hand;
        publish_door();
    }

    Welcome welcome;
    welcome.anyone = anyone;
    welcome.mat = only_mat(hello);
    welcome.epoch = epoch.epoch;
    welcome.number = committed;
    welcome.now = now;
    welcome.rehearsal_rate = epoch.rehearsal_rate;
    welcome.title = competition.title;
    welcome.fold_version = fold_version;
    welcome.public_names = public_names;
    for (const auto& [id, mat] : mats)
        welcome.mats.push_back(id);
    if (writes) {
        for (const auto& [id, run] : runs) {
            if (run.device != hello.device || run.committed == 0) continue;
            welcome.runs.push_back({id, CallNumber{static_cast<std::uint32_t>(run.committed)}});
        }
    }
    compare_journals(hello, welcome);
    // Who has seen a hash, or has calls in this journal, has seen records; and a phone does not set
    // off an alarm.
    const bool of_the_hall = hello.role == Role::table || hello.role == Role::desk;
    const auto known = [&] {
        return hello.seen_hash != 0 || std::any_of(runs.begin(), runs.end(), [&](const auto& run) {
                   return run.second.device == hello.device;
               });
    };
    if (welcome.missing > 0) {
        if (of_the_hall && known()) missing[session] = welcome.missing;
        publish_tables();
    }
    outlet.reply(session, welcome);
    tell_open_asks(session);
}

// A chain can't show that its own end was cut off; whoever has seen further can.
void Hub::Inside::compare_journals(const Hello& hello, Welcome& welcome) {
    if (committed.value > 0) welcome.hash = hashes.at(committed.value - 1);
    for (std::size_t i = 0; i + 1 < epochs.size(); ++i)
        welcome.earlier.push_back(epochs[i].epoch);
    for (std::size_t i = 0; i < epochs.size(); ++i) {
        if (epochs[i].epoch != hello.seen_epoch) continue;
        const std::uint32_t last = i + 1 < epochs.size() ? epochs[i + 1].first.value - 1
                                                         : committed.value;
        const std::uint32_t seen = hello.seen_number.value;
        if (seen > last) {
            welcome.missing = seen - last;
        } else if (seen > 0 && hello.seen_hash != 0) {
            welcome.differs = hashes.at(seen - 1) != hello.seen_hash;
        }
    }
}

void Hub::Inside::subscribe(SessionId session, const Subscribe& wish) {
    Greeted& known = sessions.at(session);
    const bool desk = known.hello.role == Role::desk;
    const bool of_the_set_up = wish.tables || wish.door;
    const bool of_the_desk = wish.set_aside || wish.audit;
    if (!desk && (of_the_desk || (of_the_set_up && known.hello.role != Role::set_up))) {
        refuse(session, Cause::not_the_desk,
               "How the tables stand, what was set aside and every record are shown to the desk "
               "only. Ask for views, results, sheets or the call list.");
        return;
    }
    const std::set<MatId> before = std::exchange(
        known.watched, std::set<MatId>(wish.mats.begin(), wish.mats.end()));
    feed.subscribe(session, with_names_for(known, wish));
    if (known.hello.role == Role::table && before != known.watched) publish_tables();
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
    const MatId own = only_mat(sessions.at(session).hello);
    if (own != MatId{} && own != wish.mat) {
        refuse(session, Cause::not_let_in,
               "This device was let in for mat " + std::to_string(own.value) + ", not for " + name +
                   ". Ask the desk.");
        return;
    }
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
    if (mat.holder == DeviceId{} && wish.term > mat.before_epoch) {
        // Freed meanwhile, and the page does not know: a person says whether to take it again.
        // Where the journal goes on from a copy nobody has freed it, and the page goes on.
        outlet.reply(session, MatLost{wish.mat, mat.term,
                                      "This table does not have " + name +
                                          " any more: it was freed. Ask the desk, then take it "
                                          "again.",
                                      false});
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
    record(MatTaken{wish.mat, Term{mat.term.value + 1}}, Verdict::none, Asker{session}, now);
}

// Raises no term: whoever takes the mat next does. What the leaving table has not sent by now is
// set aside when it comes, so a table leaves when all its calls have their verdicts.
void Hub::Inside::leave_mat(SessionId session, const LeaveMat& wish, Instant now) {
    const Hello& hello = sessions.at(session).hello;
    const bool desk = hello.role == Role::desk;
    if (desk && !is_desk(session, wish.request)) return;
    const auto found = mats.find(wish.mat);
    const std::string name = "mat " + std::to_string(wish.mat.value);
    if (found == mats.end()) {
        refuse(session, Cause::no_such_mat, "This competition has no " + name + ".", wish.request);
        return;
    }
    const Mat& mat = found->second;
    if (mat.holder == DeviceId{} || wish.term != mat.term) {
        refuse(session, Cause::changed,
               mat.holder == DeviceId{} ? "Nobody has " + name + " any more."
                                        : "Another table has taken " + name + " meanwhile.",
               wish.request);
    } else if (!desk && (hello.role != Role::table || mat.holder != hello.device)) {
        refuse(session, Cause::not_yours, "This device is not in charge of " + name + ".",
               wish.request);
    } else if (desk && !wish.by_force) {
        refuse(session, Cause::mat_held,
               "A table is in charge of " + name +
                   ". Ask there first: if the desk frees it, what that table has not sent yet is "
                   "set aside.",
               wish.request);
    } else {
        record(MatFreed{wish.mat, mat.term, desk}, Verdict::none, Asker{session, wish.request},
               now);
    }
}

void Hub::Inside::submit(SessionId session, const Submit& submit, Instant now) {
    const Call& call = submit.call;
    const Hello& hello = sessions.at(session).hello;
    const bool desk = hello.role == Role::desk && hello.run != RunId{};
    if (hello.role != Role::table && !desk) {
        refuse_call(session, Cause::not_a_table,
                    hello.role == Role::desk
                        ? "A desk that sends calls says hello with a device and a run of its own."
                        : "Only a table can send calls.",
                    call.id);
        return;
    }
    if (!desk && std::holds_alternative<Accept>(call.what)) {
        refuse_call(session, Cause::not_the_desk,
                    "A table confirms a result; only the desk accepts it. Confirm the bout and "
                    "leave the rest to the desk.",
                    call.id);
        return;
    }
    if (again(session, call)) return;

    const auto bout = bouts.find(call.bout);
    const auto mat = mats.find(call.mat);
    const bool planned = bout != bouts.end() && mat != mats.end() &&
                         bout->second.entry.mat == call.mat;
    bool may = false;
    if (desk) {
        if (call.term != Term{}) {
            refuse_call(session, Cause::impossible,
                        "The desk's calls carry no term: send 0 as the bout's allotment says.",
                        call.id);
            return;
        }
        if (!planned) {
            refuse_call(session, Cause::no_such_bout,
                        "Mat " + std::to_string(call.mat.value) + " has no bout " +
                            std::to_string(call.bout.value) + ".",
                        call.id);
            return;
        }
        if (bout->second.moving) {
            refuse_call(session, Cause::changed,
                        "The record of bout " + std::to_string(call.bout.value) +
                            " is just being moved. Look again, then send again.",
                        call.id);
            return;
        }
        may = desk_may_write(bout->second);
        if (!may) {
            refuse_call(session, Cause::at_the_table, at_the_table(bout->second.entry), call.id);
            return;
        }
    } else {
        const MatId own = only_mat(hello);
        may = planned && !bout->second.at_desk && mat->second.holder == hello.device &&
              mat->second.term == call.term && (own == MatId{} || own == call.mat);
    }
    Verdict verdict = Verdict::set_aside;
    if (may) {
        const BoutLog& log = bout->second;
        const bool impossible = all_so_far(log).no_entry(under(log), log.calls, call).has_value();
        verdict = impossible ? Verdict::without_effect : Verdict::applied;
    }
    // The first word about a bout in no plan holds, once it is on the disk.
    const auto names_it = [&call](const Waiting& w) {
        const auto* waits = std::get_if<Call>(&w.record.fact);
        return w.typed && waits != nullptr && waits->bout == call.bout;
    };
    const bool names = submit.typed && bout == bouts.end() && in_no_plan(call.bout) &&
                       !typed.contains(call.bout) && !typed_erased.contains(call.bout) &&
                       std::none_of(waiting.begin(), waiting.end(), names_it);
    std::vector<Beside> beside;
    if (names) beside.push_back(beside_of(call.bout, *submit.typed));
    record(call, verdict, Asker{session}, now, std::move(beside));
    if (names) waiting.back().typed = submit.typed;
    const Greeted& from = sessions.at(session);
    if (from.to_hub_ms && from.hello.run == call.id.run) {
        runs.at(call.id.run).to_hub_ms = from.to_hub_ms;
    }
}

// Seen before: the same answer, once it is on the disk. Out of turn, or other than it was: refused.
bool Hub::Inside::again(SessionId session, const Call& call) {
    const auto run = runs.find(call.id.run);
    std::size_t given = 0;
    if (run != runs.end()) {
        given = run->second.given.size();
        if (run->second.device != sessions.at(session).hello.device) {
            refuse_call(session, Cause::other_content,
                        "This run belongs to another device. Reload the page.", call.id);
            return true;
        }
    }
    if (call.id.number.value == 0 || call.id.number.value > given + 1) {
        refuse_call(session, Cause::number_gap,
                    "Call number " + std::to_string(given + 1) + " of this run comes next, not " +
                        std::to_string(call.id.number.value) + ". Send again from there.",
                    call.id);
        return true;
    }
    if (call.id.number.value > given) return false;
    const std::size_t at = call.id.number.value - 1;
    const GivenNumber& known = run->second.given[at];
    if (known.content != first_bytes(sha256(encode(call)))) {
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
    return true;
}

// A table that goes to another mat has left the one it sat at.
void Hub::Inside::sit_down(SessionId session, const TakeMat& wish) {
    Greeted& table = sessions.at(session);
    const MatId before = table.mat;
    table.mat = wish.mat;
    if (!wish.hand.empty()) table.hello.hand = wish.hand;
    if (before != MatId{} && before != wish.mat) publish(before);
}

// How a run's clock stands to the hub's, as its table measured it. A run that has no call yet is
// nobody's: what is measured waits in the session.
void Hub::Inside::clock_measured(SessionId session, const ClockMeasured& from) {
    Greeted& known = sessions.at(session);
    if (known.hello.role == Role::table || known.hello.role == Role::desk) {
        run_clock(known, from);
    } else {
        refuse(session, Cause::not_a_table,
               "Only who sends calls says how its run's clock stands.");
    }
}

void Hub::Inside::run_clock(Greeted& session, const ClockMeasured& from) {
    const RunClock& clock = from.clock;
    if (session.hello.run != clock.run || clock.run == RunId{}) return;
    const std::int64_t measured = std::int64_t{clock.on_hub.ms} - std::int64_t{clock.on_run.ms};
    session.to_hub_ms = measured;
    session.round_trip_ms = from.round_trip_ms;
    publish_tables();
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

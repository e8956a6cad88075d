// Replies and commands to bytes.
#include <variant>

#include "engine/record/canon.h"
#include "engine/view/json.h"
#include "hub/wire/parts.h"
#include "hub/wire/wire.h"

namespace honbu {
namespace wire {
namespace {

void put_clock(const RunClock& clock, v1::RunClock& out) {
    out.set_run(name_text(clock.run.value));
    out.set_run_ms(clock.on_run.ms);
    out.set_hub_ms(clock.on_hub.ms);
}

struct PutReply {
    v1::ToClient& out;

    void operator()(const Welcome& r) const {
        v1::Welcome& welcome = *out.mutable_welcome();
        welcome.set_schema(r.schema);
        welcome.set_epoch(name_text(r.epoch.value));
        welcome.set_number(r.number.value);
        welcome.set_hub_ms(r.now.ms);
        welcome.set_rehearsal_rate(r.rehearsal_rate);
        welcome.set_title(r.title);
        for (const MatId mat : r.mats)
            welcome.add_mats(mat.value);
        for (const RunHead& head : r.runs) {
            v1::RunHead& run = *welcome.add_runs();
            run.set_run(name_text(head.run.value));
            run.set_last(head.last.value);
        }
        welcome.set_fold_version(r.fold_version);
        welcome.set_hash(optional_name_text(r.hash));
        welcome.set_missing(r.missing);
        welcome.set_differs(r.differs);
        for (const Epoch epoch : r.earlier)
            welcome.add_earlier_epochs(name_text(epoch.value));
        welcome.set_public_names(static_cast<v1::PublicNames>(r.public_names));
        welcome.set_anyone(r.anyone);
        welcome.set_mat(r.mat.value);
    }
    void operator()(const ClockAnswer& r) const {
        v1::ClockAnswer& answer = *out.mutable_clock_answer();
        answer.set_sent(r.sent);
        answer.set_hub_ms(r.now.ms);
    }
    void operator()(const Allotment& r) const {
        v1::Allotment& allotment = *out.mutable_allotment();
        allotment.set_mat(r.mat.value);
        allotment.set_term(r.term.value);
        for (const RuleSet& rules : r.rules)
            allotment.add_rules(encode(rules));
        for (const BoutGiven& given : r.bouts) {
            v1::BoutGiven& bout = *allotment.add_bouts();
            bout.set_bout(given.head.bout.value);
            bout.set_category(given.head.category);
            bout.set_round(given.head.round);
            bout.set_rules(static_cast<std::uint32_t>(given.rules));
            bout.set_time_ms(given.time.ms);
            bout.set_golden_ms(given.golden.ms);
            put(given.head.white, *bout.mutable_white());
            put(given.head.blue, *bout.mutable_blue());
            bout.set_confirmed(given.confirmed);
            for (const Call& call : given.calls)
                bout.add_calls(encode(call));
            bout.set_at_desk(given.at_desk);
            for (const CallId gone : given.gone)
                put(gone, *bout.add_gone());
        }
        for (const RunClock& clock : r.clocks)
            put_clock(clock, *allotment.add_clocks());
    }
    void operator()(const VerdictGiven& r) const {
        v1::Verdict& verdict = *out.mutable_verdict();
        put(r.call, *verdict.mutable_call());
        verdict.set_kind(static_cast<v1::Verdict::Kind>(r.verdict));
        verdict.set_record(r.record.value);
        verdict.set_state_differs(r.state_differs);
    }
    void operator()(const Refusal& r) const {
        v1::Refusal& refusal = *out.mutable_refusal();
        refusal.set_reason(static_cast<v1::Reason>(r.reason));
        refusal.set_words(r.words);
        if (r.about_call) put(r.call, *refusal.mutable_call());
        refusal.set_request(r.request);
    }
    void operator()(const MatLost& r) const {
        v1::MatLost& lost = *out.mutable_mat_lost();
        lost.set_mat(r.mat.value);
        lost.set_term(r.term.value);
        lost.set_words(r.words);
        lost.set_left(r.left);
    }
    void operator()(const Heartbeat&) const { out.mutable_heartbeat(); }
    void operator()(const Goodbye& r) const {
        v1::Goodbye& goodbye = *out.mutable_goodbye();
        goodbye.set_reason(static_cast<v1::Reason>(r.reason));
        goodbye.set_words(r.words);
        goodbye.set_come_back(r.come_back);
    }
    void operator()(const Asked& r) const { put(r, *out.mutable_asked()); }
    void operator()(const AskAnswered& r) const { put(r, *out.mutable_ask_answered()); }
    void operator()(const Done& r) const { put(r, *out.mutable_done()); }
    void operator()(const PeopleFound& r) const { put(r, *out.mutable_people_found()); }
    void operator()(const AtTheDoor& r) const {
        out.mutable_at_the_door()->set_code(r.code);
        out.mutable_at_the_door()->set_takes_code(r.takes_code);
    }
};

struct PutCommand {
    v1::ToHub& out;

    void operator()(const Hello& c) const {
        v1::Hello& hello = *out.mutable_hello();
        hello.set_schema(c.schema);
        hello.set_role(static_cast<v1::Role>(c.role));
        hello.set_device(optional_name_text(c.device.value));
        hello.set_run(optional_name_text(c.run.value));
        hello.set_fold_version(c.fold_version);
        hello.set_hand(c.hand);
        hello.set_page(c.page);
        hello.set_seen_epoch(optional_name_text(c.seen_epoch.value));
        hello.set_seen_number(c.seen_number.value);
        hello.set_seen_hash(optional_name_text(c.seen_hash));
        hello.set_token(c.token);
    }
    void operator()(const ClockAsk& c) const { out.mutable_clock_ask()->set_sent(c.sent); }
    void operator()(const Subscribe& c) const {
        v1::Subscribe& subscribe = *out.mutable_subscribe();
        for (const MatId mat : c.mats)
            subscribe.add_mats(mat.value);
        subscribe.set_all_mats(c.all_mats);
        subscribe.set_results(c.results);
        subscribe.set_results_after(c.results_after.value);
        subscribe.set_call_list(c.call_list);
        for (const BoutId bout : c.sheets)
            subscribe.add_sheets(bout.value);
        subscribe.set_tables(c.tables);
        subscribe.set_set_aside(c.set_aside);
        subscribe.set_audit(c.audit);
        subscribe.set_audit_after(c.audit_after.value);
        subscribe.set_door(c.door);
    }
    void operator()(const TakeMat& c) const {
        v1::TakeMat& take = *out.mutable_take_mat();
        take.set_term(c.term.value);
        take.set_hand(c.hand);
        take.set_mat(c.mat.value);
        take.set_take_over(c.take_over);
    }
    void operator()(const LeaveMat& c) const {
        v1::LeaveMat& leave = *out.mutable_leave_mat();
        leave.set_term(c.term.value);
        leave.set_request(c.request);
        leave.set_mat(c.mat.value);
        leave.set_by_force(c.by_force);
    }
    void operator()(const Submit& c) const {
        v1::Submit& submit = *out.mutable_submit();
        put(c.call, *submit.mutable_call());
        if (c.typed) put(*c.typed, *submit.mutable_typed());
    }
    void operator()(const ClockMeasured& c) const {
        v1::RunClock& clock = *out.mutable_run_clock();
        put_clock(c.clock, clock);
        if (c.round_trip_ms) clock.set_round_trip_ms(*c.round_trip_ms);
    }
    void operator()(const Heartbeat&) const { out.mutable_heartbeat(); }
    void operator()(const Ask& c) const { put(c, *out.mutable_ask()); }
    void operator()(const AnswerAsk& c) const { put(c, *out.mutable_answer()); }
    void operator()(const OpenBout& c) const { put(c, *out.mutable_open_bout()); }
    void operator()(const DecideSetAside& c) const { put(c, *out.mutable_decide_set_aside()); }
    void operator()(const EnterResult& c) const { put(c, *out.mutable_enter_result()); }
    void operator()(const MoveRecord& c) const { put(c, *out.mutable_move_record()); }
    void operator()(const GiveBack& c) const { put(c, *out.mutable_give_back()); }
    void operator()(const ErasePerson& c) const { put(c, *out.mutable_erase_person()); }
    void operator()(const FindPeople& c) const { put(c, *out.mutable_find_people()); }
    void operator()(const HandIn& c) const { put(c, *out.mutable_hand_in()); }
    void operator()(const UseCode& c) const { put(c, *out.mutable_use_code()); }
    void operator()(const LetIn& c) const { put(c, *out.mutable_let_in()); }
    void operator()(const ShutOut& c) const { put(c, *out.mutable_shut_out()); }
};

}  // namespace

std::string optional_name_text(std::uint64_t value) { return value == 0 ? "" : name_text(value); }

void put(const Reply& reply, v1::ToClient& out) { std::visit(PutReply{out}, reply); }

void put(const Command& command, v1::ToHub& out) { std::visit(PutCommand{out}, command); }

}  // namespace wire

std::string to_wire(const Reply& reply) {
    v1::ToClient out;
    wire::put(reply, out);
    return out.SerializeAsString();
}

std::string to_wire(const Command& command) {
    v1::ToHub out;
    wire::put(command, out);
    return out.SerializeAsString();
}

}  // namespace honbu

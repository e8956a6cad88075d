// What table and desk ask for each other, what the desk decides, and what the hub answers: values
// to messages.
#include "hub/wire/parts.h"

namespace honbu::wire {

void put(const Ask& command, v1::Ask& out) {
    out.set_mat(command.mat.value);
    out.set_to(static_cast<v1::Ask::To>(command.to));
    out.set_about(static_cast<v1::About>(command.about));
    out.set_words(command.words);
}

void put(const AnswerAsk& command, v1::Answer& out) {
    out.set_ask(command.ask);
    out.set_how(static_cast<v1::AskAnswered::How>(command.answer));
    out.set_words(command.words);
}

void put(const OpenBout& command, v1::OpenBout& out) {
    out.set_request(command.request);
    out.set_bout(command.bout.value);
}

void put(const DecideSetAside& command, v1::DecideSetAside& out) {
    out.set_request(command.request);
    out.set_how(static_cast<v1::DecideSetAside::How>(command.how));
    out.set_into(command.into.value);
    for (const CallId call : command.calls)
        put(call, *out.add_calls());
    out.set_reason(command.reason);
}

void put(const EnterResult& command, v1::EnterResult& out) {
    const ResultEntered& entered = command.entered;
    out.set_request(command.request);
    out.set_bout(entered.bout.value);
    out.set_from(static_cast<v1::ResultFrom>(entered.from));
    out.set_replaces(entered.replaces.value);
    if (entered.result.winner != Winner::undecided) put(entered.result, *out.mutable_result());
    out.set_changed(command.changed.value);
    out.set_reason(entered.reason);
}

void put(const MoveRecord& command, v1::MoveRecord& out) {
    out.set_request(command.request);
    out.set_from(command.moved.from.value);
    out.set_to(command.moved.to.value);
    out.set_from_changed(command.from_changed.value);
    out.set_to_changed(command.to_changed.value);
    out.set_reason(command.moved.reason);
}

void put(const GiveBack& command, v1::GiveBack& out) {
    out.set_changed(command.changed.value);
    out.set_request(command.request);
    out.set_bout(command.bout.value);
}

void put(const ErasePerson& command, v1::ErasePerson& out) {
    out.set_request(command.request);
    out.set_person(command.erased.person.value);
    out.set_typed(command.erased.bout.value);
    out.set_reason(command.erased.reason);
}

void put(const FindPeople& command, v1::FindPeople& out) {
    out.set_request(command.request);
    out.set_words(command.words);
}

void put(const PeopleFound& reply, v1::PeopleFound& out) {
    out.set_request(reply.request);
    for (const PeopleFound::One& each : reply.people) {
        v1::PeopleFound::One& one = *out.add_people();
        one.set_person(each.person.value);
        one.set_typed(each.typed.value);
        one.set_name(each.name);
        one.set_club(each.club);
        one.set_erased(each.erased);
        for (const BoutId bout : each.bouts)
            one.add_bouts(bout.value);
    }
    out.set_more(reply.more);
}

void put(const Asked& reply, v1::Asked& out) {
    out.set_ask(reply.ask);
    out.set_mat(reply.mat.value);
    out.set_by_desk(reply.by_desk);
    out.set_hand(reply.hand);
    out.set_about(static_cast<v1::About>(reply.about));
    out.set_words(reply.words);
    out.set_at(reply.at.ms);
}

void put(const AskAnswered& reply, v1::AskAnswered& out) {
    out.set_ask(reply.ask);
    out.set_how(static_cast<v1::AskAnswered::How>(reply.answer));
    out.set_hand(reply.hand);
    out.set_words(reply.words);
    out.set_shown_to(reply.shown_to);
}

void put(const Done& reply, v1::Done& out) {
    out.set_request(reply.request);
    out.set_record(reply.record.value);
    out.set_words(reply.words);
}

}  // namespace honbu::wire

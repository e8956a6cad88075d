// What table and desk ask for each other, and what the desk decides: messages to commands.
#include <set>

#include "engine/view/json.h"
#include "hub/wire/parts.h"

namespace honbu::wire {
namespace {

constexpr int decided_calls_max = 200;

// What the bout's rules are and which fold is running, the hub knows better: it may be left out.
Result entered_of(const v1::Result& in, Check& check) {
    v1::Result said = in;
    if (said.rules_hash().empty()) said.set_rules_hash(std::string(sizeof(Hash), '\0'));
    Result result = result_of(said, "enter_result.result", check);
    if (result.winner == Winner::undecided) {
        check.wrong("enter_result.result.winner is 0; leave result out if the bout is to have no "
                    "result any more.");
    }
    return result;
}

}  // namespace

Ask ask_of(const v1::Ask& in, Check& check) {
    Ask ask;
    ask.mat = check.mat(in.mat(), "ask.mat");
    ask.to = check.among<AskTo>(in.to(), v1::Ask::TO_TABLE, v1::Ask::TO_DESK, "ask.to");
    ask.about = check.among<About>(in.about(), v1::ABOUT_COME, v1::ABOUT_OTHER, "ask.about");
    ask.words = check.text(in.words(), words_bytes_max, "ask.words");
    return ask;
}

AnswerAsk answer_of(const v1::Answer& in, Check& check) {
    AnswerAsk answer;
    answer.ask = in.ask();
    answer.answer = check.among<Answered>(in.how(), v1::AskAnswered::HOW_COMING,
                                          v1::AskAnswered::HOW_NO, "answer.how");
    answer.words = check.text(in.words(), words_bytes_max, "answer.words");
    return answer;
}

OpenBout open_bout_of(const v1::OpenBout& in, Check& check) {
    return OpenBout{in.request(), check.bout(in.bout(), "open_bout.bout")};
}

DecideSetAside decide_set_aside_of(const v1::DecideSetAside& in, Check& check) {
    DecideSetAside decided;
    decided.request = in.request();
    decided.how = check.among<SetAsideDecided::How>(in.how(), v1::DecideSetAside::HOW_DISMISSED,
                                                    v1::DecideSetAside::HOW_TAKEN,
                                                    "decide_set_aside.how");
    if (decided.how == SetAsideDecided::How::taken) {
        decided.into = check.bout(in.into(), "decide_set_aside.into");
    } else if (in.into() != 0) {
        check.wrong("decide_set_aside.into is " + std::to_string(in.into()) +
                    "; calls that are dismissed count in no bout, leave it out.");
    }
    if (in.calls_size() == 0 || in.calls_size() > decided_calls_max) {
        check.wrong("decide_set_aside.calls names " + std::to_string(in.calls_size()) +
                    " calls; it must be from 1 to 200.");
        return decided;
    }
    std::set<CallId> named;
    for (const v1::CallRef& ref : in.calls()) {
        const CallId call = call_id_of(true, ref, "decide_set_aside.calls", check);
        if (!named.insert(call).second) {
            check.wrong("decide_set_aside.calls names call " + std::to_string(call.number.value) +
                        " of run " + name_text(call.run.value) + " twice; a call counts once.");
        }
        decided.calls.push_back(call);
    }
    decided.reason = check.reason(in.reason(), "decide_set_aside.reason");
    return decided;
}

EnterResult enter_result_of(const v1::EnterResult& in, Check& check) {
    EnterResult enter;
    enter.request = in.request();
    enter.entered.bout = check.bout(in.bout(), "enter_result.bout");
    enter.entered.from = check.among<ResultEntered::From>(
        in.from(), v1::RESULT_FROM_PAPER, v1::RESULT_FROM_DESK, "enter_result.from");
    enter.entered.replaces = RecordNumber{in.replaces()};
    if (in.has_result()) enter.entered.result = entered_of(in.result(), check);
    enter.changed = RecordNumber{in.changed()};
    enter.entered.reason = check.reason(in.reason(), "enter_result.reason");
    return enter;
}

MoveRecord move_record_of(const v1::MoveRecord& in, Check& check) {
    MoveRecord move;
    move.request = in.request();
    move.moved.from = check.bout(in.from(), "move_record.from");
    move.moved.to = check.bout(in.to(), "move_record.to");
    move.moved.reason = check.reason(in.reason(), "move_record.reason");
    move.from_changed = RecordNumber{in.from_changed()};
    move.to_changed = RecordNumber{in.to_changed()};
    return move;
}

GiveBack give_back_of(const v1::GiveBack& in, Check& check) {
    return GiveBack{in.request(), check.bout(in.bout(), "give_back.bout"),
                    RecordNumber{in.changed()}};
}

ErasePerson erase_person_of(const v1::ErasePerson& in, Check& check) {
    ErasePerson erase;
    erase.request = in.request();
    erase.erased.person = PersonId{in.person()};
    erase.erased.bout = BoutId{in.typed()};
    if ((in.person() == 0) == (in.typed() == 0)) {
        check.wrong("erase_person names a person or a bout in `typed`, one of the two.");
    }
    erase.erased.reason = check.reason(in.reason(), "erase_person.reason");
    return erase;
}

FindPeople find_people_of(const v1::FindPeople& in, Check& check) {
    return FindPeople{in.request(), check.text(in.words(), words_bytes_max, "find_people.words")};
}

}  // namespace honbu::wire

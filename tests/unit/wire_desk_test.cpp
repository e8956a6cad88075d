// The wire: what table and desk ask for each other, and what the desk decides.
//
// A decision that lost a call on its way, or named another bout, would put a result where it does
// not belong, with the desk's name on it. So each field goes through with a value of its own, and
// each is given what it must not have.
#include <functional>

#include "engine/record/canon.h"
#include "tests/unit/dice.h"
#include "tests/unit/wire_words.h"

namespace honbu {
namespace {

constexpr const char* run_name = "00f3a1b2c3d4e5f6";
constexpr std::uint32_t most = 4294967295U;

// The one byte form of a result that names all its fields (docs/journal.md).
std::string bytes_of(const Result& result) {
    Call call;
    call.what = Confirm{result};
    return encode(call);
}

TEST(WireDesk, AsksAndAnswersComeBackAsTheyWent) {
    for (const AskTo to : {AskTo::table, AskTo::desk}) {
        for (const About about : {About::come, About::mat, About::other}) {
            const Ask got = read_back<Ask>(Ask{MatId{65535}, to, about, "Wer fehlt? Ōtautahi"});
            EXPECT_EQ(got.mat, MatId{65535});
            EXPECT_EQ(got.to, to);
            EXPECT_EQ(got.about, about);
            EXPECT_EQ(got.words, "Wer fehlt? Ōtautahi");
        }
    }
    for (const Answered how : {Answered::coming, Answered::yes, Answered::no}) {
        const AnswerAsk got = read_back<AnswerAsk>(AnswerAsk{most, how, "in two minutes"});
        EXPECT_EQ(got.ask, most);
        EXPECT_EQ(got.answer, how);
        EXPECT_EQ(got.words, "in two minutes");
    }
}

TEST(WireDesk, DecisionsComeBackAsTheyWent) {
    const OpenBout open = read_back<OpenBout>(OpenBout{most, BoutId{12}});
    EXPECT_EQ(open.request, most);
    EXPECT_EQ(open.bout, BoutId{12});

    const GiveBack back = read_back<GiveBack>(GiveBack{0, BoutId{most}, RecordNumber{most}});
    EXPECT_EQ(back.request, 0U);
    EXPECT_EQ(back.bout, BoutId{most});
    EXPECT_EQ(back.changed, RecordNumber{most});

    const ErasePerson erase = read_back<ErasePerson>(
        ErasePerson{6, PersonErased{PersonId{17}, {}, "asked for it"}});
    EXPECT_EQ(erase.request, 6U);
    EXPECT_EQ(erase.erased.person, PersonId{17});
    EXPECT_EQ(erase.erased.bout, BoutId{});
    EXPECT_EQ(erase.erased.reason, "asked for it");
    const FindPeople find = read_back<FindPeople>(FindPeople{7, "Ōta"});
    EXPECT_EQ(find.request, 7U);
    EXPECT_EQ(find.words, "Ōta");

    const MoveRecord move = read_back<MoveRecord>(
        MoveRecord{5, RecordMoved{BoutId{12}, BoutId{13}, "names were exchanged"}, RecordNumber{40},
                   RecordNumber{0}});
    EXPECT_EQ(move.request, 5U);
    EXPECT_EQ(move.moved.from, BoutId{12});
    EXPECT_EQ(move.moved.to, BoutId{13});
    EXPECT_EQ(move.moved.reason, "names were exchanged");
    EXPECT_EQ(move.from_changed, RecordNumber{40});
    EXPECT_EQ(move.to_changed, RecordNumber{0});

    Dice dice(7);
    DecideSetAside decide;
    decide.request = 6;
    decide.how = SetAsideDecided::How::taken;
    decide.into = BoutId{12};
    for (int i = 0; i < 200; ++i)
        decide.calls.push_back(
            CallId{RunId{dice.name()}, CallNumber{static_cast<std::uint32_t>(i + 1)}});
    decide.reason = "the table of mat 2 had lost the network";
    const DecideSetAside taken = read_back<DecideSetAside>(decide);
    EXPECT_EQ(taken.request, 6U);
    EXPECT_EQ(taken.how, SetAsideDecided::How::taken);
    EXPECT_EQ(taken.into, BoutId{12});
    EXPECT_EQ(taken.calls, decide.calls);
    EXPECT_EQ(taken.reason, decide.reason);
    decide.how = SetAsideDecided::How::dismissed;
    decide.into = BoutId{};
    EXPECT_EQ(read_back<DecideSetAside>(decide).how, SetAsideDecided::How::dismissed);
}

TEST(WireDesk, AResultEnteredComesBackAsItWent) {
    Dice dice(8);
    for (int round = 0; round < 50; ++round) {
        EnterResult enter;
        enter.request = dice.u32();
        enter.entered.bout = BoutId{dice.from_to(1, most)};
        enter.entered.from = dice.among(ResultEntered::From::paper, ResultEntered::From::desk);
        enter.entered.replaces = RecordNumber{dice.u32()};
        enter.entered.result = dice.result();
        enter.entered.reason = "from the paper of mat 2";
        if (enter.entered.result.winner == Winner::undecided) enter.entered.result = Result{};
        const EnterResult got = read_back<EnterResult>(enter);
        EXPECT_EQ(got.request, enter.request);
        EXPECT_EQ(got.entered.bout, enter.entered.bout);
        EXPECT_EQ(got.entered.from, enter.entered.from);
        EXPECT_EQ(got.entered.replaces, enter.entered.replaces);
        EXPECT_EQ(bytes_of(got.entered.result), bytes_of(enter.entered.result));
        EXPECT_EQ(got.entered.reason, enter.entered.reason);
    }
}

// ---- what must not get through ------------------------------------------------------------------

v1::ToHub good_ask() {
    v1::ToHub message;
    v1::Ask& ask = *message.mutable_ask();
    ask.set_mat(2);
    ask.set_to(v1::Ask::TO_TABLE);
    ask.set_about(v1::ABOUT_COME);
    return message;
}
v1::ToHub good_answer() {
    v1::ToHub message;
    message.mutable_answer()->set_ask(1);
    message.mutable_answer()->set_how(v1::AskAnswered::HOW_YES);
    return message;
}
v1::ToHub good_decision() {
    v1::ToHub message;
    v1::DecideSetAside& decide = *message.mutable_decide_set_aside();
    decide.set_how(v1::DecideSetAside::HOW_TAKEN);
    decide.set_into(12);
    decide.add_calls()->set_run(run_name);
    decide.mutable_calls(0)->set_number(3);
    decide.set_reason("the cable was out");
    return message;
}
v1::ToHub good_result() {
    v1::ToHub message;
    v1::EnterResult& enter = *message.mutable_enter_result();
    enter.set_bout(12);
    enter.set_from(v1::RESULT_FROM_PAPER);
    enter.mutable_result()->set_winner(v1::WINNER_BLUE);
    enter.mutable_result()->set_way(v1::WAY_IPPON);
    enter.set_reason("the screen was dark");
    return message;
}
v1::ToHub good_move() {
    v1::ToHub message;
    v1::MoveRecord& move = *message.mutable_move_record();
    move.set_from(12);
    move.set_to(13);
    move.set_reason("the wrong pair was called");
    return message;
}

v1::ToHub good_erasure() {
    v1::ToHub message;
    message.mutable_erase_person()->set_person(17);
    message.mutable_erase_person()->set_reason("asked for it");
    return message;
}

TEST(WireDesk, TheGoodOnesOfTheseTestsAreTaken) {
    for (const v1::ToHub& good :
         {good_ask(), good_answer(), good_decision(), good_result(), good_move(), good_erasure()}) {
        EXPECT_EQ(fault_words(good), "") << good.ShortDebugString();
    }
}

TEST(WireDesk, DamageNeverBreaksTheReader) {
    for (const v1::ToHub& message :
         {good_ask(), good_answer(), good_decision(), good_result(), good_move(), good_erasure()}) {
        const std::string whole = message.SerializeAsString();
        for (std::size_t bit = 0; bit < whole.size() * 8; ++bit) {
            std::string damaged = whole;
            damaged[bit / 8] = static_cast<char>(damaged[bit / 8] ^ (1 << (bit % 8)));
            from_wire(damaged);
        }
    }
}

TEST(WireDesk, WhomAndAboutWhatIsInRange) {
    for (const int bad : {0, 3, -1}) {
        v1::ToHub message = good_ask();
        message.mutable_ask()->set_to(static_cast<v1::Ask::To>(bad));
        expect_fault(message, "ask.to");
    }
    for (const int bad : {0, 4, -1}) {
        v1::ToHub message = good_ask();
        message.mutable_ask()->set_about(static_cast<v1::About>(bad));
        expect_fault(message, "ask.about");
    }
    // Heard and gone are the hub's words, not an answer of a person.
    for (const int bad : {0, 1, 5, 6, -1}) {
        v1::ToHub message = good_answer();
        message.mutable_answer()->set_how(static_cast<v1::AskAnswered::How>(bad));
        expect_fault(message, "answer.how");
    }
}

TEST(WireDesk, APersonOrWhatWasTypedIsErasedNotBoth) {
    const auto erased = [](const v1::ToHub& message) {
        return std::get<ErasePerson>(std::get<Command>(from_wire(message.SerializeAsString())));
    };
    v1::ToHub message = good_erasure();
    EXPECT_EQ(erased(message).erased.person, PersonId{17});
    message.mutable_erase_person()->set_typed(most);
    expect_fault(message, "erase_person");
    message.mutable_erase_person()->clear_person();
    EXPECT_EQ(erased(message).erased.bout, BoutId{most});
    message.mutable_erase_person()->clear_typed();
    expect_fault(message, "erase_person");
}

TEST(WireDesk, BoutsAreNumberedFromOne) {
    v1::ToHub message;
    message.mutable_open_bout();
    expect_fault(message, "open_bout.bout");
    message = v1::ToHub{};
    message.mutable_give_back();
    expect_fault(message, "give_back.bout");
    message = good_result();
    message.mutable_enter_result()->clear_bout();
    expect_fault(message, "enter_result.bout");
    message = good_move();
    message.mutable_move_record()->clear_from();
    expect_fault(message, "move_record.from");
    message = good_move();
    message.mutable_move_record()->clear_to();
    expect_fault(message, "move_record.to");
    message = good_decision();
    message.mutable_decide_set_aside()->clear_into();
    expect_fault(message, "decide_set_aside.into");
}

struct Text {
    const char* field;
    bool needed;
    std::function<v1::ToHub(const std::string&)> with;
};

TEST(WireDesk, WordsAreShortAndReasonsAreThere) {
    const std::vector<Text> texts = {
        {"ask.words", false,
         [](const std::string& text) {
             v1::ToHub message = good_ask();
             message.mutable_ask()->set_words(text);
             return message;
         }},
        {"answer.words", false,
         [](const std::string& text) {
             v1::ToHub message = good_answer();
             message.mutable_answer()->set_words(text);
             return message;
         }},
        {"decide_set_aside.reason", true,
         [](const std::string& text) {
             v1::ToHub message = good_decision();
             message.mutable_decide_set_aside()->set_reason(text);
             return message;
         }},
        {"enter_result.reason", true,
         [](const std::string& text) {
             v1::ToHub message = good_result();
             message.mutable_enter_result()->set_reason(text);
             return message;
         }},
        {"move_record.reason", true,
         [](const std::string& text) {
             v1::ToHub message = good_move();
             message.mutable_move_record()->set_reason(text);
             return message;
         }},
    };
    for (const Text& text : texts) {
        SCOPED_TRACE(text.field);
        EXPECT_EQ(fault_words(text.with(std::string(200, 'w'))), "");
        expect_fault(text.with(std::string(201, 'w')), text.field);
        for (const char* bad : {"two\nlines", "\x1b[1mloud", "bell\x07", "\x7f"}) {
            expect_fault(text.with(bad), text.field);
        }
        for (const char* nothing : {"", " ", "   "}) {
            if (text.needed) {
                expect_fault(text.with(nothing), text.field);
            } else {
                EXPECT_EQ(fault_words(text.with(nothing)), "");
            }
        }
    }
}

TEST(WireDesk, ADecisionNamesEachCallOnceAndSaysWhereItCounts) {
    for (const int bad : {0, 3, -1}) {
        v1::ToHub message = good_decision();
        message.mutable_decide_set_aside()->set_how(static_cast<v1::DecideSetAside::How>(bad));
        message.mutable_decide_set_aside()->clear_into();
        expect_fault(message, "decide_set_aside.how");
    }
    v1::ToHub message = good_decision();
    message.mutable_decide_set_aside()->set_how(v1::DecideSetAside::HOW_DISMISSED);
    expect_fault(message, "decide_set_aside.into");
    message.mutable_decide_set_aside()->clear_into();
    EXPECT_EQ(fault_words(message), "");

    message = good_decision();
    message.mutable_decide_set_aside()->clear_calls();
    expect_fault(message, "decide_set_aside.calls");
    for (std::uint32_t number = 1; number <= 200; ++number) {
        v1::CallRef& call = *message.mutable_decide_set_aside()->add_calls();
        call.set_run(run_name);
        call.set_number(number);
    }
    EXPECT_EQ(fault_words(message), "");
    *message.mutable_decide_set_aside()->mutable_calls(199) = message.decide_set_aside().calls(100);
    expect_fault(message, "decide_set_aside.calls names call 101 of run 00f3a1b2c3d4e5f6 twice");
    message.mutable_decide_set_aside()->mutable_calls(199)->set_number(0);
    expect_fault(message, "decide_set_aside.calls.number");
    message.mutable_decide_set_aside()->mutable_calls(199)->set_number(200);
    message.mutable_decide_set_aside()->mutable_calls(199)->set_run("nobody");
    expect_fault(message, "decide_set_aside.calls.run");
    *message.mutable_decide_set_aside()->mutable_calls(199) = message.decide_set_aside().calls(0);
    message.mutable_decide_set_aside()->mutable_calls(199)->set_number(200);
    message.mutable_decide_set_aside()->add_calls()->set_number(201);
    expect_fault(message, "decide_set_aside.calls names 201");
}

TEST(WireDesk, AResultEnteredIsFromPaperOrTheDeskAndInRange) {
    for (const int bad : {0, 3, 4, -1}) {
        v1::ToHub message = good_result();
        message.mutable_enter_result()->set_from(static_cast<v1::ResultFrom>(bad));
        expect_fault(message, "enter_result.from");
    }
    const auto with = [](const std::function<void(v1::Result&)>& change) {
        v1::ToHub message = good_result();
        change(*message.mutable_enter_result()->mutable_result());
        return message;
    };
    expect_fault(with([](v1::Result& r) { r.set_winner(v1::WINNER_UNDECIDED); }),
                 "enter_result.result.winner");
    expect_fault(with([](v1::Result& r) { r.set_winner(static_cast<v1::Winner>(5)); }),
                 "enter_result.result.winner");
    expect_fault(with([](v1::Result& r) { r.set_way(static_cast<v1::Way>(15)); }),
                 "enter_result.result.way");
    expect_fault(with([](v1::Result& r) { r.set_flags(2); }), "enter_result.result.flags");
    expect_fault(with([](v1::Result& r) { r.mutable_white()->set_shido(256); }),
                 "enter_result.result.white.shido");
    expect_fault(with([](v1::Result& r) { r.set_rules_hash("short"); }),
                 "enter_result.result.rules_hash");
    EXPECT_EQ(fault_words(with([](v1::Result& r) { r.set_rules_hash(std::string(32, 'h')); })), "");

    // No result any more.
    v1::ToHub message = good_result();
    message.mutable_enter_result()->clear_result();
    const auto read = from_wire(message.SerializeAsString());
    ASSERT_TRUE(std::holds_alternative<Command>(read));
    const auto& entered = std::get<EnterResult>(std::get<Command>(read)).entered;
    EXPECT_EQ(bytes_of(entered.result), bytes_of(Result{}));
}

}  // namespace
}  // namespace honbu

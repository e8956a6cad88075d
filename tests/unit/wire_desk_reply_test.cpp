// The wire: what call boards, readers of sheets and the desk are told.
//
// A field left out of the mapping looks like a zero, and the desk decides on what it sees. So every
// field is given a value of its own and looked for at the other end.
#include "engine/record/canon.h"
#include "tests/unit/wire_samples.h"

namespace honbu {
namespace {

TEST(WireDesk, AsksAnswersAndDoneSayAllOfIt) {
    v1::ToClient message = parsed(to_wire(Reply{
        Asked{7, MatId{2}, true, "Renske", About::mat, "Mat 2 moves to the hall", Instant{9000}}}));
    ASSERT_EQ(message.kind_case(), v1::ToClient::kAsked);
    EXPECT_EQ(message.asked().ask(), 7U);
    EXPECT_EQ(message.asked().mat(), 2U);
    EXPECT_TRUE(message.asked().by_desk());
    EXPECT_EQ(message.asked().hand(), "Renske");
    EXPECT_EQ(message.asked().about(), v1::ABOUT_MAT);
    EXPECT_EQ(message.asked().words(), "Mat 2 moves to the hall");
    EXPECT_EQ(message.asked().at(), 9000U);

    message = parsed(to_wire(Reply{AskAnswered{7, Answered::heard, "", "", 3}}));
    ASSERT_EQ(message.kind_case(), v1::ToClient::kAskAnswered);
    EXPECT_EQ(message.ask_answered().ask(), 7U);
    EXPECT_EQ(message.ask_answered().how(), v1::AskAnswered::HOW_HEARD);
    EXPECT_EQ(message.ask_answered().shown_to(), 3U);
    message = parsed(to_wire(Reply{AskAnswered{7, Answered::no, "Ngaio", "not yet", 0}}));
    EXPECT_EQ(message.ask_answered().how(), v1::AskAnswered::HOW_NO);
    EXPECT_EQ(message.ask_answered().hand(), "Ngaio");
    EXPECT_EQ(message.ask_answered().words(), "not yet");

    message = parsed(to_wire(Reply{Done{8, RecordNumber{130}, "3 calls count in bout 12."}}));
    ASSERT_EQ(message.kind_case(), v1::ToClient::kDone);
    EXPECT_EQ(message.done().request(), 8U);
    EXPECT_EQ(message.done().record(), 130U);
    EXPECT_EQ(message.done().words(), "3 calls count in bout 12.");
}

TEST(WireDesk, AnErasedNameSaysAllOfIt) {
    v1::ToClient message = parsed(to_wire(Renamed{RecordNumber{140}, PersonId{17}, "Athlete 17"}));
    ASSERT_EQ(message.kind_case(), v1::ToClient::kRenamed);
    EXPECT_EQ(message.renamed().number(), 140U);
    EXPECT_EQ(message.renamed().person(), 17U);
    EXPECT_EQ(message.renamed().name(), "Athlete 17");
    PeopleFound found;
    found.request = 9;
    found.people = {{PersonId{17}, {}, "Hana Lund", "JC Fjord", false, {BoutId{3}, BoutId{12}}},
                    {{}, BoutId{0x80000001}, "Tui - Hana", "-57 kg", true, {}}};
    found.more = 4;
    message = parsed(to_wire(Reply{found}));
    ASSERT_EQ(message.kind_case(), v1::ToClient::kPeopleFound);
    const v1::PeopleFound& got = message.people_found();
    EXPECT_EQ(got.request(), 9U);
    EXPECT_EQ(got.more(), 4U);
    ASSERT_EQ(got.people_size(), 2);
    EXPECT_EQ(got.people(0).person(), 17U);
    EXPECT_EQ(got.people(0).typed(), 0U);
    EXPECT_EQ(got.people(0).name(), "Hana Lund");
    EXPECT_EQ(got.people(0).club(), "JC Fjord");
    EXPECT_FALSE(got.people(0).erased());
    ASSERT_EQ(got.people(0).bouts_size(), 2);
    EXPECT_EQ(got.people(0).bouts(1), 12U);
    EXPECT_EQ(got.people(1).typed(), 0x80000001U);
    EXPECT_TRUE(got.people(1).erased());
}

TEST(WireDesk, AReopenedBoutSaysAllOfIt) {
    const v1::ToClient message = parsed(
        to_wire(Reopened{RecordNumber{131}, MatId{2}, BoutId{12}, RecordNumber{120}}));
    ASSERT_EQ(message.kind_case(), v1::ToClient::kReopened);
    EXPECT_EQ(message.reopened().number(), 131U);
    EXPECT_EQ(message.reopened().mat(), 2U);
    EXPECT_EQ(message.reopened().bout(), 12U);
    EXPECT_EQ(message.reopened().replaces(), 120U);
}

TEST(WireDesk, ACallListSaysAllOfIt) {
    const v1::ToClient message = parsed(to_wire(a_call_list()));
    ASSERT_EQ(message.kind_case(), v1::ToClient::kCallList);
    const v1::CallList& got = message.call_list();
    EXPECT_EQ(got.number(), 121U);
    ASSERT_EQ(got.mats_size(), 2);
    EXPECT_EQ(got.mats(0).mat(), 1U);
    EXPECT_EQ(got.mats(0).table(), v1::TABLE_LINE_LIVE);
    ASSERT_TRUE(got.mats(0).has_on());
    expect_a_head(got.mats(0).on());
    EXPECT_EQ(got.mats(0).phase(), v1::PHASE_FIGHTING);
    ASSERT_EQ(got.mats(0).next_size(), 2);
    expect_a_head(got.mats(0).next(1));
    EXPECT_EQ(got.mats(1).mat(), 65535U);
    EXPECT_EQ(got.mats(1).table(), v1::TABLE_LINE_ALONE);
    EXPECT_FALSE(got.mats(1).has_on());
    EXPECT_EQ(got.mats(1).next_size(), 0);
}

TEST(WireDesk, ASheetSaysAllOfIt) {
    const v1::ToClient message = parsed(to_wire(a_sheet()));
    ASSERT_EQ(message.kind_case(), v1::ToClient::kSheet);
    const v1::BoutSheet& got = message.sheet();
    EXPECT_EQ(got.number(), 122U);
    EXPECT_EQ(got.mat(), 3U);
    expect_a_head(got.bout());
    EXPECT_EQ(got.rules(), "rules as invented");
    EXPECT_EQ(got.time_ms(), 240000U);
    EXPECT_EQ(got.golden_ms(), 180000U);
    EXPECT_EQ(got.phase(), v1::PHASE_CONFIRMED);
    ASSERT_TRUE(got.has_result());
    EXPECT_EQ(got.result().winner(), v1::WINNER_BLUE);
    EXPECT_EQ(got.result().decided_ms(), 40001U);
    EXPECT_EQ(got.words(), "blue wins by waza-ari");
    EXPECT_EQ(got.changed(), 119U);
    EXPECT_TRUE(got.at_desk());
    EXPECT_EQ(got.result_number(), 118U);
    ASSERT_EQ(got.lines_size(), 2);
    EXPECT_EQ(got.lines(0).elapsed_ms(), 61234U);
    EXPECT_TRUE(got.lines(0).golden_score());
    EXPECT_EQ(got.lines(0).why(), v1::Frame::WHY_CALL);
    EXPECT_EQ(got.lines(0).call(), "shido");
    EXPECT_EQ(got.lines(0).side(), v1::SIDE_BOTH);
    EXPECT_EQ(got.lines(0).reason(), v1::PENALTY_REASON_LEG_GRAB);
    EXPECT_EQ(got.lines(0).words(), "shido to both for leg grab");
    EXPECT_EQ(got.lines(0).white().shido(), 1U);
    EXPECT_EQ(got.lines(0).blue().waza_ari(), 1U);
    EXPECT_EQ(got.lines(1).why(), v1::Frame::WHY_HOLD_LEVEL);
    EXPECT_EQ(got.lines(1).side(), v1::SIDE_NONE);

    BoutSheet open = a_sheet();
    open.has_result = false;
    EXPECT_FALSE(parsed(to_wire(open)).sheet().has_result());
}

TEST(WireDesk, TheTablesSayAllOfIt) {
    const v1::ToClient message = parsed(to_wire(some_tables()));
    ASSERT_EQ(message.kind_case(), v1::ToClient::kTables);
    const v1::Tables& got = message.tables();
    EXPECT_EQ(got.number(), 123U);
    EXPECT_EQ(got.missing(), 4U);
    ASSERT_EQ(got.mats_size(), 2);
    const v1::Tables::OfMat& held = got.mats(0);
    EXPECT_EQ(held.mat(), 2U);
    EXPECT_EQ(held.line(), v1::TABLE_LINE_LIVE);
    EXPECT_EQ(held.device(), "fedcba9876543210");
    EXPECT_EQ(held.hand(), "Ngaio Ō");
    EXPECT_EQ(held.term(), 6U);
    EXPECT_EQ(held.taken(), 4294967295U);
    EXPECT_TRUE(held.measured());
    EXPECT_EQ(held.offset_ms(), -2000000000);
    EXPECT_EQ(held.round_trip_ms(), 31U);
    EXPECT_TRUE(held.differs());
    EXPECT_EQ(held.watching(), 3U);
    EXPECT_EQ(got.mats(1).device(), "");
    EXPECT_EQ(got.mats(1).offset_ms(), 2000000000);
    EXPECT_FALSE(got.mats(1).measured());
    EXPECT_EQ(got.mirror().how(), v1::Tables::Mirror::HOW_STOPPED);
    EXPECT_EQ(got.mirror().behind(), 17U);
    EXPECT_EQ(got.mirror().words(), "The stick is full.");
}

TEST(WireDesk, WhatIsSetAsideSaysAllOfIt) {
    const SetAside waiting = a_set_aside();
    const v1::ToClient message = parsed(to_wire(waiting));
    ASSERT_EQ(message.kind_case(), v1::ToClient::kSetAside);
    const v1::SetAside& got = message.set_aside();
    EXPECT_EQ(got.number(), 124U);
    ASSERT_EQ(got.bouts_size(), 2);
    const v1::SetAside::OfBout& planned = got.bouts(0);
    EXPECT_EQ(planned.device(), "000000000000002a");
    EXPECT_EQ(planned.hand(), "Renske");
    EXPECT_EQ(planned.mat(), 2U);
    EXPECT_EQ(planned.bout(), 12U);
    expect_a_head(planned.head());
    EXPECT_FALSE(planned.has_typed());
    const auto& calls = waiting.bouts.at(0).calls;
    ASSERT_EQ(static_cast<std::size_t>(planned.calls_size()), calls.size());
    for (int i = 0; i < planned.calls_size(); ++i) {
        const SetAside::Item& item = calls.at(static_cast<std::size_t>(i));
        EXPECT_EQ(planned.calls(i).call().id().number(), item.call.id.number.value);
        EXPECT_EQ(planned.calls(i).call().entered(), item.call.entered.ms);
        EXPECT_EQ(planned.calls(i).record(), item.record.value);
        EXPECT_EQ(planned.calls(i).kind() == v1::Verdict::KIND_SET_ASIDE,
                  item.verdict == Verdict::set_aside);
        EXPECT_EQ(planned.calls(i).at(), item.at.ms);
        EXPECT_EQ(planned.calls(i).words().find(word(item.call.what)), 0U);
    }
    SetAside one = waiting;
    one.bouts.at(0).calls.resize(1);
    one.bouts.at(0).calls.at(0).call.what = Osaekomi{Side::blue};
    EXPECT_EQ(parsed(to_wire(one)).set_aside().bouts(0).calls(0).words(),
              "osaekomi by " + a_head().blue_word);
    const v1::SetAside::OfBout& typed = got.bouts(1);
    EXPECT_EQ(typed.device(), "");
    EXPECT_FALSE(typed.has_head());
    EXPECT_EQ(typed.typed().white(), "Tui Marama");
    EXPECT_EQ(typed.typed().blue(), "Hana Lund");
    EXPECT_EQ(typed.typed().note(), "-57 kg");
    EXPECT_EQ(typed.calls_size(), 0);
}

TEST(WireDesk, ARecordSaysAllOfItAndItsBytes) {
    Record record;
    record.number = RecordNumber{140};
    record.received = Instant{90001};
    record.device = DeviceId{0x2a};
    record.hand = "Ngaio";
    record.verdict = Verdict::without_effect;
    record.fact = Dice(4).call(Hajime{});
    // The bytes are passed on as they are. FIPS 180-4's example of one block, "abc", has the hash
    // ba7816bf 8f01cfea 414140de 5dae2223 b00361a3 96177a9c b410ff61 f20015ad.
    v1::ToClient message = parsed(record_to_wire(record, "abc", "mat 2  bout 7  hajime"));
    ASSERT_EQ(message.kind_case(), v1::ToClient::kRecord);
    EXPECT_EQ(message.record().number(), 140U);
    EXPECT_EQ(message.record().received(), 90001U);
    EXPECT_EQ(message.record().device(), "000000000000002a");
    EXPECT_EQ(message.record().hand(), "Ngaio");
    EXPECT_EQ(message.record().verdict(), v1::Verdict::KIND_WITHOUT_EFFECT);
    EXPECT_EQ(message.record().words(), "mat 2  bout 7  hajime");
    ASSERT_TRUE(message.record().has_call());
    EXPECT_EQ(message.record().call().plain(), v1::PLAIN_HAJIME);
    EXPECT_EQ(message.record().bytes(), "abc");
    EXPECT_EQ(message.record().hash(), "ba7816bf8f01cfea");

    record.device = DeviceId{};
    record.fact = MatFreed{MatId{2}, Term{6}};
    message = parsed(record_to_wire(record, encode(record), ""));
    EXPECT_EQ(message.record().device(), "");
    EXPECT_FALSE(message.record().has_call());
    EXPECT_EQ(message.record().bytes(), encode(record));
}

// A client compares the welcome's hash with that of the last record it was sent: number and text
// must be the same 8 bytes, first byte first.
TEST(WireDesk, HashesOfWelcomeRecordAndHelloAreTheSameText) {
    Record record;
    record.fact = EpochBegan{Epoch{1}, 2, 1, Epoch{}};
    const Hash hash = sha256("abc");
    std::uint64_t first = 0;
    for (std::size_t i = 0; i < 8; ++i)
        first = first << 8 | hash[i];
    Welcome welcome;
    welcome.hash = first;
    const std::string text = parsed(to_wire(Reply{welcome})).welcome().hash();
    EXPECT_EQ(text, "ba7816bf8f01cfea");
    EXPECT_EQ(text, parsed(record_to_wire(record, "abc", "")).record().hash());
    v1::ToHub hello;
    hello.mutable_hello()->set_schema(wire_schema);
    hello.mutable_hello()->set_role(v1::ROLE_DESK);
    hello.mutable_hello()->set_seen_hash(text);
    const auto read = from_wire(hello.SerializeAsString());
    ASSERT_TRUE(std::holds_alternative<Command>(read));
    EXPECT_EQ(std::get<Hello>(std::get<Command>(read)).seen_hash, first);
}

}  // namespace
}  // namespace honbu

// A record in one line, as `honbu journal show` prints it and the desk's audit reads it.
//
// Whoever looks into a journal after a protest has these lines and nothing else. A kind of record
// that said nothing of who, what or why would be the one that is asked about. The words are ours;
// those of calls and ways are the trade's (docs/rules.md).
#include "hub/words/record_line.h"

#include <gtest/gtest.h>

#include "tests/unit/dice.h"

namespace honbu {
namespace {

std::string line_of(Fact fact, Verdict verdict = Verdict::none) {
    Record record;
    record.number = RecordNumber{9};
    record.received = Instant{723'250};
    record.verdict = verdict;
    record.fact = std::move(fact);
    return line(record);
}

TEST(RecordLine, SaysWhenWhatAndWho) {
    Call call;
    call.id = CallId{RunId{7}, CallNumber{12}};
    call.mat = MatId{1};
    call.bout = BoutId{7};
    call.what = Score{only(Side::white), Level::waza_ari};
    Record record;
    record.received = Instant{723'250};
    record.device = DeviceId{0x2a};
    record.hand = "Maja";
    record.verdict = Verdict::applied;
    record.fact = call;
    EXPECT_EQ(line(record), "0:12:03.250  mat 1  bout 7  waza-ari to white  applied  "
                            "(Maja, device 000000000000002a, run 0000000000000007/12)");
    record.hand.clear();
    record.verdict = Verdict::set_aside;
    EXPECT_EQ(line(record), "0:12:03.250  mat 1  bout 7  waza-ari to white  set aside  "
                            "(device 000000000000002a, run 0000000000000007/12)");
    record.fact = MatTaken{MatId{3}, Term{2}};
    record.hand = "Maja";
    EXPECT_EQ(line(record), "0:12:03.250  mat 3  taken, term 2  (Maja, device 000000000000002a)");
}

TEST(RecordLine, SaysHowAnEpochBegan) {
    EXPECT_EQ(line_of(EpochBegan{Epoch{0x1f}, 2, 1, Epoch{}}),
              "0:12:03.250  epoch 000000000000001f began, fold version 2");
    EXPECT_EQ(line_of(EpochBegan{Epoch{0x1f}, 2, 10, Epoch{}}),
              "0:12:03.250  epoch 000000000000001f began, fold version 2, "
              "rehearsal at 10 times the speed");
    EXPECT_EQ(line_of(EpochBegan{Epoch{0x20}, 2, 1, Epoch{0x1f}}),
              "0:12:03.250  epoch 0000000000000020 goes on from epoch 000000000000001f, "
              "fold version 2");
}

TEST(RecordLine, SaysWhatWasLoaded) {
    CompetitionLoaded cup;
    cup.title = "Lantern Cup";
    cup.rules.resize(2);
    cup.rules[0].name = "2025";
    cup.rules[1].name = "ours";
    cup.bouts.resize(1);
    EXPECT_EQ(line_of(cup),
              "0:12:03.250  competition loaded: Lantern Cup, 1 bout, rules 2025, ours");
}

TEST(RecordLine, SaysThatAMatWasFreed) {
    EXPECT_EQ(line_of(MatFreed{MatId{2}, Term{6}}), "0:12:03.250  mat 2  freed, term 6 ends");
}

TEST(RecordLine, SaysWhatBecameOfCallsSetAside) {
    SetAsideDecided decided;
    decided.how = SetAsideDecided::How::dismissed;
    decided.calls = {CallId{RunId{7}, CallNumber{3}}};
    decided.reason = "typed twice";
    EXPECT_EQ(line_of(decided), "0:12:03.250  1 call set aside dismissed: typed twice");
    decided.how = SetAsideDecided::How::taken;
    decided.into = BoutId{12};
    decided.calls.push_back(CallId{RunId{7}, CallNumber{4}});
    decided.reason = "the cable of mat 2 was out";
    EXPECT_EQ(line_of(decided),
              "0:12:03.250  bout 12  2 calls set aside taken into it: the cable of mat 2 was out");
    decided.joined.push_back({RunId{7}, Joint{RunId{8}, {}, {}, Joint::Source::assumed}});
    EXPECT_EQ(line_of(decided),
              "0:12:03.250  bout 12  2 calls set aside taken into it, 1 run joined: "
              "the cable of mat 2 was out");
}

TEST(RecordLine, SaysWhatResultWasEntered) {
    ResultEntered entered;
    entered.bout = BoutId{12};
    entered.from = ResultEntered::From::paper;
    entered.result.winner = Winner::blue;
    entered.result.way = Way::hantei;
    entered.result.flags = 2;
    entered.reason = "the screen of mat 2 was dark";
    EXPECT_EQ(line_of(entered),
              "0:12:03.250  bout 12  result entered from paper: blue, hantei, 2 flags of three: "
              "the screen of mat 2 was dark");
    entered.from = ResultEntered::From::desk;
    entered.replaces = RecordNumber{88};
    entered.result.flags = 0;
    entered.result.winner = Winner::both_lose;
    entered.result.way = Way::both_lose;
    entered.reason = "after the protest";
    const std::string at_desk = line_of(entered);
    EXPECT_TRUE(at_desk.starts_with("0:12:03.250  bout 12  result entered at the desk instead of "
                                    "that of record 88: both lose"))
        << at_desk;
    EXPECT_TRUE(at_desk.ends_with(": after the protest")) << at_desk;
    entered.result = Result{};
    EXPECT_EQ(line_of(entered),
              "0:12:03.250  bout 12  no result instead of that of record 88: after the protest");
}

TEST(RecordLine, SaysWhatWasMovedAndGivenBack) {
    EXPECT_EQ(line_of(RecordMoved{BoutId{12}, BoutId{13}, "the wrong pair was called"}),
              "0:12:03.250  bout 12  its record is that of bout 13, and the other way round: "
              "the wrong pair was called");
    EXPECT_EQ(line_of(BoutGivenBack{BoutId{12}}),
              "0:12:03.250  bout 12  given back to the table of its mat");
}

// Whatever can be recorded is one line.
TEST(RecordLine, IsOneLineForEachKindOfCall) {
    Dice dice(12);
    for (const What& what : dice.whats()) {
        const std::string text = line_of(dice.call(what), Verdict::without_effect);
        EXPECT_EQ(text.find('\n'), std::string::npos);
        EXPECT_NE(text.find(word(what)), std::string::npos) << text;
        EXPECT_TRUE(text.ends_with("  without effect")) << text;
    }
}

}  // namespace
}  // namespace honbu

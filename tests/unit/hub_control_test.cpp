// Who is in charge of a mat, and how table and desk ask for each other.
//
// One author per bout (docs/decisions/0001): a term only grows and only by taking; what an older
// term sends changes nothing and is never dropped. Fencing by a growing term: Lamport, Paxos Made
// Simple (2001), from memory. What a question between table and desk does: common practice, no
// source.
#include <gtest/gtest.h>

#include "tests/unit/world.h"

namespace honbu {
namespace {

constexpr DeviceId left_laptop{0xa1};
constexpr DeviceId right_laptop{0xb2};

struct ControlTest : testing::Test {
    ControlTest() {
        world.begin(small_cup());
        first = world.come(Role::table, left_laptop, RunId{0x11}, "Ngaio");
        second = world.come(Role::table, right_laptop, RunId{0x22}, "Pia");
        desk = world.come(Role::desk, DeviceId{0xd1}, {}, "Runa");
    }
    void take(SessionId table, bool over = false) {
        world.tell(table, TakeMat{MatId{1}, over, {}});
        world.sync();
    }
    Verdict call(SessionId from, RunId run, std::uint32_t number, Term term, What what) {
        Call made;
        made.id = {run, CallNumber{number}};
        made.term = term;
        made.mat = MatId{1};
        made.bout = BoutId{1};
        made.entered = Instant{number * 1'000};
        made.what = std::move(what);
        world.tell(from, Submit{made});
        world.sync();
        return world.got<VerdictGiven>(from).back().verdict;
    }
    Tables::OfMat mat() const { return world.of_tables.back().mats.front(); }
    World world;
    SessionId first;
    SessionId second;
    SessionId desk;
};

TEST_F(ControlTest, HandingOverRaisesNoTermAndTheNextTakingDoes) {
    take(first);
    ASSERT_EQ(call(first, RunId{0x11}, 1, Term{1}, Called{}), Verdict::applied);
    world.tell(first, LeaveMat{MatId{1}, false, Term{1}});
    EXPECT_TRUE(world.got<MatLost>(first).empty()) << "said before it is on the disk";
    EXPECT_EQ(world.views[MatId{1}].back().table, TableLine::live);
    world.sync();
    ASSERT_EQ(world.got<MatLost>(first).size(), 1U);
    EXPECT_TRUE(world.got<MatLost>(first).back().left);
    EXPECT_EQ(world.got<MatLost>(first).back().term, Term{1});
    EXPECT_EQ(world.views[MatId{1}].back().table, TableLine::none);
    // Free: no force is needed, and the bout goes on where it stood.
    take(second);
    const auto given = world.got<Allotment>(second);
    ASSERT_EQ(given.size(), 1U);
    EXPECT_EQ(given.back().term, Term{2});
    EXPECT_EQ(given.back().bouts.front().calls.size(), 1U);
    // What the first one still had is set aside.
    EXPECT_EQ(call(first, RunId{0x11}, 2, Term{1}, Hajime{}), Verdict::set_aside);
}

TEST_F(ControlTest, AFreeMatIsFreeAlsoAfterARestart) {
    take(first);
    world.tell(first, LeaveMat{MatId{1}, false, Term{1}});
    world.sync();
    world.crash();
    EXPECT_EQ(world.views[MatId{1}].back().table, TableLine::none);
    second = world.come(Role::table, right_laptop, RunId{0x22});
    take(second);
    EXPECT_EQ(world.got<Allotment>(second).back().term, Term{2});
}

TEST_F(ControlTest, OnlyTheTableInChargeLeavesAndOnlyTheDeskFreesByForce) {
    take(first);
    world.tell(second, LeaveMat{MatId{1}, true, Term{1}});
    EXPECT_EQ(world.got<Refusal>(second).back().reason, Cause::not_yours);
    world.tell(desk, LeaveMat{MatId{1}, false, Term{1}});
    EXPECT_EQ(world.got<Refusal>(desk).back().reason, Cause::mat_held);
    world.tell(desk, LeaveMat{MatId{9}, true, Term{1}});
    EXPECT_EQ(world.got<Refusal>(desk).back().reason, Cause::no_such_mat);
    EXPECT_TRUE(world.unsynced.empty());
    world.tell(desk, LeaveMat{MatId{1}, true, Term{1}});
    world.sync();
    ASSERT_EQ(world.got<MatLost>(first).size(), 1U);
    EXPECT_FALSE(world.got<MatLost>(first).back().left);
    EXPECT_EQ(world.got<Done>(desk).size(), 1U);
    EXPECT_EQ(call(first, RunId{0x11}, 1, Term{1}, Called{}), Verdict::set_aside);
    world.tell(desk, LeaveMat{MatId{1}, true, Term{1}});
    EXPECT_EQ(world.got<Refusal>(desk).back().reason, Cause::changed);
}

// What the simulator found (seed 19): a table came back to a mat that had been freed, then taken
// and left by others. It got it at once, and nobody was asked.
TEST_F(ControlTest, AFreedMatIsTakenAgainByPeople) {
    take(first);
    world.tell(desk, LeaveMat{MatId{1}, true, Term{1}});
    world.sync();
    take(second);
    world.tell(second, LeaveMat{MatId{1}, false, Term{2}});
    world.sync();
    const std::size_t rows = world.disk.size();
    world.tell(first, TakeMat{MatId{1}, false, {}, Term{1}});
    EXPECT_TRUE(world.unsynced.empty());
    EXPECT_EQ(world.got<MatLost>(first).size(), 2U);
    // Where the journal goes on from a copy nobody has freed it.
    world.disk.resize(rows - 3);
    world.crash();
    world.hub->begin_again(Epoch{0xe1}, world.now());
    world.sync();
    first = world.come(Role::table, left_laptop, RunId{0x11});
    world.tell(first, TakeMat{MatId{1}, false, {}, Term{1}});
    world.sync();
    EXPECT_EQ(world.got<Allotment>(first).size(), 1U);
}

TEST_F(ControlTest, TheDeskSeesHowEachTableStands) {
    EXPECT_EQ(mat().line, TableLine::none);
    take(first);
    EXPECT_EQ(mat().line, TableLine::live);
    EXPECT_EQ(mat().device, left_laptop);
    EXPECT_EQ(mat().hand, "Ngaio");
    EXPECT_EQ(mat().term, Term{1});
    EXPECT_FALSE(mat().measured);
    world.tell(first,
               ClockMeasured{{RunId{0x11}, Instant{5'000}, Instant{4'000}}, std::uint32_t{12}});
    EXPECT_TRUE(mat().measured);
    EXPECT_EQ(mat().offset_ms, -1'000);
    EXPECT_EQ(mat().round_trip_ms, 12U);
    // A second table on the same mat looks on; it needs no leave for that.
    Subscribe watch;
    watch.mats = {MatId{1}};
    world.tell(second, watch);
    EXPECT_EQ(mat().watching, 1U);
    world.hub->left(first);
    EXPECT_EQ(mat().line, TableLine::alone);
    EXPECT_FALSE(mat().measured);
}

TEST_F(ControlTest, AStateSeenDifferentlyStaysVisibleUntilTheMatIsTakenAgain) {
    take(first);
    Call made;
    made.id = {RunId{0x11}, CallNumber{1}};
    made.term = Term{1};
    made.mat = MatId{1};
    made.bout = BoutId{1};
    made.entered = Instant{1'000};
    made.seen = 0xbad;
    made.what = Called{};
    world.tell(first, Submit{made});
    world.sync();
    EXPECT_TRUE(mat().differs);
    take(second, true);
    EXPECT_FALSE(mat().differs);
}

TEST_F(ControlTest, OnlyTheDeskIsShownWhatIsTheDesks) {
    for (const auto what : {&Subscribe::tables, &Subscribe::set_aside, &Subscribe::audit}) {
        Subscribe wish;
        wish.*what = true;
        const std::size_t before = world.got<Refusal>(first).size();
        world.tell(first, wish);
        ASSERT_EQ(world.got<Refusal>(first).size(), before + 1);
        EXPECT_EQ(world.got<Refusal>(first).back().reason, Cause::not_the_desk);
        world.tell(desk, wish);
        EXPECT_TRUE(world.got<Refusal>(desk).empty());
    }
}

TEST_F(ControlTest, ATableAsksTheDeskAndIsAnswered) {
    take(first);
    const SessionId second_desk = world.come(Role::desk, {}, {}, "Odile");
    world.tell(first, Ask{MatId{1}, AskTo::desk, About::come, "the clock of bout 1"});
    ASSERT_EQ(world.got<AskAnswered>(first).size(), 1U);
    EXPECT_EQ(world.got<AskAnswered>(first).back().answer, Answered::heard);
    EXPECT_EQ(world.got<AskAnswered>(first).back().shown_to, 2U);
    ASSERT_EQ(world.got<Asked>(desk).size(), 1U);
    const Asked asked = world.got<Asked>(desk).back();
    EXPECT_EQ(asked.words, "the clock of bout 1");
    EXPECT_EQ(asked.hand, "Ngaio");
    EXPECT_FALSE(asked.by_desk);
    world.tell(second_desk, AnswerAsk{asked.ask, Answered::coming, {}});
    EXPECT_EQ(world.got<AskAnswered>(first).back().answer, Answered::coming);
    EXPECT_EQ(world.got<AskAnswered>(first).back().hand, "Odile");
    EXPECT_EQ(world.got<AskAnswered>(desk).back().answer, Answered::coming) << "the other desk";
    // Answered once; nobody else may.
    world.tell(desk, AnswerAsk{asked.ask, Answered::no, {}});
    EXPECT_EQ(world.got<Refusal>(desk).back().reason, Cause::not_yours);
    EXPECT_TRUE(world.unsynced.empty()) << "nothing of it is recorded";
}

TEST_F(ControlTest, ATableThatWantsTheMatAsksTheOneThatHasIt) {
    take(first);
    world.tell(second, Ask{MatId{1}, AskTo::table, About::mat, {}});
    ASSERT_EQ(world.got<Asked>(first).size(), 1U);
    world.tell(desk, AnswerAsk{world.got<Asked>(first).back().ask, Answered::yes, {}});
    EXPECT_EQ(world.got<Refusal>(desk).back().reason, Cause::not_yours);
    world.tell(first, AnswerAsk{world.got<Asked>(first).back().ask, Answered::yes, "in a minute"});
    EXPECT_EQ(world.got<AskAnswered>(second).back().answer, Answered::yes);
    EXPECT_EQ(world.got<AskAnswered>(second).back().words, "in a minute");
}

TEST_F(ControlTest, AQuestionWaitsForWhoeverComesAndGoesWithWhoAsked) {
    world.hub->left(desk);
    take(first);
    world.tell(first, Ask{MatId{1}, AskTo::desk, About::come, {}});
    EXPECT_EQ(world.got<AskAnswered>(first).back().shown_to, 0U);
    const SessionId later = world.come(Role::desk);
    ASSERT_EQ(world.got<Asked>(later).size(), 1U);
    EXPECT_EQ(world.got<AskAnswered>(first).back().shown_to, 1U);
    world.hub->left(first);
    EXPECT_EQ(world.got<AskAnswered>(later).back().answer, Answered::gone);
    world.tell(later, AnswerAsk{world.got<Asked>(later).back().ask, Answered::yes, {}});
    EXPECT_EQ(world.got<Refusal>(later).back().reason, Cause::not_yours);
}

TEST_F(ControlTest, QuestionsAreBoundedAndScreensAskNobody) {
    take(first);
    for (int i = 0; i < 8; ++i)
        world.tell(first, Ask{MatId{1}, AskTo::desk, About::come, {}});
    EXPECT_TRUE(world.got<Refusal>(first).empty());
    world.tell(first, Ask{MatId{1}, AskTo::desk, About::come, {}});
    EXPECT_EQ(world.got<Refusal>(first).back().reason, Cause::too_many);
    const SessionId board = world.come(Role::board);
    world.tell(board, Ask{MatId{1}, AskTo::desk, About::come, {}});
    EXPECT_EQ(world.got<Refusal>(board).back().reason, Cause::not_a_table);
    world.tell(second, Ask{MatId{7}, AskTo::table, About::mat, {}});
    EXPECT_EQ(world.got<Refusal>(second).back().reason, Cause::no_such_mat);
}

TEST_F(ControlTest, TheCallListSaysWhoIsOnAndWhoComesNext) {
    const auto& before = world.called.back().mats.front();
    EXPECT_FALSE(before.on);
    ASSERT_EQ(before.next.size(), 2U);
    EXPECT_EQ(before.next.front().white.name, "Ada Norlund");
    EXPECT_EQ(before.next.back().white.from_bout, BoutId{1}) << "the winner of bout 1";
    take(first);
    ASSERT_EQ(call(first, RunId{0x11}, 1, Term{1}, Called{}), Verdict::applied);
    const auto& on = world.called.back().mats.front();
    ASSERT_TRUE(on.on);
    EXPECT_EQ(on.on->bout, BoutId{1});
    EXPECT_EQ(on.phase, Phase::called);
    EXPECT_EQ(on.next.size(), 1U);
    // What does not change it does not send it.
    const std::size_t sent = world.called.size();
    ASSERT_EQ(call(first, RunId{0x11}, 2, Term{1}, Hajime{}), Verdict::applied);
    EXPECT_EQ(world.called.size(), sent + 1);
    ASSERT_EQ(call(first, RunId{0x11}, 3, Term{1}, Osaekomi{Side::white}), Verdict::applied);
    EXPECT_EQ(world.called.size(), sent + 1);
}

TEST_F(ControlTest, AJournalThatEndsEarlierSaysSo) {
    take(first);
    Hello seen;
    seen.schema = wire_schema;
    seen.role = Role::board;
    seen.seen_epoch = Epoch{0xe0};
    seen.seen_number = RecordNumber{3};
    const auto welcome = [&] { return world.got<Welcome>(world.come(seen)).back(); };
    seen.seen_hash = welcome().hash;
    EXPECT_NE(seen.seen_hash, 0U);
    EXPECT_EQ(welcome().missing, 0U);
    EXPECT_FALSE(welcome().differs);
    seen.seen_hash ^= 1;
    EXPECT_TRUE(welcome().differs);
    seen.seen_number = RecordNumber{10};
    EXPECT_EQ(welcome().missing, 7U);
    EXPECT_EQ(world.of_tables.back().missing, 0U) << "a board sets off no alarm";
    seen.role = Role::desk;
    EXPECT_EQ(welcome().missing, 7U);
    EXPECT_EQ(world.of_tables.back().missing, 7U);
    EXPECT_EQ(world.hub->missing(), 7U);
    seen.seen_hash = 0;  // whoever has never sent a call here and shows no hash is not believed
    EXPECT_EQ(welcome().missing, 7U);
    EXPECT_EQ(world.of_tables.back().missing, 7U);
    seen.seen_epoch = Epoch{0x99};  // of another journal: nothing can be compared
    EXPECT_EQ(welcome().missing, 0U);
}

// Our pages know a hash only from their welcome on; what they have sent speaks for them.
TEST_F(ControlTest, ATableWithCallsHereIsBelievedWithoutAHash) {
    take(first);
    ASSERT_EQ(call(first, RunId{0x11}, 1, Term{1}, Called{}), Verdict::applied);
    Hello seen;
    seen.schema = wire_schema;
    seen.role = Role::table;
    seen.device = DeviceId{0x77};
    seen.run = RunId{0x78};
    seen.fold_version = fold_version;
    seen.seen_epoch = Epoch{0xe0};
    seen.seen_number = RecordNumber{40};
    world.come(seen);
    EXPECT_EQ(world.hub->missing(), 0U) << "a stranger with no call here";
    seen.device = DeviceId{0xa1};
    world.come(seen);
    EXPECT_EQ(world.hub->missing(), 36U);
}

TEST_F(ControlTest, ACopyGoesOnAsAJournalOfItsOwn) {
    take(first);
    ASSERT_EQ(call(first, RunId{0x11}, 1, Term{1}, Called{}), Verdict::applied);
    const std::uint64_t hash = world.got<Welcome>(world.come(Role::hall)).back().hash;
    world.crash();
    world.hub->begin_again(Epoch{0xe1}, world.now());
    world.sync();
    EXPECT_EQ(world.views[MatId{1}].back().table, TableLine::none) << "nobody has it";
    Hello seen;
    seen.schema = wire_schema;
    seen.role = Role::table;
    seen.device = left_laptop;
    seen.run = RunId{0x11};
    seen.fold_version = fold_version;
    seen.seen_epoch = Epoch{0xe0};
    seen.seen_number = RecordNumber{4};
    seen.seen_hash = hash;
    const SessionId back = world.come(seen);
    const Welcome welcome = world.got<Welcome>(back).back();
    EXPECT_EQ(welcome.epoch, Epoch{0xe1});
    EXPECT_EQ(welcome.earlier, std::vector<Epoch>{Epoch{0xe0}});
    EXPECT_EQ(welcome.missing, 0U);
    EXPECT_FALSE(welcome.differs);
    ASSERT_EQ(welcome.runs.size(), 1U);
    EXPECT_EQ(welcome.runs.front().last, CallNumber{1});
    // What the copy never had is set aside, even from the table that was in charge.
    EXPECT_EQ(call(back, RunId{0x11}, 2, Term{1}, Hajime{}), Verdict::set_aside);
    seen.seen_number = RecordNumber{40};
    EXPECT_EQ(world.got<Welcome>(world.come(seen)).back().missing, 36U);
    world.tell(back, TakeMat{MatId{1}, false, {}});
    world.sync();
    EXPECT_EQ(world.got<Allotment>(back).back().term, Term{1 + 1'000 + 0xe1 + 1});
    // And once more from the disk.
    world.crash();
    EXPECT_EQ(world.hub->epoch(), Epoch{0xe1});
}

}  // namespace
}  // namespace honbu

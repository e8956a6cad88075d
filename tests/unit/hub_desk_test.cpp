// The desk: what was set aside, results from paper, records that belong to another bout.
//
// While a table holds a bout nobody else writes to it; after its confirmation the desk does
// (docs/decisions/0001). That a result is put right on the sheet with a reason and a hand, and that
// a paper sheet counts when the electronic one fails: docs/rules.md, "Correcting". The rest: common
// practice, no source.
#include <gtest/gtest.h>

#include "engine/table/table.h"
#include "tests/unit/world.h"

namespace honbu {
namespace {

constexpr DeviceId old_laptop{0xa1};
constexpr DeviceId new_laptop{0xb2};
constexpr DeviceId office{0xd1};
constexpr RunId old_run{0x11};
constexpr RunId new_run{0x22};
constexpr RunId office_run{0x33};

struct DeskTest : testing::Test {
    DeskTest() {
        world.begin(small_cup());
        table = world.come(Role::table, old_laptop, old_run, "Ngaio");
        desk = world.come(Role::desk, office, office_run, "Runa");
        world.tell(table, TakeMat{MatId{1}, false, {}});
        world.sync();
    }
    // One more call of a run; what it says of the state before is left out.
    Call made(RunId run, Term term, BoutId bout, What what) {
        Call call;
        call.id = {run, CallNumber{++last[run]}};
        call.term = term;
        call.mat = MatId{1};
        call.bout = bout;
        call.entered = Instant{last[run] * 1'000};
        call.what = std::move(what);
        return call;
    }
    Verdict send(SessionId from, const Call& call) {
        world.tell(from, Submit{call});
        world.sync();
        return world.got<VerdictGiven>(from).back().verdict;
    }
    // A whole bout that white wins by ippon, confirmed: seven calls.
    std::vector<Call> whole(RunId run, Term term, BoutId bout) {
        std::vector<Call> calls;
        for (const What& what :
             {What{Called{}}, What{Hajime{}}, What{Mate{}}, What{Hajime{}},
              What{Score{only(Side::white), Level::ippon}}, What{SoreMade{}}, What{Kachi{}}}) {
            calls.push_back(made(run, term, bout, what));
        }
        const Result result = result_of(under, calls, calls.back().entered);
        calls.push_back(made(run, term, bout, Confirm{result}));
        return calls;
    }
    void fight(BoutId bout) {
        for (const Call& call : whole(old_run, Term{1}, bout))
            ASSERT_EQ(send(table, call), Verdict::applied);
    }
    // The old table was alone, meanwhile a new one has the mat, and now the old one is back.
    void come_back_with(const std::vector<Call>& calls) {
        const SessionId other = world.come(Role::table, new_laptop, new_run, "Pia");
        world.tell(other, TakeMat{MatId{1}, true, {}});
        world.sync();
        for (const Call& call : calls)
            ASSERT_EQ(send(table, call), Verdict::set_aside);
        now_in_charge = other;
    }
    std::vector<CallId> names(const std::vector<Call>& calls) const {
        std::vector<CallId> out;
        for (const Call& call : calls)
            out.push_back(call.id);
        return out;
    }
    template<class Wish> void ask(const Wish& wish) {
        world.tell(desk, wish);
        world.sync();
    }
    bool done(std::uint32_t request) const {
        const auto all = world.got<Done>(desk);
        return !all.empty() && all.back().request == request;
    }
    Cause refused(std::uint32_t request) const {
        const auto all = world.got<Refusal>(desk);
        if (all.empty() || all.back().request != request) return Cause::none;
        return all.back().reason;
    }
    EnterResult paper(std::uint32_t request, BoutId bout, Winner winner,
                      RecordNumber replaces = {}) const {
        EnterResult wish;
        wish.request = request;
        if (const auto sheet = world.hub->sheet(bout)) wish.changed = sheet->changed;
        wish.entered.bout = bout;
        wish.entered.from = ResultEntered::From::paper;
        wish.entered.replaces = replaces;
        wish.entered.reason = "paper sheet of mat 1";
        wish.entered.result.winner = winner;
        wish.entered.result.way = winner == Winner::undecided ? Way::none : Way::waza_ari;
        return wish;
    }
    GiveBack give_back(std::uint32_t request, BoutId bout) const {
        return GiveBack{request, bout, world.hub->sheet(bout)->changed};
    }
    std::string first_finalist() const { return world.hub->sheet(BoutId{3})->bout.white.name; }

    World world;
    SessionId table;
    SessionId desk;
    SessionId now_in_charge;
    std::map<RunId, std::uint32_t> last;
    RuleSet rules = rules_named("2018");
    Conditions under{rules, seconds(240), {}};
};

// -- set aside

TEST_F(DeskTest, AWholeBoutThatWasSetAsideIsTaken) {
    const std::vector<Call> calls = whole(old_run, Term{1}, BoutId{1});
    come_back_with(calls);
    ASSERT_EQ(world.aside.back().bouts.size(), 1U);
    EXPECT_EQ(world.aside.back().bouts.front().calls.size(), calls.size());
    EXPECT_EQ(world.aside.back().bouts.front().hand, "Ngaio");
    EXPECT_TRUE(world.results.empty());

    const DecideSetAside wish{1, SetAsideDecided::How::taken, BoutId{1}, names(calls),
                              "fought before the change of laptops"};
    world.tell(desk, wish);
    EXPECT_FALSE(done(1)) << "said before it is on the disk";
    EXPECT_EQ(world.aside.back().bouts.size(), 1U);
    world.sync();
    EXPECT_TRUE(done(1));
    EXPECT_TRUE(world.aside.back().bouts.empty());
    ASSERT_EQ(world.results.size(), 1U);
    EXPECT_EQ(world.results.back().result.winner, Winner::white);
    EXPECT_EQ(first_finalist(), "Ada Norlund");
    // The bout is the desk's: the table in charge is told, and what it still sends is set aside.
    const Allotment given = world.got<Allotment>(now_in_charge).back();
    EXPECT_TRUE(given.bouts.front().at_desk);
    EXPECT_TRUE(given.bouts.front().calls.empty());
    EXPECT_EQ(send(now_in_charge, made(new_run, Term{2}, BoutId{1}, Called{})), Verdict::set_aside);
    // The same decision again finds nothing to decide.
    ask(wish);
    EXPECT_EQ(refused(1), Cause::changed);
    // Everything is so after a restart too, to the byte.
    const std::string state = world.hub->state_bytes();
    world.crash();
    EXPECT_EQ(world.hub->state_bytes(), state);
    ASSERT_EQ(world.results.size(), 1U);
    EXPECT_EQ(world.aside.back().bouts.size(), 1U) << "the new table's call";
}

TEST_F(DeskTest, CallByCallWhatDoesNotCountIsLeft) {
    const std::vector<Call> calls = whole(old_run, Term{1}, BoutId{1});
    come_back_with(calls);
    // Without the score there is no sore-made, and what hangs on it does not count either.
    ask(DecideSetAside{1,
                       SetAsideDecided::How::taken,
                       BoutId{1},
                       {calls[0].id, calls[1].id, calls[2].id},
                       "as far as the sheet agrees"});
    EXPECT_TRUE(done(1));
    EXPECT_EQ(world.aside.back().bouts.front().calls.size(), calls.size() - 3);
    ask(DecideSetAside{2,
                       SetAsideDecided::How::dismissed,
                       {},
                       {calls[3].id, calls[4].id, calls[5].id, calls[6].id, calls[7].id},
                       "entered twice"});
    EXPECT_TRUE(done(2));
    EXPECT_TRUE(world.aside.back().bouts.empty());
    EXPECT_TRUE(world.results.empty());
    EXPECT_EQ(world.hub->sheet(BoutId{1})->phase, Phase::stopped);
    // Its verdict stays what it was: dismissed is not applied.
    world.tell(table, Submit{calls[7]});
    EXPECT_EQ(world.got<VerdictGiven>(table).back().verdict, Verdict::set_aside);
}

TEST_F(DeskTest, ABoutTypedByHandIsGivenItsPlaceLater) {
    const BoutId by_hand{0x80000001};
    std::vector<Call> calls = whole(old_run, Term{1}, by_hand);
    for (const Call& call : calls) {
        Submit submit{call};
        if (call.id == calls.front().id) submit.typed = Typed{"A. Norlund", "M. Costin", "-57"};
        world.tell(table, submit);
    }
    world.sync();
    EXPECT_EQ(world.got<VerdictGiven>(table).back().verdict, Verdict::set_aside);
    for (int restarts = 0; restarts < 2; ++restarts) {
        const SetAside::OfBout& typed = world.aside.back().bouts.front();
        EXPECT_EQ(typed.typed_white, "A. Norlund");
        EXPECT_EQ(typed.typed_blue, "M. Costin");
        EXPECT_EQ(typed.typed_note, "-57");
        EXPECT_FALSE(typed.head);
        world.crash();
    }
    desk = world.come(Role::desk, office, office_run);
    ask(DecideSetAside{1, SetAsideDecided::How::taken, BoutId{1}, names(calls), "bout 1, by hand"});
    ASSERT_TRUE(done(1));
    ASSERT_EQ(world.results.size(), 1U);
    EXPECT_EQ(world.results.back().bout.bout, BoutId{1});
    EXPECT_EQ(world.results.back().bout.white.name, "Ada Norlund");
}

TEST_F(DeskTest, WhatATableMayBeFightingTheDeskDoesNotTake) {
    const std::vector<Call> calls = whole(old_run, Term{1}, BoutId{1});
    come_back_with(calls);
    ASSERT_EQ(send(now_in_charge, made(new_run, Term{2}, BoutId{1}, Called{})), Verdict::applied);
    const DecideSetAside wish{1, SetAsideDecided::How::taken, BoutId{1}, names(calls), "theirs"};
    ask(wish);
    EXPECT_EQ(refused(1), Cause::at_the_table);
    ask(paper(2, BoutId{1}, Winner::blue));
    EXPECT_EQ(refused(2), Cause::at_the_table);
    ask(OpenBout{3, BoutId{1}});
    EXPECT_EQ(refused(3), Cause::at_the_table);
    // Once the mat is free the desk may; the two runs meet by the hub's clock, and that is kept.
    world.tell(desk, LeaveMat{MatId{1}, true, Term{2}});
    world.sync();
    ask(DecideSetAside{4,
                       SetAsideDecided::How::taken,
                       BoutId{1},
                       {calls[1].id, calls[2].id},
                       "the first half minute"});
    EXPECT_TRUE(done(4)) << world.got<Refusal>(desk).back().words;
    const auto record = decode_record(world.disk.back().bytes);
    const auto& decided = std::get<SetAsideDecided>(record->fact);
    ASSERT_EQ(decided.joined.size(), 1U);
    EXPECT_EQ(decided.joined.front().run, old_run);
    EXPECT_EQ(decided.joined.front().joint.earlier, new_run);
    EXPECT_EQ(decided.joined.front().joint.source, Joint::Source::hub_clock);
    const std::string state = world.hub->state_bytes();
    world.crash();
    EXPECT_EQ(world.hub->state_bytes(), state);
}

// docs/protocol.md, section 12: where a run is new to the bout, the hub joins its clock.
TEST_F(DeskTest, TwoRunsOfABoutWithoutCallsMeetByTheHubsClock) {
    constexpr RunId reloaded{0x44};
    // Toketa can't be in it, and so does not begin the timeline.
    const Call toketa = made(old_run, Term{1}, BoutId{1}, Toketa{});
    const Call mate = made(old_run, Term{1}, BoutId{1}, Mate{});
    come_back_with({toketa, mate});
    const SessionId page = world.come(Role::table, old_laptop, reloaded, "Ngaio");
    const Call hajime = made(reloaded, Term{1}, BoutId{1}, Hajime{});
    ASSERT_EQ(send(page, hajime), Verdict::set_aside);
    ask(DecideSetAside{1,
                       SetAsideDecided::How::taken,
                       BoutId{1},
                       {toketa.id, hajime.id, mate.id},
                       "a reload in between"});
    ASSERT_TRUE(done(1)) << world.got<Refusal>(desk).back().words;
    const auto record = decode_record(world.disk.back().bytes);
    const auto& decided = std::get<SetAsideDecided>(record->fact);
    ASSERT_EQ(decided.joined.size(), 1U);
    EXPECT_EQ(decided.joined.front().run, old_run);
    EXPECT_EQ(decided.joined.front().joint.earlier, reloaded);
    const std::string state = world.hub->state_bytes();
    world.crash();
    EXPECT_EQ(world.hub->state_bytes(), state);
}

TEST_F(DeskTest, WhatCanCountNowhereIsRefusedAsAWhole) {
    const std::vector<Call> calls = whole(old_run, Term{1}, BoutId{1});
    come_back_with(calls);
    ask(DecideSetAside{1, SetAsideDecided::How::taken, BoutId{1}, {calls[6].id}, "kachi alone"});
    EXPECT_EQ(refused(1), Cause::impossible);
    ask(DecideSetAside{2, SetAsideDecided::How::taken, BoutId{77}, names(calls), "nowhere"});
    EXPECT_EQ(refused(2), Cause::no_such_bout);
    ask(DecideSetAside{
        3, SetAsideDecided::How::dismissed, {}, {CallId{RunId{9}, CallNumber{1}}}, "never came"});
    EXPECT_EQ(refused(3), Cause::changed);
    EXPECT_EQ(world.aside.back().bouts.front().calls.size(), calls.size());
}

// -- results

TEST_F(DeskTest, AResultFromPaperCountsAndIsPutRight) {
    ask(paper(1, BoutId{1}, Winner::blue));
    ASSERT_TRUE(done(1));
    ASSERT_EQ(world.results.size(), 1U);
    EXPECT_EQ(world.results.back().from, ResultFrom::paper);
    EXPECT_EQ(world.results.back().replaces, RecordNumber{});
    EXPECT_EQ(world.results.back().result.rules_hash, sha256(encode(rules)));
    EXPECT_EQ(first_finalist(), "Mirela Costin");
    EXPECT_EQ(world.views[MatId{1}].back().next.front().bout, BoutId{3}) << "not called again";
    // The same once more: it is not what stood any more.
    const EnterResult once = paper(1, BoutId{1}, Winner::blue);
    ask(once);
    EXPECT_EQ(refused(1), Cause::changed);
    // Put right: names the one it replaces.
    const RecordNumber first = world.results.back().number;
    ask(paper(2, BoutId{1}, Winner::white, first));
    ASSERT_TRUE(done(2));
    ASSERT_EQ(world.results.size(), 2U);
    EXPECT_EQ(world.results.back().replaces, first);
    EXPECT_EQ(first_finalist(), "Ada Norlund");
    // Taken away.
    ask(paper(3, BoutId{1}, Winner::undecided, world.results.back().number));
    ASSERT_TRUE(done(3));
    ASSERT_EQ(world.opened_again.size(), 1U);
    EXPECT_EQ(world.opened_again.back().replaces, world.results.back().number);
    EXPECT_EQ(first_finalist(), "");
    const std::string state = world.hub->state_bytes();
    world.crash();
    EXPECT_EQ(world.hub->state_bytes(), state);
    EXPECT_EQ(world.results.size(), 2U);
    EXPECT_EQ(world.opened_again.size(), 1U);
    EXPECT_TRUE(world.hub->sheet(BoutId{1})->at_desk);
}

TEST_F(DeskTest, AConfirmedResultIsPutRightAtTheDesk) {
    fight(BoutId{1});
    ASSERT_EQ(world.results.size(), 1U);
    EnterResult wish = paper(1, BoutId{1}, Winner::blue, world.results.back().number);
    wish.entered.from = ResultEntered::From::desk;
    ask(wish);
    ASSERT_TRUE(done(1));
    EXPECT_EQ(world.results.back().from, ResultFrom::desk);
    EXPECT_EQ(world.results.back().replaces, world.results.front().number);
    EXPECT_EQ(first_finalist(), "Mirela Costin");
    EXPECT_FALSE(world.hub->sheet(BoutId{1})->lines.empty()) << "what was called stays on it";
    EXPECT_EQ(world.hub->sheet(BoutId{1})->result.winner, Winner::blue);
    // No board shows the old winner any longer.
    const FrameShown& frame = world.views[MatId{1}].back().frames.front();
    EXPECT_EQ(world.views[MatId{1}].back().frames.size(), 1U);
    EXPECT_EQ(frame.winner, Winner::blue);
    EXPECT_EQ(frame.way, Way::waza_ari);
    EXPECT_EQ(frame.words, "blue wins by waza-ari, 0:00");
    EXPECT_EQ(frame.white, BoardSide{});
    // The table's own reopening comes too late.
    EXPECT_EQ(send(table, made(old_run, Term{1}, BoutId{1}, Reopen{Ground::slip})),
              Verdict::set_aside);
}

TEST_F(DeskTest, AResultThatCanNotBeIsRefused) {
    EnterResult wish = paper(1, BoutId{1}, Winner::white);
    wish.entered.result.way = Way::none;
    ask(wish);
    EXPECT_EQ(refused(1), Cause::impossible);
    // The rules of this bout know no koka (docs/rules.md, 2.1).
    wish.request = 7;
    wish.entered.result.way = Way::koka;
    ask(wish);
    EXPECT_EQ(refused(7), Cause::impossible);
    wish = paper(8, BoutId{1}, Winner::white);
    wish.entered.result.blue.score[index(Level::koka)] = 1;
    ask(wish);
    EXPECT_EQ(refused(8), Cause::impossible);
    ask(paper(2, BoutId{3}, Winner::white));  // nobody knows yet who is in the final
    EXPECT_EQ(refused(2), Cause::impossible);
    ask(paper(3, BoutId{1}, Winner::undecided));  // nothing to take away
    EXPECT_EQ(refused(3), Cause::impossible);
    ask(paper(4, BoutId{12}, Winner::white));
    EXPECT_EQ(refused(4), Cause::no_such_bout);
    world.tell(table, paper(5, BoutId{1}, Winner::white));
    EXPECT_EQ(world.got<Refusal>(table).back().reason, Cause::not_the_desk);
    EXPECT_TRUE(world.results.empty());
    const SessionId nameless = world.come(Role::desk);
    world.tell(nameless, paper(6, BoutId{1}, Winner::white));
    EXPECT_EQ(world.got<Refusal>(nameless).back().reason, Cause::not_the_desk);
}

TEST_F(DeskTest, TheRecordOfAnotherBoutIsMovedThere) {
    // The table had bout 3 open while bout 1 was fought.
    ask(paper(9, BoutId{1}, Winner::white));  // so that the final has an athlete
    const RecordNumber wrong = world.results.back().number;
    ask(paper(8, BoutId{1}, Winner::undecided, wrong));
    ask(give_back(7, BoutId{1}));
    ASSERT_TRUE(done(7));
    fight(BoutId{3});
    const Finished told = world.results.back();
    ASSERT_EQ(told.bout.bout, BoutId{3});
    MoveRecord wish;
    wish.request = 1;
    wish.moved = RecordMoved{BoutId{3}, BoutId{1}, "the wrong bout was open"};
    wish.from_changed = world.hub->sheet(BoutId{3})->changed;
    wish.to_changed = world.hub->sheet(BoutId{1})->changed;
    ask(wish);
    ASSERT_TRUE(done(1)) << world.got<Refusal>(desk).back().words;
    const Finished item = world.results.back();
    EXPECT_EQ(item.bout.bout, BoutId{1});
    EXPECT_EQ(item.bout.white.name, "Ada Norlund");
    EXPECT_EQ(item.from, ResultFrom::other_record);
    EXPECT_EQ(item.replaces, wrong);
    EXPECT_TRUE(item.also.empty());
    ASSERT_EQ(item.no_result.size(), 1U);
    EXPECT_EQ(item.no_result.front().bout, BoutId{3});
    EXPECT_EQ(item.no_result.front().replaces, told.number);
    EXPECT_FALSE(world.hub->sheet(BoutId{3})->has_result);
    EXPECT_TRUE(world.hub->sheet(BoutId{3})->lines.empty());
    EXPECT_FALSE(world.hub->sheet(BoutId{1})->lines.empty());
    EXPECT_EQ(first_finalist(), "Ada Norlund");
    // Decided on what has changed meanwhile.
    ask(wish);
    EXPECT_EQ(refused(1), Cause::changed);
    const std::string state = world.hub->state_bytes();
    world.crash();
    EXPECT_EQ(world.hub->state_bytes(), state);
}

TEST_F(DeskTest, TwoRecordsChangePlaces) {
    const SessionId other = world.come(Role::table, new_laptop, new_run);
    world.tell(other, TakeMat{MatId{2}, false, {}});
    world.sync();
    fight(BoutId{1});
    ask(paper(1, BoutId{2}, Winner::blue));
    ASSERT_TRUE(done(1));
    const RecordNumber of_two = world.results.back().number;
    MoveRecord wish{2, RecordMoved{BoutId{1}, BoutId{2}, "fought in the other order"},
                    world.hub->sheet(BoutId{1})->changed, RecordNumber{1}};
    ask(wish);
    EXPECT_EQ(refused(2), Cause::changed);
    wish.to_changed = world.hub->sheet(BoutId{2})->changed;
    ask(wish);
    ASSERT_TRUE(done(2));
    const Finished item = world.results.back();
    EXPECT_EQ(item.bout.bout, BoutId{2});
    EXPECT_EQ(item.result.winner, Winner::white);
    EXPECT_EQ(item.replaces, of_two);
    ASSERT_EQ(item.also.size(), 1U);
    EXPECT_EQ(item.also.front().bout.bout, BoutId{1});
    EXPECT_EQ(item.also.front().result.winner, Winner::blue);
    EXPECT_EQ(world.hub->sheet(BoutId{3})->bout.white.name, "Mirela Costin");
    EXPECT_EQ(world.hub->sheet(BoutId{3})->bout.blue.name, "Yua Tsukada");
}

// -- the desk's own calls

TEST_F(DeskTest, TheDeskAcceptsAndOpensAgainWithCallsOfItsOwn) {
    fight(BoutId{1});
    world.tell(desk, OpenBout{1, BoutId{1}});
    ASSERT_EQ(world.got<Allotment>(desk).size(), 1U);
    const Allotment given = world.got<Allotment>(desk).back();
    EXPECT_EQ(given.term, Term{});
    ASSERT_EQ(given.bouts.size(), 1U);
    ASSERT_EQ(given.bouts.front().calls.size(), 8U);
    ASSERT_EQ(given.clocks.size(), 1U);
    EXPECT_EQ(given.clocks.front().run, old_run);

    // Its clock meets the table's; then it accepts.
    const Call& end = given.bouts.front().calls.back();
    const Joint joint{old_run, end.entered, Instant{1'000}, Joint::Source::hub_clock};
    ASSERT_EQ(send(desk, made(office_run, {}, BoutId{1}, joint)), Verdict::applied);
    ASSERT_EQ(send(desk, made(office_run, {}, BoutId{1}, Accept{})), Verdict::applied);
    EXPECT_EQ(world.hub->sheet(BoutId{1})->phase, Phase::accepted);
    EXPECT_TRUE(world.got<Allotment>(table).back().bouts.front().confirmed);
    ASSERT_EQ(send(desk, made(office_run, {}, BoutId{1}, Reopen{Ground::administrative})),
              Verdict::applied);
    EXPECT_EQ(world.opened_again.size(), 1U);
    EXPECT_EQ(send(table, made(old_run, Term{1}, BoutId{1}, Mate{})), Verdict::set_aside);
    // Given back, the table may go on with it.
    ask(give_back(2, BoutId{1}));
    ASSERT_TRUE(done(2));
    EXPECT_FALSE(world.got<Allotment>(table).back().bouts.front().at_desk);
    EXPECT_EQ(world.got<Allotment>(table).back().bouts.front().calls.size(), 11U);
    ask(give_back(3, BoutId{1}));
    EXPECT_EQ(refused(3), Cause::changed) << "it is not at the desk";
}

TEST_F(DeskTest, TheDesksCallsAreRefusedWhereATableWrites) {
    ASSERT_EQ(send(table, made(old_run, Term{1}, BoutId{1}, Called{})), Verdict::applied);
    const auto refusal = [&](const Call& call) {
        world.tell(desk, Submit{call});
        EXPECT_TRUE(world.unsynced.empty());
        --last[office_run];  // it used up no number
        return world.got<Refusal>(desk).back().reason;
    };
    EXPECT_EQ(refusal(made(office_run, {}, BoutId{1}, Hajime{})), Cause::at_the_table);
    EXPECT_EQ(refusal(made(office_run, Term{1}, BoutId{3}, Called{})), Cause::impossible);
    EXPECT_EQ(refusal(made(office_run, {}, BoutId{2}, Called{})), Cause::no_such_bout);
    const SessionId looks_on = world.come(Role::desk, DeviceId{0xd2});
    world.tell(looks_on, Submit{made(RunId{0x44}, {}, BoutId{3}, Called{})});
    EXPECT_EQ(world.got<Refusal>(looks_on).back().reason, Cause::not_a_table);
    // Nobody has begun bout 3, so the desk may write it; screens stay with what is fought.
    EXPECT_EQ(send(desk, made(office_run, {}, BoutId{3}, Called{})), Verdict::applied);
    EXPECT_EQ(world.views[MatId{1}].back().bout.bout, BoutId{1});
    EXPECT_TRUE(world.got<Allotment>(table).back().bouts.back().at_desk) << "the table is told";
}

TEST_F(DeskTest, EveryRecordIsToldOnceItIsKept) {
    world.audit.clear();
    const Call call = made(old_run, Term{1}, BoutId{1}, Called{});
    world.tell(table, Submit{call});
    EXPECT_TRUE(world.audit.empty());
    world.sync();
    ASSERT_EQ(world.audit.size(), 1U);
    EXPECT_EQ(world.audit.front().first, world.disk.back().number);
    EXPECT_EQ(world.audit.front().second, world.disk.back().bytes);
}

}  // namespace
}  // namespace honbu

// What the simulator has found in the hub, each with the story of its seed (docs/simulation.md).
//
// The promises that were broken are those of docs/architecture.md, section 1, and of
// docs/protocol.md, sections 5, 7 and 12. No other source.
#include <gtest/gtest.h>

#include "engine/table/table.h"
#include "tests/unit/world.h"

namespace honbu {
namespace {

constexpr DeviceId laptop{0xa1};
constexpr DeviceId spare{0xb2};
constexpr DeviceId office{0xd1};
constexpr RunId run{0x11};
constexpr RunId spare_run{0x22};
constexpr RunId office_run{0x33};

struct FoundTest : testing::Test {
    FoundTest() {
        world.begin(small_cup());
        come();
        world.tell(table, TakeMat{MatId{1}, false, {}});
        world.sync();
    }
    void come() {
        table = world.come(Role::table, laptop, run, "Ngaio");
        desk = world.come(Role::desk, office, office_run, "Runa");
    }
    Call made(RunId by, Term term, BoutId bout, What what) {
        Call call;
        call.id = {by, CallNumber{++last[by]}};
        call.term = term;
        call.mat = MatId{1};
        call.bout = bout;
        call.entered = Instant{last[by] * 1'000};
        call.what = std::move(what);
        return call;
    }
    Verdict send(SessionId from, const Call& call) {
        world.tell(from, Submit{call});
        world.sync();
        return world.got<VerdictGiven>(from).back().verdict;
    }
    // White wins by ippon; confirmed.
    std::vector<Call> whole(RunId by, Term term, BoutId bout) {
        std::vector<Call> calls;
        for (const What& what :
             {What{Called{}}, What{Hajime{}}, What{Mate{}}, What{Hajime{}},
              What{Score{only(Side::white), Level::ippon}}, What{SoreMade{}}, What{Kachi{}}}) {
            calls.push_back(made(by, term, bout, what));
        }
        const Result result = result_of(under, calls, calls.back().entered);
        calls.push_back(made(by, term, bout, Confirm{result}));
        return calls;
    }
    void fight(BoutId bout) {
        for (const Call& call : whole(run, Term{1}, bout))
            ASSERT_EQ(send(table, call), Verdict::applied);
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
        return all.empty() || all.back().request != request ? Cause::none : all.back().reason;
    }
    EnterResult paper(std::uint32_t request, BoutId bout, Winner winner,
                      RecordNumber replaces = {}) const {
        EnterResult wish;
        wish.request = request;
        wish.changed = sheet(bout.value).changed;
        wish.entered.bout = bout;
        wish.entered.from = ResultEntered::From::paper;
        wish.entered.replaces = replaces;
        wish.entered.reason = "paper sheet of mat 1";
        wish.entered.result.winner = winner;
        wish.entered.result.way = winner == Winner::undecided ? Way::none : Way::waza_ari;
        return wish;
    }
    BoutSheet sheet(std::uint32_t bout) const { return *world.hub->sheet(BoutId{bout}); }
    const MatView& view() { return world.views[MatId{1}].back(); }
    std::vector<BoutId> next() {
        std::vector<BoutId> out;
        for (const BoutHead& head : view().next)
            out.push_back(head.bout);
        return out;
    }

    World world;
    SessionId table;
    SessionId desk;
    std::map<RunId, std::uint32_t> last;
    RuleSet rules = rules_named("2018");
    Conditions under{rules, seconds(240), {}};
};

// Seed 1: the record of the bout on the mat was moved to another bout of this mat, and the board
// went blank.
TEST_F(FoundTest, WhatAMatShowsGoesWithItsRecord) {
    ask(paper(1, BoutId{1}, Winner::white));
    ask(paper(2, BoutId{1}, Winner::undecided, sheet(1).result_number));
    ask(GiveBack{3, BoutId{1}, sheet(1).changed});
    fight(BoutId{3});
    MoveRecord wish;
    wish.request = 4;
    wish.moved = RecordMoved{BoutId{3}, BoutId{1}, "the wrong bout was open"};
    wish.from_changed = sheet(3).changed;
    wish.to_changed = sheet(1).changed;
    ask(wish);
    ASSERT_TRUE(done(4));
    ASSERT_TRUE(view().has_bout);
    EXPECT_EQ(view().bout.bout, BoutId{1});
    const MatView before = view();
    world.crash();
    EXPECT_EQ(view().bout, before.bout);
    EXPECT_EQ(view().number, before.number);
}

// Seed 3: what was set aside was shown with the names of when it was.
TEST_F(FoundTest, WhatWasSetAsideIsShownWithTheNamesOfNow) {
    world.tell(desk, LeaveMat{MatId{1}, true, Term{1}, 9});
    world.sync();
    ASSERT_EQ(send(table, made(run, Term{1}, BoutId{3}, Called{})), Verdict::set_aside);
    EXPECT_EQ(world.aside.back().bouts.front().head->white.name, "");
    ask(paper(1, BoutId{1}, Winner::white));
    EXPECT_EQ(world.aside.back().bouts.front().head->white.name, "Ada Norlund");
}

// Seed 4: the desk began a bout that waited for its turn, and screens went on announcing it. The
// same when it was given back without a call.
TEST_F(FoundTest, WhatTheDeskHasDoesNotWaitForItsTurn) {
    ASSERT_EQ(next(), (std::vector<BoutId>{BoutId{1}, BoutId{3}}));
    ASSERT_EQ(send(desk, made(office_run, {}, BoutId{3}, Called{})), Verdict::applied);
    EXPECT_EQ(next(), (std::vector<BoutId>{BoutId{1}}));
    EXPECT_EQ(view().number, sheet(3).changed) << "another view has another number";
    EXPECT_EQ(world.called.back().mats.front().next.size(), 1U);

    ask(paper(1, BoutId{1}, Winner::white));
    ask(paper(2, BoutId{1}, Winner::undecided, sheet(1).result_number));
    EXPECT_TRUE(next().empty());
    ask(GiveBack{3, BoutId{1}, sheet(1).changed});
    EXPECT_EQ(next(), (std::vector<BoutId>{BoutId{1}}));
    EXPECT_EQ(view().number, sheet(1).changed);
}

// The desk opened a confirmed bout again, and its table was told that it is confirmed still.
TEST_F(FoundTest, TheTableIsToldOfABoutAsTheDesksFirstCallLeavesIt) {
    fight(BoutId{1});
    const Joint joint{run, Instant{9'000}, Instant{1'000}, Joint::Source::hub_clock};
    ASSERT_EQ(send(desk, made(office_run, {}, BoutId{1}, joint)), Verdict::applied);
    ask(GiveBack{1, BoutId{1}, sheet(1).changed});
    ASSERT_EQ(send(desk, made(office_run, {}, BoutId{1}, Reopen{Ground::slip})), Verdict::applied);
    const BoutGiven given = world.got<Allotment>(table).back().bouts.front();
    EXPECT_TRUE(given.at_desk);
    EXPECT_FALSE(given.confirmed);
}

// Seed 14: a view had number 1 while the hub lived and 0 after its restart; it had been made of a
// competition that was not kept yet.
TEST(FoundAtTheBeginning, NothingIsShownOfACompetitionThatIsNotKept) {
    World world;
    world.hub->begin(Epoch{0xe0}, 1, Instant{0});
    world.hub->load(small_cup(), Instant{1});
    world.hub->committed(RecordNumber{1});
    EXPECT_TRUE(world.views.empty());
    world.sync();
    ASSERT_EQ(world.views[MatId{1}].size(), 1U);
    const RecordNumber number = world.views[MatId{1}].back().number;
    world.crash();
    EXPECT_EQ(world.views[MatId{1}].back().number, number);
}

// Seed 15: the desk took a result away, and the sheet said who had won.
TEST_F(FoundTest, ASheetSaysNothingOfAResultThatWasTakenAway) {
    fight(BoutId{1});
    ask(paper(1, BoutId{1}, Winner::undecided, sheet(1).result_number));
    ASSERT_TRUE(done(1));
    EXPECT_FALSE(sheet(1).has_result);
    EXPECT_EQ(sheet(1).phase, Phase::over);
    EXPECT_EQ(sheet(1).words, "");
    EXPECT_EQ(view().frames.front().phase, Phase::over);
}

// Seed 28: a hub that went on from a copy gave a term that the lost part had given before, and what
// a table had entered under that one would have counted.
TEST_F(FoundTest, NoTermOfALostPartIsGivenAgain) {
    std::set<Term> given;
    const std::vector<World::Row> copy = world.disk;  // with term 1
    world.tell(world.come(Role::table, spare, spare_run), TakeMat{MatId{1}, true, {}});
    world.sync();
    given.insert(Term{2});  // lost
    for (const std::uint64_t epoch : {0xe1ULL, 0x7fedcba987654321ULL}) {
        world.disk = copy;
        world.crash();
        world.hub->begin_again(Epoch{epoch}, world.now());
        world.sync();
        come();
        for (int i = 0; i < 3; ++i) {
            const SessionId who = i % 2 == 0 ? table : world.come(Role::table, spare, spare_run);
            world.tell(who, TakeMat{MatId{1}, true, {}});
            world.sync();
            const Term term = world.got<Allotment>(who).back().term;
            EXPECT_TRUE(given.insert(term).second) << term.value;
            EXPECT_GT(term, Term{2});
        }
    }
}

// Seed 38: calls were taken into a bout whose result the desk had put right, none of them said
// anything of a result, and the old one stood again.
TEST_F(FoundTest, CallsThatConfirmNothingLeaveTheResultOfTheDesk) {
    fight(BoutId{1});
    world.tell(desk, LeaveMat{MatId{1}, true, Term{1}, 9});
    world.sync();
    const Call late = made(run, Term{1}, BoutId{1}, Reopen{Ground::slip});
    const Call joint = made(spare_run, Term{1}, BoutId{1},
                            Joint{run, Instant{9'000}, Instant{1'000}, Joint::Source::typed});
    ASSERT_EQ(send(world.come(Role::table, spare, spare_run), joint), Verdict::set_aside);
    ask(paper(1, BoutId{1}, Winner::blue, sheet(1).result_number));
    ASSERT_TRUE(done(1));
    const std::size_t told = world.results.size();
    ask(DecideSetAside{2, SetAsideDecided::How::taken, BoutId{1}, {joint.id}, "its clock"});
    ASSERT_TRUE(done(2)) << world.got<Refusal>(desk).back().words;
    EXPECT_EQ(sheet(1).result.winner, Winner::blue);
    EXPECT_EQ(world.results.size(), told);
    // One that opens the bout again does.
    ASSERT_EQ(send(table, late), Verdict::set_aside);
    ask(DecideSetAside{3, SetAsideDecided::How::taken, BoutId{1}, {late.id}, "by the referee"});
    ASSERT_TRUE(done(3));
    EXPECT_FALSE(sheet(1).has_result);
}

// Seed 188: the desk's call came while the record of its bout was on its way to another one. It was
// judged by the calls that were there still, and then moved away with them.
TEST_F(FoundTest, NoCallIsTakenForABoutWhoseRecordIsBeingMoved) {
    fight(BoutId{3});
    MoveRecord wish;
    wish.request = 2;
    wish.moved = RecordMoved{BoutId{3}, BoutId{1}, "the wrong bout was open"};
    wish.from_changed = sheet(3).changed;
    wish.to_changed = sheet(1).changed;
    world.tell(desk, wish);
    Call call = made(office_run, {}, BoutId{1}, Called{});
    world.tell(desk, Submit{call});
    EXPECT_EQ(world.got<Refusal>(desk).back().reason, Cause::changed);
    EXPECT_EQ(world.got<Refusal>(desk).back().call, call.id);
    EXPECT_EQ(world.unsynced.size(), 1U);
    world.sync();
    ASSERT_TRUE(done(2));
    EXPECT_EQ(send(desk, call), Verdict::without_effect) << "it is confirmed there now";
}

// Seed 321: a result was entered for the final while the result that made its athlete known was
// being taken away.
TEST_F(FoundTest, NoResultIsEnteredWhileItsNamesAreBeingWritten) {
    fight(BoutId{1});
    const SessionId other = world.come(Role::table, spare, spare_run);
    world.tell(other, TakeMat{MatId{2}, false, {}});
    world.sync();
    ask(paper(1, BoutId{2}, Winner::white));
    world.tell(desk, paper(2, BoutId{1}, Winner::undecided, sheet(1).result_number));
    world.tell(desk, paper(3, BoutId{3}, Winner::white));
    EXPECT_EQ(refused(3), Cause::changed);
    world.sync();
    world.tell(desk, paper(4, BoutId{3}, Winner::white));
    EXPECT_EQ(refused(4), Cause::impossible) << "nobody knows who fights in it";
}

// The same for the record of another bout, and for calls that were set aside.
TEST_F(FoundTest, NothingIsDecidedOfABoutWhoseNamesAreBeingWritten) {
    fight(BoutId{1});
    ask(paper(1, BoutId{2}, Winner::white));
    ASSERT_TRUE(done(1));
    world.tell(desk, LeaveMat{MatId{1}, true, Term{1}, 2});
    world.sync();
    const Call late = made(run, Term{1}, BoutId{3}, Called{});
    ASSERT_EQ(send(table, late), Verdict::set_aside);
    world.tell(desk, paper(3, BoutId{2}, Winner::undecided, sheet(2).result_number));
    world.tell(desk, DecideSetAside{4, SetAsideDecided::How::taken, BoutId{3}, {late.id}, "late"});
    EXPECT_EQ(refused(4), Cause::changed);
    const RecordMoved moved{BoutId{1}, BoutId{3}, "the wrong bout was open"};
    world.tell(desk, MoveRecord{5, moved, sheet(1).changed, sheet(3).changed});
    EXPECT_EQ(refused(5), Cause::changed);
    EXPECT_EQ(world.unsynced.size(), 1U);
}

// A desk was shown records that somebody misses, after he had gone.
TEST_F(FoundTest, WhoHasLeftMissesNothing) {
    Hello seen;
    seen.schema = wire_schema;
    seen.role = Role::desk;
    seen.seen_epoch = Epoch{0xe0};
    seen.seen_number = RecordNumber{40};
    seen.seen_hash = 7;
    const SessionId other = world.come(seen);
    const auto kept = static_cast<std::uint32_t>(world.disk.size());
    EXPECT_EQ(world.of_tables.back().missing, 40 - kept);
    world.hub->left(other);
    EXPECT_EQ(world.of_tables.back().missing, 0U);
}

// What was set aside was shown with the names as they stood before the table exchanged them.
TEST_F(FoundTest, ExchangedNamesAreSeenInWhatWasSetAside) {
    ASSERT_EQ(send(table, made(run, Term{1}, BoutId{1}, Called{})), Verdict::applied);
    const SessionId other = world.come(Role::table, spare, spare_run);
    ASSERT_EQ(send(other, made(spare_run, Term{1}, BoutId{1}, Hajime{})), Verdict::set_aside);
    EXPECT_EQ(world.aside.back().bouts.front().head->white.name, "Ada Norlund");
    ASSERT_EQ(send(table, made(run, Term{1}, BoutId{1}, ExchangeNames{})), Verdict::applied);
    EXPECT_EQ(world.aside.back().bouts.front().head->white.name, "Mirela Costin");
}

// After a restart nobody knew any more whom a bout in no plan is between: calls of it had been
// dismissed once, and others came later.
TEST_F(FoundTest, TypedNamesOfABoutInNoPlanSurviveARestart) {
    constexpr BoutId by_hand{0x8000'0001};
    const auto enter = [&](const What& what) {
        const Call call = made(run, Term{1}, by_hand, what);
        world.tell(table, Submit{call, Typed{"Sana Ferreiro", "Ilka Brandt", "in no plan"}});
        world.sync();
        return call.id;
    };
    const CallId first = enter(Called{});
    ask(DecideSetAside{1, SetAsideDecided::How::dismissed, {}, {first}, "pressed by mistake"});
    ASSERT_TRUE(done(1));
    enter(Hajime{});
    EXPECT_EQ(world.aside.back().bouts.front().typed_white, "Sana Ferreiro");
    world.crash();
    EXPECT_EQ(world.aside.back().bouts.front().typed_white, "Sana Ferreiro");
}

// Seed 690: where two runs' clocks met badly, a kachi came to stand before a confirmation that was
// there already. The boards showed the bout as confirmed again, and it was told to nobody.
TEST_F(FoundTest, WhateverMakesABoutConfirmedAgainIsTold) {
    std::vector<Call> calls = whole(run, Term{1}, BoutId{1});
    Call confirm = calls.back();
    calls.pop_back();
    --last[run];
    for (const Call& call : calls)
        ASSERT_EQ(send(table, call), Verdict::applied);
    // The page is loaded anew, and its clock is taken to be far ahead.
    const RunId reloaded{0x12};
    const Joint joint{run, Instant{20'000}, Instant{1'000}, Joint::Source::typed};
    ASSERT_EQ(send(table, made(reloaded, Term{1}, BoutId{1}, joint)), Verdict::applied);
    confirm.id = CallId{reloaded, CallNumber{2}};
    confirm.entered = Instant{2'000};
    ASSERT_EQ(send(table, confirm), Verdict::applied);
    ASSERT_EQ(world.results.size(), 1U);
    // What the first page had saved and not sent comes now.
    ASSERT_EQ(send(table, made(run, Term{1}, BoutId{1}, Reopen{Ground::slip})), Verdict::applied);
    ASSERT_EQ(world.opened_again.size(), 1U);
    ASSERT_EQ(send(table, made(run, Term{1}, BoutId{1}, Kachi{})), Verdict::applied);
    EXPECT_EQ(view().frames.front().phase, Phase::confirmed);
    EXPECT_TRUE(sheet(1).has_result);
    EXPECT_EQ(world.results.size(), 2U);
}

// Seeds 870 and 1141: a command was taken, the desk wrote something more, and the same command came
// over the next line. What it had been decided on was so again.
TEST_F(FoundTest, ACommandOfTheDeskSentTwiceIsTakenOnce) {
    EnterResult enter = paper(1, BoutId{1}, Winner::white);
    enter.changed = RecordNumber{};
    ask(enter);
    ASSERT_TRUE(done(1));
    ask(paper(2, BoutId{1}, Winner::undecided, sheet(1).result_number));
    const std::size_t rows = world.disk.size();
    ask(enter);
    EXPECT_EQ(refused(1), Cause::changed);

    GiveBack give{3, BoutId{1}, sheet(1).changed};
    ask(give);
    ASSERT_TRUE(done(3));
    ask(paper(4, BoutId{1}, Winner::white));
    ask(give);
    EXPECT_EQ(refused(3), Cause::changed);
    EXPECT_EQ(world.disk.size(), rows + 2);
    EXPECT_TRUE(sheet(1).at_desk);
}

}  // namespace
}  // namespace honbu

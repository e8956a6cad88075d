// People: their names are found, erased for good, and stay erased.
//
// That personal data goes when a person may ask for it, and nothing else with it: Regulation (EU)
// 2016/679, Art. 17(1) (from memory). That nothing is shown before it is kept, and that a record is
// never changed: docs/architecture.md, promises 2 and 10. The rest: common practice, no source.
#include <gtest/gtest.h>

#include "hub/core/public_names.h"
#include "tests/unit/world.h"

namespace honbu {
namespace {

constexpr DeviceId laptop{0xa1};
constexpr DeviceId office{0xd1};
constexpr RunId run{0x11};
constexpr PersonId ada{1};
constexpr BoutId by_hand{0x80000007};

struct PeopleTest : testing::Test {
    PeopleTest() {
        world.begin(small_cup());
        come();
        world.tell(table, TakeMat{MatId{1}, false, {}});
        world.sync();
    }
    void come() {
        table = world.table(laptop, run);
        desk = world.come(Role::desk, office, {}, "Runa");
    }
    void erase(PersonErased erased) { world.tell(desk, ErasePerson{++asked, std::move(erased)}); }
    void send(BoutId bout, What what, std::optional<Typed> typed = {}) {
        Call call;
        call.id = {run, CallNumber{++given}};
        call.term = Term{1};
        call.mat = MatId{1};
        call.bout = bout;
        call.entered = Instant{given * 1'000};
        call.what = std::move(what);
        calls.push_back(call);
        world.tell(table, Submit{call, std::move(typed)});
        world.sync();
    }
    void fight() {
        for (const What& what :
             {What{Called{}}, What{Hajime{}}, What{Mate{}}, What{Hajime{}},
              What{Score{only(Side::white), Level::ippon}}, What{SoreMade{}}, What{Kachi{}}}) {
            send(BoutId{1}, what);
        }
        send(BoutId{1}, Confirm{result_of(under, calls, calls.back().entered)});
    }
    Refusal refused() const { return world.got<Refusal>(desk).back(); }
    const MatView& shown() const { return world.views.at(MatId{1}).back(); }
    std::vector<PeopleFound::One> found(const std::string& words) {
        world.tell(desk, FindPeople{++asked, words});
        return world.got<PeopleFound>(desk).back().people;
    }

    World world;
    SessionId table;
    SessionId desk;
    std::uint32_t asked = 0;
    std::uint32_t given = 0;
    std::vector<Call> calls;
    RuleSet rules = rules_named("2018");
    Conditions under{rules, seconds(240), {}};
};

TEST_F(PeopleTest, ANameIsErasedEverywhereOnceThatIsKept) {
    EXPECT_EQ(shown().next.front().white.name, "Ada Norlund");
    erase({ada, {}, "asked for it"});
    EXPECT_EQ(shown().next.front().white.name, "Ada Norlund");  // not on the disk yet
    EXPECT_TRUE(world.renames.empty());
    world.sync();

    const Seat& seat = shown().next.front().white;
    EXPECT_EQ(seat.name, "Athlete 1");
    EXPECT_EQ(seat.club, "");
    EXPECT_EQ(seat.person, ada);
    EXPECT_EQ(shown().next.front().blue.name, "Mirela Costin");
    EXPECT_EQ(shown().number, world.hub->last_committed());
    EXPECT_EQ(world.called.back().mats.front().next.front().white.name, "Athlete 1");
    EXPECT_EQ(world.hub->sheet(BoutId{1})->bout.white.name, "Athlete 1");
    EXPECT_EQ(world.sheets_changed.back(), BoutId{1});
    EXPECT_EQ(world.got<Allotment>(table).back().bouts.front().head.white.name, "Athlete 1");
    ASSERT_EQ(world.renames.size(), 1U);
    EXPECT_EQ(world.renames.front().person, ada);
    EXPECT_EQ(world.renames.front().name, "Athlete 1");
    EXPECT_EQ(world.renames.front().number, world.hub->last_committed());
    EXPECT_EQ(world.got<Done>(desk).back().request, asked);

    // One record with its reason, and beside it one row that goes.
    const World::Row& row = world.disk.back();
    const auto record = decode_record(row.bytes);
    ASSERT_TRUE(record);
    EXPECT_EQ(std::get<PersonErased>(record->fact).reason, "asked for it");
    EXPECT_EQ(record->device, office);
    ASSERT_EQ(row.beside.size(), 1U);
    EXPECT_TRUE(row.beside.front().erased);
    EXPECT_EQ(row.beside.front().key, world.disk[1].beside.front().key);
    EXPECT_EQ(row.beside.front().value, "");
}

TEST_F(PeopleTest, AfterACrashBothAreThereOrNone) {
    erase({ada, {}, "asked for it"});
    world.crash();
    come();
    EXPECT_EQ(shown().next.front().white.name, "Ada Norlund");
    EXPECT_EQ(found("Norlund").size(), 1U);

    erase({ada, {}, "asked for it"});
    world.sync();
    world.crash();
    come();
    EXPECT_EQ(shown().next.front().white.name, "Athlete 1");
    EXPECT_TRUE(found("Norlund").empty());
    ASSERT_EQ(world.renames.size(), 1U);
    erase({ada, {}, "asked for it"});
    EXPECT_EQ(refused().reason, Cause::changed);
}

TEST_F(PeopleTest, WhatWasToldBeforeIsToldWithTheNumberAfterARestart) {
    fight();
    EXPECT_EQ(world.results.back().bout.white.name, "Ada Norlund");
    const Result result = world.results.back().result;
    const std::string state = world.hub->state_bytes();
    erase({ada, {}, "asked for it"});
    world.sync();
    EXPECT_EQ(world.hub->state_bytes(), state);               // nothing of the bout is another
    EXPECT_EQ(shown().next.front().white.name, "Athlete 1");  // the final, as its first winner
    world.crash();
    ASSERT_EQ(world.results.size(), 1U);
    EXPECT_EQ(world.results.back().bout.white.name, "Athlete 1");
    EXPECT_EQ(world.results.back().result, result);
    EXPECT_EQ(world.hub->state_bytes(), state);
    EXPECT_EQ(shown().next.front().white.name, "Athlete 1");
    EXPECT_EQ(world.hub->summary().find("Norlund"), std::string::npos);
}

TEST_F(PeopleTest, TheFileLoadedAgainBringsNobodyBack) {
    EXPECT_TRUE(world.hub->same_competition(small_cup()));
    erase({ada, {}, "asked for it"});
    world.sync();
    EXPECT_TRUE(world.hub->same_competition(small_cup()));
    Competition without = small_cup();
    without.people.front() = Person{ada, "somebody", ""};
    EXPECT_TRUE(world.hub->same_competition(without));  // nothing is left to compare with
    without.people.back().name = "somebody";
    EXPECT_FALSE(world.hub->same_competition(without));
    world.crash();
    EXPECT_TRUE(world.hub->same_competition(small_cup()));
    EXPECT_EQ(shown().next.front().white.name, "Athlete 1");
}

TEST_F(PeopleTest, WhatWasTypedByHandGoesAndDoesNotComeBack) {
    const Typed names{"Sana Ferreiro", "Oda Lint", "-57, club evening"};
    send(by_hand, Called{}, names);
    EXPECT_EQ(world.aside.back().bouts.front().typed_white, "Sana Ferreiro");
    ASSERT_EQ(found("lint").size(), 1U);
    EXPECT_EQ(found("lint").front().typed, by_hand);
    EXPECT_EQ(found("lint").front().name, "Sana Ferreiro - Oda Lint");

    erase({{}, by_hand, "asked for it"});
    world.sync();
    EXPECT_EQ(world.aside.back().bouts.front().typed_white, "");
    EXPECT_EQ(world.aside.back().bouts.front().typed_note, "");
    EXPECT_EQ(world.aside.back().number, world.hub->last_committed());
    EXPECT_EQ(world.aside.back().bouts.front().calls.size(), 1U);  // the call waits as before
    EXPECT_TRUE(world.renames.empty());

    send(by_hand, Hajime{}, names);  // the page has them still
    EXPECT_TRUE(world.disk.back().beside.empty());
    EXPECT_EQ(world.aside.back().bouts.front().typed_white, "");
    world.crash();
    come();
    EXPECT_EQ(world.aside.back().bouts.front().typed_white, "");
    EXPECT_TRUE(found("lint").empty());
    erase({{}, by_hand, "asked for it"});
    EXPECT_EQ(refused().reason, Cause::changed);
}

TEST_F(PeopleTest, TypedNamesAreFoundAlsoWhenTheirCallsAreDecided) {
    send(by_hand, Called{}, Typed{"Sana Ferreiro", "Oda Lint", ""});
    world.tell(desk,
               DecideSetAside{
                   ++asked, SetAsideDecided::How::dismissed, {}, {calls.back().id}, "a rehearsal"});
    world.sync();
    EXPECT_EQ(found("Ferreiro").size(), 1U);
    world.crash();
    come();
    EXPECT_EQ(found("Ferreiro").size(), 1U);
    erase({{}, by_hand, "asked for it"});
    world.sync();
    EXPECT_TRUE(found("Ferreiro").empty());
}

TEST_F(PeopleTest, OnlyTheDeskErasesAndOnlyWhoIsThere) {
    const std::size_t kept = world.disk.size();
    world.tell(table, ErasePerson{1, {ada, {}, "no"}});
    EXPECT_EQ(world.got<Refusal>(table).back().reason, Cause::not_the_desk);
    world.tell(table, FindPeople{2, ""});
    EXPECT_EQ(world.got<Refusal>(table).back().request, 2U);
    EXPECT_TRUE(world.got<PeopleFound>(table).empty());
    const SessionId onlooker = world.come(Role::desk);
    world.tell(onlooker, ErasePerson{1, {ada, {}, "no device"}});
    EXPECT_EQ(world.got<Refusal>(onlooker).back().reason, Cause::not_the_desk);

    erase({PersonId{5}, {}, "nobody"});
    EXPECT_EQ(refused().reason, Cause::no_such_person);
    erase({{}, by_hand, "nothing typed"});
    EXPECT_EQ(refused().reason, Cause::no_such_person);
    erase({ada, {}, "once"});
    erase({ada, {}, "twice, while the first is on its way"});
    EXPECT_EQ(refused().reason, Cause::changed);
    EXPECT_EQ(refused().request, asked);
    world.sync();
    EXPECT_EQ(world.disk.size(), kept + 1);
}

TEST_F(PeopleTest, PeopleAreFoundByNumberNameOrClub) {
    EXPECT_EQ(found("").size(), 4U);
    ASSERT_EQ(found("ada n").size(), 1U);
    EXPECT_EQ(found("ada n").front().person, ada);
    EXPECT_EQ(found("ada n").front().club, "JC Fjord");
    EXPECT_EQ(found("ada n").front().bouts, std::vector<BoutId>{BoutId{1}});
    EXPECT_EQ(found("fjord").size(), 2U);
    EXPECT_EQ(found("Inès").front().person, PersonId{4});
    ASSERT_EQ(found("3").size(), 1U);
    EXPECT_EQ(found("3").front().name, "Yua Tsukada");
    fight();
    EXPECT_EQ(found("ada n").front().bouts, (std::vector<BoutId>{BoutId{1}, BoutId{3}}));
    erase({ada, {}, "asked for it"});
    world.sync();
    ASSERT_EQ(found("1").size(), 1U);
    EXPECT_TRUE(found("1").front().erased);
    EXPECT_EQ(found("1").front().bouts.size(), 2U);
}

TEST_F(PeopleTest, ADeskIsToldHowManyMoreThereAre) {
    Competition many = small_cup();
    for (std::uint32_t id = 5; id <= 30; ++id)
        many.people.push_back({PersonId{id}, "Member " + std::to_string(id), "JC Fjord"});
    World other;
    other.begin(many);
    const SessionId office_desk = other.come(Role::desk, office);
    other.tell(office_desk, FindPeople{1, "member"});
    const PeopleFound answer = other.got<PeopleFound>(office_desk).back();
    EXPECT_EQ(answer.people.size(), people_found_max);
    EXPECT_EQ(answer.more, 6U);
}

TEST_F(PeopleTest, WithNoHubRunningItIsTheHubItselfThatErases) {
    EXPECT_EQ(world.hub->erase({ada, {}, "a letter"}, world.now()), "");
    world.sync();
    EXPECT_EQ(decode_record(world.disk.back().bytes)->device, DeviceId{});
    EXPECT_NE(world.hub->erase({ada, {}, "again"}, world.now()), "");
    EXPECT_NE(world.hub->erase({PersonId{9}, {}, "nobody"}, world.now()), "");
}

}  // namespace
}  // namespace honbu

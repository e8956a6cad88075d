// Who may come in. Common practice for pairing a device by a code that two people compare: the code
// says which device is meant and is no secret; the secret never leaves the device but to the hub.
// A secret has 128 bits at least and only a digest of it is stored: NIST SP 800-63B, 5.1.2.2 and
// 5.1.4 (look-up and single-factor secrets), from memory. The promises are those of docs/doors.md.
#include <gtest/gtest.h>

#include "engine/record/canon.h"
#include "tests/unit/world.h"

namespace honbu {
namespace {

constexpr DeviceId desk_device{0xde5c};
constexpr DeviceId table_device{0x7ab1e};
constexpr RunId run{0x11};
const std::string desk_secret = "desk-desk-desk-desk-desk-desk";
const std::string table_secret = "table-table-table-table-table";
constexpr const char* code = "K7QD-3M2X";

TakeMat take(std::uint16_t mat) {
    TakeMat wish;
    wish.mat = MatId{mat};
    return wish;
}

struct PeopleOpen : testing::Test {
    PeopleOpen() { world.begin(small_cup()); }
    World world;  // no right is checked
};

struct HubAccess : testing::Test {
    HubAccess() { world.begin(small_cup()); }

    Hello hello(Role role, DeviceId device, std::string token, RunId of = {}) const {
        Hello hello;
        hello.schema = wire_schema;
        hello.role = role;
        hello.device = device;
        hello.run = of;
        hello.fold_version = fold_version;
        hello.hand = "Renske";
        hello.token = std::move(token);
        return hello;
    }
    SessionId desk() {
        world.hub->expect_code(code_hash(code));
        const SessionId session = world.come(hello(Role::desk, desk_device, desk_secret));
        world.tell(session, UseCode{code});
        world.sync();
        return session;
    }
    SessionId table_at_the_door() {
        return world.come(hello(Role::table, table_device, table_secret, run));
    }
    std::string code_of(SessionId session) const {
        const auto told = world.got<AtTheDoor>(session);
        return told.empty() ? "none" : told.back().code;
    }
    bool welcome(SessionId session) const { return !world.got<Welcome>(session).empty(); }
    SessionId table(SessionId by) {
        const SessionId session = table_at_the_door();
        world.tell(by, LetIn{1, table_device, code_of(session), Right::table, MatId{1}});
        world.sync();
        return session;
    }
    Cause last_refusal(SessionId session) const {
        const auto all = world.got<Refusal>(session);
        return all.empty() ? Cause::none : all.back().reason;
    }
    Cause goodbye(SessionId session) const {
        const auto all = world.got<Goodbye>(session);
        return all.empty() ? Cause::none : all.back().reason;
    }
    Call call(std::uint32_t number, Term term) const {
        Call called;
        called.id = {run, CallNumber{number}};
        called.term = term;
        called.mat = MatId{1};
        called.bout = BoutId{1};
        called.entered = Instant{number * 100};
        called.what = Called{};
        return called;
    }

    World world{true};
};

TEST_F(HubAccess, WhoOnlyLooksIsAskedNothing) {
    for (const Role role : {Role::board, Role::hall})
        EXPECT_TRUE(welcome(world.come(role)));
}

TEST_F(HubAccess, WithoutASecretNobodyScoresOrDecides) {
    for (const Role role : {Role::table, Role::desk, Role::set_up}) {
        const SessionId session = world.come(role, table_device, run);
        EXPECT_FALSE(welcome(session));
        EXPECT_EQ(goodbye(session), Cause::not_let_in);
    }
}

TEST_F(HubAccess, AtTheDoorADeviceOnlyStaysConnected) {
    const SessionId table = table_at_the_door();
    EXPECT_FALSE(welcome(table));
    EXPECT_EQ(code_of(table).size(), 6U);
    world.tell(table, Heartbeat{});
    EXPECT_EQ(goodbye(table), Cause::none);
    world.tell(table, take(1));
    EXPECT_EQ(goodbye(table), Cause::hello_first);
    EXPECT_TRUE(world.unsynced.empty());
}

TEST_F(HubAccess, TheTerminalsCodeMakesTheFirstDeskOnce) {
    world.hub->expect_code(code_hash(code));
    const SessionId first = world.come(hello(Role::desk, desk_device, desk_secret));
    EXPECT_TRUE(world.got<AtTheDoor>(first).back().takes_code);
    world.tell(first, UseCode{"k7qd 3m2x"});  // as typed by a person
    EXPECT_FALSE(welcome(first)) << "not before it is on the disk";
    world.sync();
    EXPECT_TRUE(welcome(first));
    EXPECT_FALSE(world.hub->expects_code());
    const SessionId second = world.come(hello(Role::desk, DeviceId{9}, table_secret));
    EXPECT_FALSE(world.got<AtTheDoor>(second).back().takes_code);
    world.tell(second, UseCode{code});
    EXPECT_EQ(last_refusal(second), Cause::wrong_code);
}

// However many connections guess.
TEST_F(HubAccess, GuessesAreCountedForTheCode) {
    world.hub->expect_code(code_hash(code));
    for (unsigned i = 0; i < 100'000; i += 4) {
        const SessionId one = world.come(
            hello(Role::desk, DeviceId{1000 + i}, desk_secret + std::to_string(i)));
        for (int guess = 0; guess < 4; ++guess)
            world.tell(one, UseCode{"00000000"});
        EXPECT_EQ(last_refusal(one), Cause::wrong_code);
        world.hub->left(one);
        world.at_the_door.clear();
        world.replies.clear();
        if (i == 100) {
            ASSERT_TRUE(world.hub->expects_code()) << "a phone burns no code in passing";
        }
    }
    EXPECT_FALSE(world.hub->expects_code());
    const SessionId late = world.come(hello(Role::desk, desk_device, desk_secret));
    world.tell(late, UseCode{code});
    world.sync();
    EXPECT_FALSE(welcome(late));
}

TEST_F(HubAccess, AfterFiveWrongCodesAConnectionIsClosed) {
    world.hub->expect_code(code_hash(code));
    const SessionId one = world.come(hello(Role::desk, desk_device, desk_secret));
    for (int guess = 0; guess < 5; ++guess)
        world.tell(one, UseCode{"00000000"});
    EXPECT_EQ(goodbye(one), Cause::wrong_code);
    EXPECT_EQ(world.hub->at_the_door(), 0U);
}

TEST_F(HubAccess, TheDeskLetsATableInForOneMat) {
    const SessionId by = desk();
    const SessionId session = table_at_the_door();
    const Door door = world.at_the_door.back();
    ASSERT_EQ(door.waiting.size(), 1U);
    EXPECT_EQ(door.waiting.front().device, table_device);
    EXPECT_EQ(door.waiting.front().code, code_of(session));
    EXPECT_EQ(door.waiting.front().role, Role::table);
    world.tell(by, LetIn{7, table_device, code_of(session), Right::table, MatId{1}});
    EXPECT_FALSE(welcome(session));
    world.sync();
    ASSERT_TRUE(welcome(session));
    EXPECT_EQ(world.got<Welcome>(session).back().mat, MatId{1});
    EXPECT_EQ(world.got<Done>(by).back().request, 7U);
    world.tell(session, take(2));
    EXPECT_EQ(last_refusal(session), Cause::not_let_in);
    world.tell(session, take(1));
    world.sync();
    EXPECT_EQ(world.got<Allotment>(session).size(), 1U);
    EXPECT_EQ(world.at_the_door.back().inside.size(), 2U);
}

TEST_F(HubAccess, TheCodeHasToBeTheOneShown) {
    const SessionId by = desk();
    const SessionId session = table_at_the_door();
    const std::string wrong = code_of(session) == "000000" ? "000001" : "000000";
    world.tell(by, LetIn{1, table_device, wrong, Right::table, MatId{1}});
    EXPECT_EQ(last_refusal(by), Cause::changed);
    world.tell(by, LetIn{1, table_device, "", Right::table, MatId{1}});
    EXPECT_EQ(last_refusal(by), Cause::not_let_in);
    world.tell(by, LetIn{1, table_device, code_of(session), Right::desk, {}});
    EXPECT_EQ(last_refusal(by), Cause::impossible);
    world.tell(by, LetIn{1, table_device, code_of(session), Right::table, MatId{9}});
    EXPECT_EQ(last_refusal(by), Cause::no_such_mat);
    EXPECT_TRUE(world.unsynced.empty());
}

TEST_F(HubAccess, ATableLetsNobodyIn) {
    const SessionId inside = table(desk());
    const SessionId other = world.come(hello(Role::table, DeviceId{5}, "x" + table_secret, run));
    world.tell(inside, LetIn{1, DeviceId{5}, code_of(other), Right::table, MatId{1}});
    EXPECT_EQ(last_refusal(inside), Cause::not_the_desk);
    world.tell(inside, ShutOut{2, desk_device, "why not"});
    EXPECT_EQ(last_refusal(inside), Cause::not_the_desk);
}

TEST_F(HubAccess, TheSetUpLetsTablesInAndNoDesk) {
    const SessionId by = desk();
    const SessionId set_up = world.come(hello(Role::set_up, DeviceId{3}, "s" + desk_secret));
    world.tell(by, LetIn{1, DeviceId{3}, code_of(set_up), Right::set_up, {}});
    world.sync();
    ASSERT_TRUE(welcome(set_up));
    const SessionId inside = table(set_up);
    EXPECT_TRUE(welcome(inside));
    const SessionId desk2 = world.come(hello(Role::desk, DeviceId{4}, "t" + desk_secret));
    world.tell(set_up, LetIn{2, DeviceId{4}, code_of(desk2), Right::desk, {}});
    EXPECT_EQ(last_refusal(set_up), Cause::not_the_desk);
    world.tell(set_up, ShutOut{3, desk_device, "no"});
    EXPECT_EQ(last_refusal(set_up), Cause::not_the_desk);
    Subscribe wish;
    wish.set_aside = true;
    world.tell(set_up, wish);
    EXPECT_EQ(last_refusal(set_up), Cause::not_the_desk);
}

TEST_F(HubAccess, TheSecretOpensAgainAfterACrash) {
    table(desk());
    world.crash();
    EXPECT_TRUE(welcome(table_at_the_door()));
    EXPECT_TRUE(welcome(world.come(hello(Role::desk, desk_device, desk_secret))));
}

// Devices are named in every record, so a name opens nothing.
TEST_F(HubAccess, AnotherSecretUnderTheSameNameStaysOutside) {
    table(desk());
    const SessionId liar = world.come(
        hello(Role::table, table_device, "another" + table_secret, run));
    EXPECT_FALSE(welcome(liar));
    EXPECT_EQ(goodbye(liar), Cause::not_let_in);
}

TEST_F(HubAccess, OneRightIsNotAnother) {
    table(desk());
    const SessionId climber = world.come(hello(Role::desk, table_device, table_secret));
    EXPECT_FALSE(welcome(climber));
    EXPECT_EQ(code_of(climber).size(), 6U);
}

TEST_F(HubAccess, WhatIsKeptIsNotTheSecret) {
    table(desk());
    for (const World::Row& row : world.disk) {
        EXPECT_EQ(row.bytes.find(table_secret), std::string::npos);
        for (const Beside& beside : row.beside) {
            EXPECT_EQ(beside.value.find(table_secret), std::string::npos);
        }
    }
    const Beside& kept = world.disk.back().beside.front();
    EXPECT_EQ(kept.value, std::string(reinterpret_cast<const char*>(sha256(table_secret).data()),
                                      sizeof(Hash)));
}

TEST_F(HubAccess, ShutOutItIsDisconnectedAndItsMatIsFree) {
    const SessionId by = desk();
    const SessionId inside = table(by);
    world.tell(inside, take(1));
    world.sync();
    const Term term = world.got<Allotment>(inside).back().term;
    world.tell(inside, Submit{call(1, term)});
    world.sync();
    world.tell(by, ShutOut{3, table_device, "left in the café"});
    world.tell(inside, Submit{call(2, term)});
    EXPECT_EQ(goodbye(inside), Cause::shut_out) << "at once, before it is on the disk";
    world.sync();
    EXPECT_EQ(world.got<VerdictGiven>(inside).size(), 1U);
    EXPECT_EQ(world.got<Goodbye>(inside).size(), 1U);
    EXPECT_EQ(world.got<Done>(by).back().request, 3U);
    EXPECT_EQ(world.of_tables.back().mats.front().device, DeviceId{});
    world.hub->left(inside);

    // What it made before: applied it stays; what it kept is set aside once it is let in again.
    const SessionId again = table_at_the_door();
    EXPECT_FALSE(welcome(again));
    EXPECT_TRUE(world.at_the_door.back().waiting.front().shut_out);
    world.tell(by, LetIn{4, table_device, code_of(again), Right::table, MatId{1}});
    world.sync();
    ASSERT_TRUE(welcome(again));
    world.tell(again, Submit{call(2, term)});
    world.sync();
    ASSERT_EQ(world.got<VerdictGiven>(again).size(), 1U);
    EXPECT_EQ(world.got<VerdictGiven>(again).back().verdict, Verdict::set_aside);
}

TEST_F(HubAccess, ShutOutStaysOutAfterACrash) {
    const SessionId by = desk();
    table(by);
    world.tell(by, ShutOut{3, table_device, "sold"});
    world.sync();
    world.crash();
    EXPECT_FALSE(welcome(table_at_the_door()));
}

TEST_F(HubAccess, LetInForAnotherMatItLosesTheOneItHad) {
    const SessionId by = desk();
    const SessionId inside = table(by);
    world.tell(inside, take(1));
    world.sync();
    world.tell(by, LetIn{5, table_device, "", Right::table, MatId{2}});
    world.sync();
    ASSERT_EQ(world.got<MatLost>(inside).size(), 1U);
    EXPECT_EQ(world.got<MatLost>(inside).front().mat, MatId{1});
    EXPECT_TRUE(world.got<Goodbye>(inside).back().come_back);
    world.hub->left(inside);
    const SessionId again = table_at_the_door();
    EXPECT_EQ(world.got<Welcome>(again).back().mat, MatId{2});
    world.tell(again, take(1));
    EXPECT_EQ(last_refusal(again), Cause::not_let_in);
    world.tell(again, take(2));
    world.sync();
    EXPECT_EQ(world.got<Allotment>(again).back().mat, MatId{2});
}

// While that is on its way to the disk, too.
TEST_F(HubAccess, WhoIsBeingMovedTakesAndWritesNothingAtItsOldMat) {
    const SessionId by = desk();
    const SessionId inside = table(by);
    world.tell(inside, take(1));
    world.sync();
    const Term term = world.got<Allotment>(inside).back().term;
    world.tell(by, LetIn{5, table_device, "", Right::table, MatId{2}});
    world.tell(inside, take(1));
    EXPECT_EQ(last_refusal(inside), Cause::not_let_in);
    world.tell(inside, Submit{call(1, term)});
    world.sync();
    EXPECT_EQ(world.got<VerdictGiven>(inside).back().verdict, Verdict::set_aside);
}

// A set-up sees the names of devices at the door; with one of them and a secret of its own it would
// come in as what the desk lets in under that name.
TEST_F(HubAccess, UnderOneNameOneSecretComesIn) {
    const SessionId by = desk();
    const SessionId honest = world.come(hello(Role::desk, DeviceId{4}, "honest" + desk_secret));
    const SessionId liar = world.come(hello(Role::table, DeviceId{4}, "liar" + desk_secret, run));
    world.tell(by, LetIn{2, DeviceId{4}, code_of(honest), Right::desk, {}});
    world.tell(by, LetIn{3, DeviceId{4}, code_of(liar), Right::table, MatId{1}});
    EXPECT_EQ(last_refusal(by), Cause::changed);
    world.sync();
    EXPECT_TRUE(welcome(honest));
    EXPECT_FALSE(welcome(liar));
    EXPECT_EQ(goodbye(liar), Cause::not_let_in);
}

TEST_F(HubAccess, TwoPagesOfOneDeviceAreLetInEachForItself) {
    const SessionId by = desk();
    const SessionId first = table_at_the_door();
    const SessionId second = world.come(hello(Role::set_up, table_device, table_secret));
    EXPECT_EQ(code_of(first), code_of(second));
    world.tell(by, LetIn{2, table_device, code_of(second), Right::set_up, {}});
    world.tell(by, LetIn{3, table_device, code_of(first), Right::table, MatId{1}});
    world.sync();
    EXPECT_TRUE(welcome(first));
    EXPECT_TRUE(welcome(second));
}

// How a run's clock stands moves what the hall sees.
TEST_F(HubAccess, WhoOnlyLooksMeasuresNoClock) {
    const SessionId looker = world.come(Role::hall, table_device, run);
    world.tell(looker, ClockMeasured{RunClock{run, Instant{0}, Instant{3'000'000}}, 5U});
    EXPECT_EQ(last_refusal(looker), Cause::not_a_table);
}

TEST_F(HubAccess, NobodyChoosesItsDigits) {
    const std::string plain = code_of(table_at_the_door());
    Hash salt{};
    salt.front() = 1;
    world.hub->salt_door(salt);
    const SessionId again = world.come(hello(Role::table, DeviceId{8}, table_secret, run));
    EXPECT_NE(code_of(again), plain) << "the same secret, at another hub";
}

TEST_F(HubAccess, ADisplaysRightEndsToo) {
    world.hub->rights_last(Duration{60'000});
    const SessionId by = desk();
    const SessionId board = world.come(hello(Role::board, DeviceId{6}, "b" + table_secret));
    world.tell(by, LetIn{2, DeviceId{6}, code_of(board), Right::display, {}});
    world.sync();
    ASSERT_TRUE(welcome(board));
    world.clock_ms += 60'000;
    world.tell(board, Heartbeat{});
    EXPECT_EQ(goodbye(board), Cause::not_let_in);
}

TEST_F(HubAccess, WhoUsesItsRightKeepsIt) {
    world.hub->rights_last(Duration{60'000});
    const SessionId by = desk();
    table(by);
    world.clock_ms += 40'000;
    EXPECT_TRUE(welcome(table_at_the_door()));
    world.sync();
    world.clock_ms += 40'000;
    EXPECT_TRUE(welcome(table_at_the_door())) << "longer than a right lasts, but it was here";
    world.crash();
    EXPECT_TRUE(welcome(table_at_the_door()));
}

// Every command from everybody who has no right to it; only looking goes through.
TEST_F(HubAccess, NoCommandGetsThroughWithoutItsRight) {
    const SessionId by = desk();
    const SessionId board = world.come(Role::board);
    const SessionId outside = table_at_the_door();
    const SessionId stranger{77'777};
    Call called = call(1, Term{1});
    const std::vector<Command> commands = {
        take(1),
        Submit{called},
        LeaveMat{MatId{1}, true, Term{1}, 1},
        Ask{MatId{1}, AskTo::desk, About::come, ""},
        AnswerAsk{1, Answered::yes, ""},
        OpenBout{1, BoutId{1}},
        DecideSetAside{1, SetAsideDecided::How::dismissed, {}, {called.id}, "x"},
        EnterResult{},
        MoveRecord{},
        GiveBack{1, BoutId{1}, {}},
        UseCode{code},
        LetIn{1, table_device, code_of(outside), Right::table, MatId{1}},
        ShutOut{1, desk_device, "x"}};
    const std::size_t kept = world.disk.size();
    for (const Command& command : commands) {
        for (const SessionId session : {board, stranger, outside}) {
            world.tell(session, command);
            EXPECT_TRUE(world.unsynced.empty()) << command.index();
            EXPECT_FALSE(world.hub->would_record(stranger, command)) << command.index();
        }
    }
    world.sync();
    EXPECT_EQ(world.disk.size(), kept);
    EXPECT_TRUE(world.got<Allotment>(board).empty());
    static_cast<void>(by);
}

TEST_F(HubAccess, ARightEndsAtItsTime) {
    world.hub->rights_last(Duration{60'000});
    const SessionId by = desk();
    const SessionId inside = table(by);
    world.tell(inside, take(1));
    world.sync();
    world.clock_ms += 60'000;
    world.tell(inside, Submit{call(1, Term{1})});
    EXPECT_EQ(goodbye(inside), Cause::not_let_in);
    EXPECT_TRUE(world.got<Goodbye>(inside).back().come_back);
    EXPECT_TRUE(world.unsynced.empty());
    EXPECT_FALSE(welcome(table_at_the_door()));
}

TEST_F(HubAccess, FromTheCrowdsEntranceNobodyDoesMoreThanLook) {
    table(desk());
    for (const Role role : {Role::table, Role::desk, Role::set_up}) {
        Hello from = hello(role, role == Role::desk ? desk_device : table_device,
                           role == Role::desk ? desk_secret : table_secret, run);
        from.entrance = Entrance::crowd;
        const SessionId session = world.come(from);
        EXPECT_FALSE(welcome(session));
        EXPECT_EQ(goodbye(session), Cause::not_let_in);
    }
    Hello board = hello(Role::board, {}, "");
    board.entrance = Entrance::crowd;
    EXPECT_TRUE(welcome(world.come(board)));
}

TEST_F(HubAccess, TheDoorHoldsAHundredAndTheOldestStrangerGoes) {
    const SessionId by = desk();
    const SessionId known = table(by);
    world.tell(by, ShutOut{9, table_device, "to come again"});
    world.sync();
    world.hub->left(known);
    const SessionId back = table_at_the_door();
    SessionId oldest;
    for (unsigned i = 0; i + 1 < at_the_door_max; ++i) {
        const SessionId one = world.come(
            hello(Role::table, DeviceId{100 + i}, table_secret + std::to_string(i), run));
        if (i == 0) oldest = one;
    }
    EXPECT_EQ(world.hub->at_the_door(), at_the_door_max);
    const SessionId late = world.come(hello(Role::desk, DeviceId{5}, "late" + desk_secret));
    EXPECT_EQ(goodbye(oldest), Cause::too_many);
    EXPECT_TRUE(world.got<Goodbye>(oldest).back().come_back);
    EXPECT_EQ(goodbye(late), Cause::none);
    EXPECT_EQ(goodbye(back), Cause::none) << "the hub knows it";
    EXPECT_EQ(world.hub->at_the_door(), at_the_door_max);
    std::set<std::string> codes;
    for (const Door::Waiting& waits : world.at_the_door.back().waiting)
        codes.insert(waits.code);
    EXPECT_EQ(codes.size(), at_the_door_max) << "no two show the same";
}

// Names are cut for the public, and the public is whoever has no right here (docs/personal-data.md).
TEST_F(HubAccess, WhoWasLetInSeesWholeNames) {
    world.hub->show_publicly(PublicNames::initials);
    const SessionId office = desk();
    const SessionId mat = table(office);
    const SessionId phone = world.come(Role::board);
    Hello of_the_crowd;
    of_the_crowd.schema = wire_schema;
    of_the_crowd.role = Role::hall;
    of_the_crowd.entrance = Entrance::crowd;
    const SessionId crowd = world.come(of_the_crowd);
    for (const SessionId session : {office, mat, phone, crowd}) {
        Subscribe wish;
        wish.all_mats = true;
        world.tell(session, wish);
    }
    EXPECT_TRUE(world.wishes.at(office).names);
    EXPECT_TRUE(world.wishes.at(mat).names);
    EXPECT_FALSE(world.wishes.at(phone).names);
    EXPECT_FALSE(world.wishes.at(crowd).names);
    EXPECT_EQ(world.got<Welcome>(phone).back().public_names, PublicNames::initials);
}

TEST_F(HubAccess, WhoIsLetInAsADisplaySeesWholeNames) {
    const SessionId office = desk();
    const SessionId board = world.come(hello(Role::board, table_device, table_secret));
    world.tell(office, LetIn{2, table_device, code_of(board), Right::display, {}});
    world.sync();
    Subscribe wish;
    wish.all_mats = true;
    world.tell(board, wish);
    EXPECT_TRUE(world.wishes.at(board).names);
}

TEST_F(PeopleOpen, WhereNobodyIsAskedOnlyTheCrowdIsThePublic) {
    Hello hello;
    hello.schema = wire_schema;
    hello.role = Role::hall;
    const SessionId here = world.come(hello);
    hello.entrance = Entrance::crowd;
    const SessionId there = world.come(hello);
    world.tell(here, Subscribe{});
    world.tell(there, Subscribe{});
    EXPECT_TRUE(world.wishes.at(here).names);
    EXPECT_FALSE(world.wishes.at(there).names);
}

}  // namespace
}  // namespace honbu

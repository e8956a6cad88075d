// The wire: what a client says comes out as it went in.
//
// If a call lost its way here, a score would change between the table and the record. So every kind
// of call and command is sent through and compared in the encoding the journal keeps.
#include <gtest/gtest.h>

#include "engine/record/canon.h"
#include "honbu/v1/hub.pb.h"
#include "hub/wire/wire.h"
#include "tests/unit/dice.h"
#include "tests/unit/wire_words.h"

namespace honbu {
namespace {

constexpr RunId run{0x00f3a1b2c3d4e5f6};

// ---- commands -----------------------------------------------------------------------------------

TEST(Wire, EveryKindOfCallComesBackAsItWent) {
    for (std::uint32_t seed = 0; seed < 200; ++seed) {
        Dice dice(seed);
        const std::vector<What> whats = dice.whats();
        ASSERT_EQ(whats.size(), std::variant_size_v<What>) << "a kind of call is not tested";
        for (std::size_t kind = 0; kind < whats.size(); ++kind) {
            ASSERT_EQ(whats[kind].index(), kind);
            const Call sent = dice.call(whats[kind]);
            const Call got = read_back<Submit>(Submit{sent}).call;
            ASSERT_EQ(encode(got), encode(sent)) << "seed " << seed << ", kind " << kind;
        }
    }
}

TEST(Wire, NamesTypedAtTheTableComeBesideTheCall) {
    Dice dice(3);
    Submit submit{dice.call(Hajime{})};
    EXPECT_FALSE(read_back<Submit>(submit).typed.has_value());
    submit.typed = Typed{"Tui Marama", "Renske Ō", "-57 kg, round 2?"};
    const Submit got = read_back<Submit>(submit);
    ASSERT_TRUE(got.typed.has_value());
    EXPECT_EQ(got.typed->white, "Tui Marama");
    EXPECT_EQ(got.typed->blue, "Renske Ō");
    EXPECT_EQ(got.typed->note, "-57 kg, round 2?");
    submit.typed = Typed{};  // nothing typed yet, and said so
    EXPECT_TRUE(read_back<Submit>(submit).typed.has_value());
}

TEST(Wire, EveryOtherCommandComesBackAsItWent) {
    // Those of table and desk with each other: wire_desk_test.cpp.
    static_assert(std::variant_size_v<Command> == 21, "test the new command");
    Hello hello;
    hello.schema = wire_schema;
    hello.role = Role::table;
    hello.device = DeviceId{0xfedcba9876543210};
    hello.run = run;
    hello.fold_version = 3;
    hello.hand = "Ngaio Ō";
    hello.page = "table 0.2.0";
    hello.seen_epoch = Epoch{0x9c41d7e20b6f5a18};
    hello.seen_number = RecordNumber{4294967295U};
    hello.seen_hash = 0x00000000000000ff;
    const Hello table = read_back<Hello>(hello);
    EXPECT_EQ(table.schema, hello.schema);
    EXPECT_EQ(table.role, hello.role);
    EXPECT_EQ(table.device, hello.device);
    EXPECT_EQ(table.run, hello.run);
    EXPECT_EQ(table.fold_version, hello.fold_version);
    EXPECT_EQ(table.hand, hello.hand);
    EXPECT_EQ(table.page, hello.page);
    EXPECT_EQ(table.seen_epoch, hello.seen_epoch);
    EXPECT_EQ(table.seen_number, hello.seen_number);
    EXPECT_EQ(table.seen_hash, hello.seen_hash);

    // A desk that writes is recorded by its device and run; one that only reads has none.
    hello.role = Role::desk;
    const Hello desk = read_back<Hello>(hello);
    EXPECT_EQ(desk.role, Role::desk);
    EXPECT_EQ(desk.device, hello.device);
    EXPECT_EQ(desk.run, hello.run);
    EXPECT_EQ(desk.fold_version, hello.fold_version);

    // Screens have no device and no run.
    for (const Role role : {Role::board, Role::hall, Role::desk}) {
        Hello screen;
        screen.schema = wire_schema;
        screen.role = role;
        const Hello back = read_back<Hello>(screen);
        EXPECT_EQ(back.role, role);
        EXPECT_EQ(back.device, DeviceId{});
        EXPECT_EQ(back.run, RunId{});
        EXPECT_EQ(back.seen_epoch, Epoch{});
        EXPECT_EQ(back.seen_hash, 0U);
    }

    EXPECT_EQ(read_back<ClockAsk>(ClockAsk{4294967295U}).sent, 4294967295U);

    Subscribe asked;
    asked.mats = {MatId{2}, MatId{65535}};
    asked.results = true;
    asked.results_after = RecordNumber{77};
    asked.sheets = {BoutId{12}, BoutId{4294967295U}};
    asked.set_aside = true;
    asked.audit_after = RecordNumber{78};
    const Subscribe wish = read_back<Subscribe>(asked);
    EXPECT_EQ(wish.mats, asked.mats);
    EXPECT_FALSE(wish.all_mats);
    EXPECT_TRUE(wish.results);
    EXPECT_EQ(wish.results_after, RecordNumber{77});
    EXPECT_FALSE(wish.call_list);
    EXPECT_EQ(wish.sheets, asked.sheets);
    EXPECT_FALSE(wish.tables);
    EXPECT_TRUE(wish.set_aside);
    EXPECT_FALSE(wish.audit);
    EXPECT_EQ(wish.audit_after, RecordNumber{78});
    Subscribe rest;
    rest.all_mats = rest.call_list = rest.tables = rest.audit = true;
    const Subscribe others = read_back<Subscribe>(rest);
    EXPECT_TRUE(others.all_mats);
    EXPECT_FALSE(others.results);
    EXPECT_TRUE(others.call_list);
    EXPECT_TRUE(others.tables);
    EXPECT_FALSE(others.set_aside);
    EXPECT_TRUE(others.audit);

    const TakeMat take = read_back<TakeMat>(TakeMat{MatId{3}, true, "Renske"});
    EXPECT_EQ(take.hand, "Renske");
    EXPECT_EQ(take.mat, MatId{3});
    EXPECT_TRUE(take.take_over);

    const LeaveMat leave = read_back<LeaveMat>(LeaveMat{MatId{65535}, true, Term{9}, 7});
    EXPECT_EQ(leave.mat, MatId{65535});
    EXPECT_TRUE(leave.by_force);
    EXPECT_EQ(leave.term, Term{9});
    EXPECT_EQ(leave.request, 7U);
    EXPECT_FALSE(read_back<LeaveMat>(LeaveMat{MatId{1}, false, Term{1}, 0}).by_force);

    // 0 ms there and back is a measurement; nothing said is none.
    for (const std::optional<std::uint32_t> round_trip :
         {std::optional<std::uint32_t>{}, std::optional<std::uint32_t>{0U},
          std::optional<std::uint32_t>{31U}}) {
        const ClockMeasured measured = read_back<ClockMeasured>(
            ClockMeasured{RunClock{run, Instant{12}, Instant{3400}}, round_trip});
        EXPECT_EQ(measured.clock.run, run);
        EXPECT_EQ(measured.clock.on_run, Instant{12});
        EXPECT_EQ(measured.clock.on_hub, Instant{3400});
        EXPECT_EQ(measured.round_trip_ms, round_trip);
    }

    read_back<Heartbeat>(Heartbeat{});
}

// The Protocol Buffers encoding guide (protobuf.dev, "Encoding"): field 1 of value 150 is the bytes
// 08 96 01, and an embedded message is its tag, its length and those bytes. Here the tag is field
// 2's: 2 << 3 | 2 = 12 hex.
TEST(Wire, BytesAreThoseOfTheEncodingGuide) {
    EXPECT_EQ(hex(to_wire(Command{ClockAsk{150}})), "1203089601");
    const auto read = from_wire(std::string_view("\x12\x03\x08\x96\x01", 5));
    ASSERT_TRUE(std::holds_alternative<Command>(read));
    EXPECT_EQ(std::get<ClockAsk>(std::get<Command>(read)).sent, 150U);
}

// "A new field must mean 'as before' when it is absent" (proto/README.md): tomorrow's page may say
// more than today's hub knows.
TEST(Wire, AFieldOfTomorrowIsPassedOver) {
    const std::string with_field_100 = std::string("\x12\x06\x08\x96\x01\xa0\x06\x07", 8);
    const auto read = from_wire(with_field_100);
    ASSERT_TRUE(std::holds_alternative<Command>(read));
    EXPECT_EQ(std::get<ClockAsk>(std::get<Command>(read)).sent, 150U);
}

// A hub that only said "unreadable" to a page of another schema would send the volunteer looking
// for a network fault; it must get far enough to say "other schema".
TEST(Wire, AHelloOfAnotherSchemaReachesTheCore) {
    v1::ToHub message;
    message.mutable_hello()->set_schema(wire_schema + 1);
    message.mutable_hello()->set_device("a name as another schema writes it");
    const auto read = from_wire(message.SerializeAsString());
    ASSERT_TRUE(std::holds_alternative<Command>(read));
    EXPECT_EQ(std::get<Hello>(std::get<Command>(read)).schema, wire_schema + 1);
}

// Pages that were open over night go on with the hub of the morning.
TEST(Wire, AHelloOfTheSchemaBeforeIsReadAlike) {
    Hello hello;
    hello.schema = wire_schema_before;
    hello.role = Role::table;
    hello.device = DeviceId{7};
    hello.run = run;
    hello.fold_version = 2;
    hello.hand = "Ngaio";
    const Hello got = read_back<Hello>(hello);
    EXPECT_EQ(got.schema, wire_schema_before);
    EXPECT_EQ(got.role, Role::table);
    EXPECT_EQ(got.device, hello.device);
    EXPECT_EQ(got.run, run);
    EXPECT_EQ(got.fold_version, 2U);
    EXPECT_EQ(got.hand, "Ngaio");

    v1::ToHub message;
    message.mutable_hello()->set_schema(wire_schema_before);
    message.mutable_hello()->set_role(v1::ROLE_TABLE);
    message.mutable_hello()->set_device("no name");
    expect_fault(message, "hello.device");
}

}  // namespace
}  // namespace honbu

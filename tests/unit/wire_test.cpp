// The wire: what a client says comes out as it went in.
//
// If a call lost its way here, a score would change between the table and the record. So every kind
// of call and command is sent through and compared in the encoding the journal keeps.
#include <gtest/gtest.h>

#include "engine/record/canon.h"
#include "honbu/v1/hub.pb.h"
#include "hub/wire/wire.h"
#include "tests/unit/dice.h"

namespace honbu {
namespace {

constexpr RunId run{0x00f3a1b2c3d4e5f6};

// ---- commands -----------------------------------------------------------------------------------

template<class T> T read_back(const Command& command) {
    auto read = from_wire(to_wire(command));
    if (const auto* fault = std::get_if<WireFault>(&read)) {
        ADD_FAILURE() << fault->words;
        return T{};
    }
    const Command& back = std::get<Command>(read);
    EXPECT_TRUE(std::holds_alternative<T>(back)) << "came back as another kind of command";
    const T* found = std::get_if<T>(&back);
    return found ? *found : T{};
}

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

TEST(Wire, EveryOtherCommandComesBackAsItWent) {
    static_assert(std::variant_size_v<Command> == 7, "test the new command");
    Hello hello;
    hello.schema = wire_schema;
    hello.role = Role::table;
    hello.device = DeviceId{0xfedcba9876543210};
    hello.run = run;
    hello.fold_version = 3;
    hello.hand = "Ngaio Ō";
    const Hello table = read_back<Hello>(hello);
    EXPECT_EQ(table.schema, hello.schema);
    EXPECT_EQ(table.role, hello.role);
    EXPECT_EQ(table.device, hello.device);
    EXPECT_EQ(table.run, hello.run);
    EXPECT_EQ(table.fold_version, hello.fold_version);
    EXPECT_EQ(table.hand, hello.hand);

    // Screens have no device and no run.
    for (const Role role : {Role::board, Role::hall, Role::desk}) {
        Hello screen;
        screen.schema = wire_schema;
        screen.role = role;
        const Hello back = read_back<Hello>(screen);
        EXPECT_EQ(back.role, role);
        EXPECT_EQ(back.device, DeviceId{});
        EXPECT_EQ(back.run, RunId{});
    }

    EXPECT_EQ(read_back<ClockAsk>(ClockAsk{4294967295U}).sent, 4294967295U);

    const Subscribe wish = read_back<Subscribe>(
        Subscribe{{MatId{2}, MatId{65535}}, false, true, RecordNumber{77}});
    EXPECT_EQ(wish.mats, (std::vector<MatId>{MatId{2}, MatId{65535}}));
    EXPECT_FALSE(wish.all_mats);
    EXPECT_TRUE(wish.results);
    EXPECT_EQ(wish.results_after, RecordNumber{77});
    EXPECT_TRUE(read_back<Subscribe>(Subscribe{{}, true, false, {}}).all_mats);

    const TakeMat take = read_back<TakeMat>(TakeMat{MatId{3}, true, "Renske"});
    EXPECT_EQ(take.hand, "Renske");
    EXPECT_EQ(take.mat, MatId{3});
    EXPECT_TRUE(take.take_over);

    const RunClock clock = read_back<RunClock>(RunClock{run, Instant{12}, Instant{3400}});
    EXPECT_EQ(clock.run, run);
    EXPECT_EQ(clock.on_run, Instant{12});
    EXPECT_EQ(clock.on_hub, Instant{3400});

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
    message.mutable_hello()->set_device("a name as schema 2 writes it");
    const auto read = from_wire(message.SerializeAsString());
    ASSERT_TRUE(std::holds_alternative<Command>(read));
    EXPECT_EQ(std::get<Hello>(std::get<Command>(read)).schema, wire_schema + 1);
}

}  // namespace
}  // namespace honbu

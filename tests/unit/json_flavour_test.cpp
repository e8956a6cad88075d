// The JSON flavour: the same messages, whichever way they are written.
//
// If text and bytes differed anywhere, an integrator's table would score what nobody called. So
// every command and reply goes both ways. Outside checks: the JSON mapping of the Protocol Buffers
// language guide (protobuf.dev, "ProtoJSON Format"), protobuf's own reader of JSON as the
// reference, RFC 4648 (base64) and RFC 8259 (JSON).
#include <google/protobuf/util/json_util.h>
#include <gtest/gtest.h>

#include "engine/record/canon.h"
#include "honbu/v1/hub.pb.h"
#include "hub/wire/call_json.h"
#include "hub/wire/flavour.h"
#include "tests/unit/dice.h"

namespace honbu {
namespace {

constexpr const char* run_name = "00f3a1b2c3d4e5f6";
constexpr RunId run{0x00f3a1b2c3d4e5f6};

std::string words_of(const std::variant<Command, WireFault>& read) {
    const auto* fault = std::get_if<WireFault>(&read);
    return fault != nullptr ? fault->words : "";
}

// What the text says, as the bytes of the other flavour say it.
std::string as_bytes(std::string_view text) {
    const auto read = from_json(text);
    EXPECT_EQ(words_of(read), "") << text;
    return words_of(read).empty() ? to_wire(std::get<Command>(read)) : "";
}
void expect_both_ways(const Command& command) {
    EXPECT_EQ(hex(as_bytes(to_json(command))), hex(to_wire(command))) << to_json(command);
}

// The reference: protobuf's own reader, and its own writer of bytes.
std::string reply_as_bytes(const std::string& text) {
    v1::ToClient message;
    EXPECT_TRUE(google::protobuf::util::JsonStringToMessage(text, &message).ok()) << text;
    return message.SerializeAsString();
}

// ---- to the hub ---------------------------------------------------------------------------------

TEST(JsonFlavour, EveryKindOfCallIsTheSameInBoth) {
    for (std::uint32_t seed = 0; seed < 50; ++seed) {
        Dice dice(seed);
        for (const What& what : dice.whats()) {
            const Call sent = dice.call(what);
            expect_both_ways(Submit{sent});
            const auto read = from_json(to_json(Command{Submit{sent}}));
            ASSERT_EQ(words_of(read), "");
            const auto& got = std::get<Submit>(std::get<Command>(read)).call;
            ASSERT_EQ(encode(got), encode(sent)) << "seed " << seed;
        }
    }
}

TEST(JsonFlavour, EveryOtherCommandIsTheSameInBoth) {
    static_assert(std::variant_size_v<Command> == 7, "test the new command");
    Hello table;
    table.schema = wire_schema;
    table.role = Role::table;
    table.device = DeviceId{0xfedcba9876543210};
    table.run = run;
    table.fold_version = 3;
    table.hand = "Ngaio Ō \"at mat 2\"";
    expect_both_ways(table);
    for (const Role role : {Role::board, Role::hall, Role::desk}) {
        Hello screen;
        screen.schema = wire_schema;
        screen.role = role;
        expect_both_ways(screen);
    }
    expect_both_ways(ClockAsk{0});
    expect_both_ways(ClockAsk{4294967295U});
    expect_both_ways(Subscribe{{MatId{2}, MatId{65535}}, false, true, RecordNumber{77}});
    expect_both_ways(Subscribe{{}, true, false, {}});
    std::vector<MatId> most;
    for (std::uint16_t mat = 1; mat <= 64; ++mat)
        most.push_back(MatId{mat});
    expect_both_ways(Subscribe{most, false, false, {}});
    expect_both_ways(TakeMat{MatId{3}, true, "Renske"});
    expect_both_ways(RunClock{run, Instant{12}, Instant{4294967295U}});
    expect_both_ways(Heartbeat{});
}

// Language guide: a parser takes lowerCamelCase and the name as it stands in the schema; 32-bit
// numbers with quotes or without, also in exponent notation; an enum by its name or its number;
// null anywhere for a default value; bytes in the standard or the URL-safe alphabet of base64.
TEST(JsonFlavour, ReadsAllThatTheMappingAllows) {
    Subscribe wish;
    wish.results = true;
    wish.results_after = RecordNumber{100};
    const std::string same = to_wire(Command{wish});
    for (const char* text :
         {R"({"subscribe":{"results":true,"resultsAfter":100}})",
          R"({"subscribe":{"results":true,"results_after":"100"}})",
          R"({"subscribe":{"results":true,"resultsAfter":1e2}})",
          R"({"subscribe":{"results":true,"resultsAfter":100.0,"mats":null,"allMats":null}})",
          R"({"hello":null,"subscribe":{"results":true,"resultsAfter":100,"mats":[]}})",
          " \t\r\n{ \"subscribe\" :\n{\"results\":true, \"resultsAfter\":100 } }\n"}) {
        EXPECT_EQ(hex(as_bytes(text)), hex(same)) << text;
    }
    EXPECT_EQ(as_bytes(R"({"hello":{"schema":1,"role":3}})"),
              as_bytes(R"({"hello":{"schema":1,"role":"ROLE_HALL"}})"));
    // RFC 8259, 7: a letter outside the basic plane is a pair of escapes.
    EXPECT_EQ(as_bytes(R"({"takeMat":{"mat":1,"hand":"\u0041\/\ud83e\udd4b"}})"),
              as_bytes("{\"takeMat\":{\"mat\":1,\"hand\":\"A/\xf0\x9f\xa5\x8b\"}}"));
    const auto confirm = [](const std::string& hash) {
        return R"({"submit":{"call":{"id":{"run":"00f3a1b2c3d4e5f6","number":1},"mat":1,)"
               R"("confirm":{"winner":"WINNER_WHITE","way":"WAY_IPPON","rulesHash":")" +
               hash + R"("}}}})";
    };
    const std::string plus = confirm("++//" + std::string(38, 'A') + "A=");
    const std::string minus = confirm("--__" + std::string(38, 'A') + "A");
    EXPECT_EQ(as_bytes(plus), as_bytes(minus));
}

// As on the binary side (proto/README.md): tomorrow's client may say more than today's hub knows,
// but a message of an unknown kind is none.
TEST(JsonFlavour, AFieldOfTomorrowIsPassedOver) {
    EXPECT_EQ(as_bytes(R"({"clockAsk":{"sent":150,"x":[{"y":[1,"2",null]}]},"later":true})"),
              as_bytes(R"({"clockAsk":{"sent":150}})"));
    const std::string unknown = words_of(from_wire(std::string_view("\xa2\x06\x00", 3)));
    EXPECT_NE(unknown, "");
    for (const char* text : {"{}", R"({"later":{}})", R"({"hello":null})"})
        EXPECT_EQ(words_of(from_json(text)), unknown) << text;
}

// docs/protocol.md, 9: a page of another version must hear so, not that it can't be read.
TEST(JsonFlavour, AHelloOfAnotherSchemaReachesTheCore) {
    for (const char* text : {R"({"hello":{"schema":2,"role":"ROLE_OF_TOMORROW","device":{}}})",
                             R"({"hello":{"schema":"2","device":"as schema 2 writes it"}})"}) {
        const auto read = from_json(text);
        ASSERT_EQ(words_of(read), "") << text;
        EXPECT_EQ(std::get<Hello>(std::get<Command>(read)).schema, 2U);
    }
}

// ---- to the client ------------------------------------------------------------------------------

TEST(JsonFlavour, EveryReplyIsTheSameInBoth) {
    static_assert(std::variant_size_v<Reply> == 8, "test the new reply");
    Dice dice(7);
    Welcome welcome;
    welcome.epoch = Epoch{0x1f};
    welcome.number = RecordNumber{412};
    welcome.title = "Ōtautahi \"open\" </script>";
    welcome.mats = {MatId{1}, MatId{2}};
    welcome.runs = {RunHead{run, CallNumber{7}}};
    BoutGiven bout;
    bout.head.white = Seat{PersonId{3}, "Tui Marama", "Harbour", Slot::From::person, BoutId{}};
    bout.head.blue = Seat{PersonId{}, "", "", Slot::From::loser_of, BoutId{9}};
    for (const What& what : dice.whats())
        bout.calls.push_back(dice.call(what));
    const Allotment allotment{MatId{2},
                              Term{5},
                              {RuleSet{}, dice.rules()},
                              {BoutGiven{}, bout},
                              {RunClock{run, Instant{12}, Instant{3400}}}};
    const CallId call{run, CallNumber{31}};
    for (const Reply& reply :
         std::vector<Reply>{welcome, Welcome{}, ClockAnswer{17, Instant{4294967295U}}, allotment,
                            VerdictGiven{call, Verdict::set_aside, RecordNumber{88}, true},
                            Refusal{Cause::number_gap, "Call 30 is missing.", true, call},
                            Refusal{Cause::mat_held, "Mat 2 is held.", false, {}},
                            MatLost{MatId{2}, Term{6}, "Taken by the laptop at the desk."},
                            Heartbeat{}, Goodbye{Cause::stopping, "The hub stops.", true}}) {
        EXPECT_EQ(hex(reply_as_bytes(to_json(reply))), hex(to_wire(reply))) << to_json(reply);
        EXPECT_EQ(written_as(Flavour::json, reply), to_json(reply));
        EXPECT_EQ(written_as(Flavour::binary, reply), to_wire(reply));
    }
}

TEST(JsonFlavour, ViewsAndResultsAreTheSameInBoth) {
    Dice dice(8);
    MatView view;
    view.mat = MatId{2};
    view.number = RecordNumber{99};
    view.has_bout = true;
    view.bout.levels = {Level::ippon, Level::waza_ari};
    FrameShown frame;
    frame.words = "osaekomi";
    frame.white = dice.board_side();
    frame.hold_on = true;
    view.frames = {frame, FrameShown{}};
    view.next = {BoutHead{}};
    EXPECT_EQ(hex(reply_as_bytes(client_json(to_wire(view)))), hex(to_wire(view)));
    EXPECT_EQ(hex(reply_as_bytes(client_json(to_wire(MatView{})))), hex(to_wire(MatView{})));
    Finished item;
    item.number = RecordNumber{120};
    item.result = dice.result();
    item.words = "white wins";
    EXPECT_EQ(hex(reply_as_bytes(client_json(to_wire(item)))), hex(to_wire(item)));
    // The same JSON as over HTTP, in a ToClient.
    EXPECT_EQ(client_json(to_wire(item)), "{\"finished\":" + to_proto_json(item) + "}");
    EXPECT_EQ(client_json(to_wire(view)), "{\"mat\":" + to_proto_json(view) + "}");
}

// Language guide: lowerCamelCase, enums by name, bytes in base64 with padding; zeros are written
// because docs/protocol.md, 12 says so. RFC 4648, 10: "foobar" is Zm9vYmFy, "fo" is Zm8=.
TEST(JsonFlavour, IsWrittenAsThePageSays) {
    EXPECT_EQ(to_json(Reply{ClockAnswer{150, Instant{0}}}),
              R"({"clockAnswer":{"sent":150,"hubMs":0}})");
    EXPECT_EQ(to_json(Reply{Heartbeat{}}), R"({"heartbeat":{}})");
    EXPECT_EQ(to_json(Reply{VerdictGiven{CallId{run, CallNumber{2}}, Verdict::applied,
                                         RecordNumber{5}, false}}),
              std::string(R"({"verdict":{"call":{"run":")") + run_name +
                  R"(","number":2},"kind":"KIND_APPLIED","record":5,"stateDiffers":false}})");
    EXPECT_EQ(to_json(Reply{Goodbye{Cause::none, "", false}}),
              R"({"goodbye":{"reason":"REASON_NONE","words":"","comeBack":false}})");
    Result result;
    std::string hash;
    for (int i = 0; i < 6; ++i)
        hash += "foobar";
    std::copy_n(hash.begin(), result.rules_hash.size(), result.rules_hash.begin());
    EXPECT_NE(
        to_proto_json(result).find(R"("rulesHash":"Zm9vYmFyZm9vYmFyZm9vYmFyZm9vYmFyZm9vYmFyZm8=")"),
        std::string::npos);
}

}  // namespace
}  // namespace honbu

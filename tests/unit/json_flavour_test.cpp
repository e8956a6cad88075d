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
#include "tests/unit/wire_samples.h"

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
    static_assert(std::variant_size_v<Command> == 21, "test the new command");
    Hello table;
    table.schema = wire_schema;
    table.role = Role::table;
    table.device = DeviceId{0xfedcba9876543210};
    table.run = run;
    table.fold_version = 3;
    table.hand = "Ngaio Ō \"at mat 2\"";
    table.page = "table 0.2.0";
    table.seen_epoch = Epoch{0x1f};
    table.seen_number = RecordNumber{412};
    table.seen_hash = 0x00b0c44298fc1c14;
    table.token = "abc-_0123456789abcdefghij";
    expect_both_ways(table);
    for (const Role role : {Role::board, Role::hall, Role::desk, Role::set_up}) {
        Hello screen;
        screen.schema = wire_schema;
        screen.role = role;
        expect_both_ways(screen);
    }
    expect_both_ways(ClockAsk{0});
    expect_both_ways(ClockAsk{4294967295U});
    Subscribe wish;
    wish.mats = {MatId{2}, MatId{65535}};
    wish.results = true;
    wish.results_after = RecordNumber{77};
    wish.sheets = {BoutId{1}, BoutId{4294967295U}};
    expect_both_ways(wish);
    Subscribe all;
    all.all_mats = all.call_list = all.tables = all.set_aside = all.audit = all.door = true;
    all.audit_after = RecordNumber{78};
    expect_both_ways(all);
    Subscribe most;
    for (std::uint16_t mat = 1; mat <= 64; ++mat)
        most.mats.push_back(MatId{mat});
    expect_both_ways(most);
    expect_both_ways(TakeMat{MatId{3}, true, "Renske"});
    for (const std::optional<std::uint32_t> round_trip :
         {std::optional<std::uint32_t>{}, std::optional<std::uint32_t>{0U}}) {
        const RunClock clock{run, Instant{12}, Instant{4294967295U}};
        expect_both_ways(ClockMeasured{clock, round_trip});
    }
    expect_both_ways(Heartbeat{});
    expect_both_ways(LeaveMat{MatId{3}, true, Term{4}, 6});
    expect_both_ways(Ask{MatId{3}, AskTo::desk, About::other, "the clock \"stands\""});
    expect_both_ways(AnswerAsk{4294967295U, Answered::coming, ""});
    expect_both_ways(OpenBout{7, BoutId{12}});
    expect_both_ways(UseCode{"K7QD-3M2X"});
    expect_both_ways(LetIn{8, DeviceId{7}, "012345", Right::table, MatId{3}});
    expect_both_ways(LetIn{8, DeviceId{7}, "", Right::display, MatId{}});
    {
        Dice calls(11);
        HandIn in{10, DeviceId{7}, "Renske", {calls.call(Hajime{}), calls.call(Mate{})}, true, {}};
        in.calls[0].id = CallId{run, CallNumber{4}};
        in.calls[1].id = CallId{run, CallNumber{5}};
        for (Call& call : in.calls) {
            call.term = Term{2};
            call.bout = BoutId{12};
        }
        expect_both_ways(in);
        in.clock = RunClock{run, Instant{12}, Instant{4294967295U}};
        expect_both_ways(in);
    }
    expect_both_ways(ShutOut{9, DeviceId{7}, "left in the café"});
    expect_both_ways(DecideSetAside{8,
                                    SetAsideDecided::How::taken,
                                    BoutId{12},
                                    {CallId{run, CallNumber{3}}, CallId{run, CallNumber{4}}},
                                    "the cable was out"});
    Dice dice(9);
    Result result = dice.result();
    result.winner = Winner::blue;
    expect_both_ways(EnterResult{9,
                                 ResultEntered{BoutId{12}, ResultEntered::From::paper,
                                               RecordNumber{0}, result, "from paper"},
                                 RecordNumber{0}});
    expect_both_ways(EnterResult{10,
                                 ResultEntered{BoutId{12}, ResultEntered::From::desk,
                                               RecordNumber{88}, Result{}, "another bout"},
                                 RecordNumber{90}});
    expect_both_ways(MoveRecord{11, RecordMoved{BoutId{12}, BoutId{13}, "the wrong pair"},
                                RecordNumber{5}, RecordNumber{0}});
    expect_both_ways(GiveBack{12, BoutId{12}, RecordNumber{5}});
    expect_both_ways(ErasePerson{13, PersonErased{PersonId{17}, {}, "asked for it"}});
    expect_both_ways(ErasePerson{14, PersonErased{{}, BoutId{0x80000001}, "asked for it"}});
    expect_both_ways(FindPeople{15, "Lund"});
    Submit typed{dice.call(Hajime{})};
    typed.typed = Typed{"Tui Marama", "Hana Lund", "-57 kg"};
    expect_both_ways(typed);
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
    for (const char* text : {R"({"hello":{"schema":3,"role":"ROLE_OF_TOMORROW","device":{}}})",
                             R"({"hello":{"schema":"3","device":"as schema 3 writes it"}})"}) {
        const auto read = from_json(text);
        ASSERT_EQ(words_of(read), "") << text;
        EXPECT_EQ(std::get<Hello>(std::get<Command>(read)).schema, 3U);
    }
}

// proto/README.md: a page of the schema before is understood, in this flavour too.
TEST(JsonFlavour, AHelloOfTheSchemaBeforeIsReadAlike) {
    Hello before;
    before.schema = wire_schema_before;
    before.role = Role::table;
    before.device = DeviceId{7};
    before.run = run;
    before.fold_version = 2;
    before.hand = "Ngaio";
    expect_both_ways(before);
    EXPECT_NE(words_of(from_json(R"({"hello":{"schema":1,"role":"ROLE_TABLE","device":"x"}})")),
              "");
}

// ---- to the client ------------------------------------------------------------------------------

TEST(JsonFlavour, EveryReplyIsTheSameInBoth) {
    static_assert(std::variant_size_v<Reply> == 13, "test the new reply");
    Welcome marks = a_welcome();
    marks.title = "Ōtautahi \"open\" </script>";
    const CallId call{run, CallNumber{31}};
    for (const Reply& reply : std::vector<Reply>{
             marks, Welcome{}, ClockAnswer{17, Instant{4294967295U}}, an_allotment(),
             VerdictGiven{call, Verdict::set_aside, RecordNumber{88}, true},
             Refusal{Cause::number_gap, "Call 30 is missing.", true, call, 0},
             AtTheDoor{"012345", true}, AtTheDoor{"", false},
             Refusal{Cause::changed, "Look again.", false, {}, 9},
             MatLost{MatId{2}, Term{6}, "Taken by the laptop at the desk.", true}, Heartbeat{},
             Goodbye{Cause::stopping, "The hub stops.", true},
             Asked{7, MatId{2}, true, "Renske", About::come, "please", Instant{9000}},
             AskAnswered{7, Answered::gone, "Ngaio", "", 3},
             Done{8, RecordNumber{130}, "3 calls count."},
             PeopleFound{9, {{PersonId{17}, {}, "Athlete 17", "", true, {BoutId{3}}}}, 4}}) {
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

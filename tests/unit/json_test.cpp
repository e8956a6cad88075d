// JSON for the pages, read by somebody else's parser.
//
// The page's protobuf library reads what the engine wrote by hand. A name spelt differently, a lost
// zero or a bad escape would be a field silently missing on a board. The outside reference is
// protobuf's own proto3 JSON parser: what it makes of our text must be, byte for byte, what
// hub/wire encodes of the same value.
#include <google/protobuf/util/json_util.h>
#include <gtest/gtest.h>

#include "engine/view/json.h"
#include "honbu/v1/hub.pb.h"
#include "hub/wire/wire.h"
#include "tests/unit/dice.h"

namespace honbu {
namespace {

template<class Message> Message parsed(const std::string& json) {
    Message message;
    const auto status = google::protobuf::util::JsonStringToMessage(json, &message);
    EXPECT_TRUE(status.ok()) << status.ToString() << "\n" << json;
    return message;
}

v1::Call on_wire(const Call& call) {
    v1::ToHub message;
    EXPECT_TRUE(message.ParseFromString(to_wire(Command{Submit{call}})));
    return message.submit().call();
}
v1::MatView on_wire(const MatView& view) {
    v1::ToClient message;
    EXPECT_TRUE(message.ParseFromString(to_wire(view)));
    return message.mat();
}
v1::BoutHead on_wire(const BoutHead& head) {
    MatView view;
    view.has_bout = true;
    view.bout = head;
    return on_wire(view).bout();
}

template<class Value> void expect_same(const Value& value) {
    const auto reference = on_wire(value);
    using Message = std::remove_cvref_t<decltype(reference)>;
    const std::string json = to_json(value);
    ASSERT_EQ(parsed<Message>(json).SerializeAsString(), reference.SerializeAsString())
        << json << "\n"
        << reference.DebugString();
}

// Everything a name can hold, and what JSON treats specially.
std::string some_text(Dice& dice) {
    constexpr std::array pieces{"a",    "Ō",    "\"",     "\\",   "/",         "\n",   "\r",
                                "\t",   "\b",   "\f",     "\x01", "\x1f",      "\x7f", " ",
                                "日本", "🥋", "\u2028", "{}",   "</script>", "'"};
    std::string text;
    for (std::uint32_t left = dice.from_to(0, 12); left > 0; --left) {
        text += pieces[dice.from_to(0, pieces.size() - 1)];
    }
    return text;
}
Seat a_seat(Dice& dice) {
    return Seat{PersonId{dice.u32()}, some_text(dice), some_text(dice),
                static_cast<Slot::From>(dice.from_to(1, 3)), BoutId{dice.u32()}};
}
BoutHead a_head(Dice& dice) {
    BoutHead head;
    head.bout = BoutId{dice.u32()};
    head.category = some_text(dice);
    head.round = some_text(dice);
    head.white = a_seat(dice);
    head.blue = a_seat(dice);
    head.white_word = some_text(dice);
    head.blue_word = some_text(dice);
    head.white_colour = static_cast<Colour>(dice.from_to(1, 3));
    head.blue_colour = static_cast<Colour>(dice.from_to(1, 3));
    for (std::uint32_t left = dice.from_to(0, 4); left > 0; --left) {
        head.levels.push_back(static_cast<Level>(left));
    }
    return head;
}
FrameShown a_frame(Dice& dice) {
    FrameShown frame;
    frame.from = Instant{dice.u32()};
    frame.why = static_cast<Happening>(dice.from_to(0, 6));
    frame.phase = static_cast<Phase>(dice.from_to(0, 8));
    frame.golden = dice.coin();
    frame.time_up = dice.coin();
    frame.clock_running = dice.coin();
    frame.clock_down = dice.coin();
    frame.clock = Duration{dice.u32()};
    frame.hold_on = dice.coin();
    frame.hold_by = dice.side();
    frame.hold_running = dice.coin();
    frame.hold = Duration{dice.u32()};
    frame.hold_reached = static_cast<std::uint8_t>(dice.from_to(0, 4));
    frame.white = dice.board_side();
    frame.blue = dice.board_side();
    frame.winner = static_cast<Winner>(dice.from_to(0, 4));
    frame.way = static_cast<Way>(dice.from_to(0, 14));
    frame.words = some_text(dice);
    frame.regular = Duration{dice.u32()};
    frame.limit = Duration{dice.u32()};
    frame.decided = dice.coin();
    frame.review = dice.coin();
    frame.signal_waits = dice.coin();
    frame.past_hold = dice.coin();
    frame.past_hold_by = dice.side();
    frame.past_hold_value = Duration{dice.u32()};
    frame.absent = dice.coin() ? dice.sides() : Sides{};
    frame.absent_calls = static_cast<std::uint8_t>(dice.from_to(0, 255));
    frame.absent_running = dice.coin();
    frame.absent_left = Duration{dice.u32()};
    frame.absent_over = dice.coin();
    return frame;
}
MatView a_view(Dice& dice) {
    MatView view;
    view.mat = MatId{static_cast<std::uint16_t>(dice.from_to(0, 65535))};
    view.number = RecordNumber{dice.u32()};
    view.table = static_cast<TableLine>(dice.from_to(0, 2));
    view.has_bout = dice.coin();
    if (view.has_bout) view.bout = a_head(dice);
    for (std::uint32_t left = dice.from_to(0, 3); left > 0; --left) {
        view.frames.push_back(a_frame(dice));
    }
    for (std::uint32_t left = dice.from_to(0, 3); left > 0; --left) {
        view.next.push_back(a_head(dice));
    }
    return view;
}

TEST(Json, EveryKindOfCallIsReadAsOnTheWire) {
    for (std::uint32_t seed = 0; seed < 200; ++seed) {
        Dice dice(seed);
        const std::vector<What> whats = dice.whats();
        ASSERT_EQ(whats.size(), std::variant_size_v<What>);
        for (const What& what : whats)
            expect_same(dice.call(what));
    }
}

TEST(Json, ViewsAndHeadsAreReadAsOnTheWire) {
    for (std::uint32_t seed = 0; seed < 500; ++seed) {
        Dice dice(seed);
        expect_same(a_view(dice));
        expect_same(a_head(dice));
    }
}

// What is left out must be what the parser puts in.
TEST(Json, EmptyValuesAreReadAsOnTheWire) {
    expect_same(MatView{});
    expect_same(BoutHead{});
    MatView view;
    view.frames = {FrameShown{}};
    expect_same(view);
    Dice dice(1);
    Call call;
    call.id.run = RunId{1};
    for (const What& what : {What{Called{}}, What{Confirm{}}, What{Strike{CallId{RunId{1}, {}}}},
                             What{Joint{RunId{1}, {}, {}, Joint::Source::typed}}, What{SetClock{}},
                             What{SetHold{Side::white, {}}}, What{Move{CallId{RunId{1}, {}}, {}}},
                             What{Replace{CallId{RunId{1}, {}}, SetClock{}}}}) {
        call.what = what;
        expect_same(call);
    }
}

// RFC 4648 section 10, the test vectors for base64.
TEST(Json, Base64IsThatOfTheRfc) {
    constexpr std::array<std::array<std::string_view, 2>, 7> vectors{{{"", ""},
                                                                      {"f", "Zg=="},
                                                                      {"fo", "Zm8="},
                                                                      {"foo", "Zm9v"},
                                                                      {"foob", "Zm9vYg=="},
                                                                      {"fooba", "Zm9vYmE="},
                                                                      {"foobar", "Zm9vYmFy"}}};
    for (const auto& [plain, encoded] : vectors) {
        JsonWriter w;
        w.base64(plain);
        EXPECT_EQ(w.take(), '"' + std::string(encoded) + '"');
    }
}

// RFC 8259: commas between values and only there (sections 4 and 5); quotation mark, reverse
// solidus and U+0000 to U+001F must be escaped (section 7).
TEST(Json, TheWriterPutsCommasAndEscapes) {
    JsonWriter w;
    w.begin_object();
    w.begin_array("empty");
    w.end_array();
    w.begin_array("list");
    w.number(0);
    w.number(4294967295U);
    w.begin_object();
    w.end_object();
    w.begin_object();
    w.flag("yes", true);
    w.flag("no", false);
    w.end_object();
    w.raw("[1]");
    w.end_array();
    w.raw("view", "{}");
    w.name("run", 0xf3);
    w.key("k\"ey");
    w.text("a\"b\\c\n\r\t\x01\x1f");
    w.text("nul", std::string_view("\0", 1));
    w.end_object();
    EXPECT_EQ(w.take(), R"({"empty":[],"list":[0,4294967295,{},{"yes":true,"no":false},[1]],)"
                        R"("view":{},"run":"00000000000000f3",)"
                        R"("k\"ey":"a\"b\\c\n\r\t\u0001\u001f","nul":"\u0000"})");
    w.number(7);
    EXPECT_EQ(w.take(), "7") << "a writer begins anew after take()";
}

TEST(Json, NamesAreSixteenHexDigits) {
    EXPECT_EQ(name_text(0), "0000000000000000");
    EXPECT_EQ(name_text(0x0123456789abcdef), "0123456789abcdef");
    EXPECT_EQ(name_text(0xffffffffffffffff), "ffffffffffffffff");
}

}  // namespace
}  // namespace honbu

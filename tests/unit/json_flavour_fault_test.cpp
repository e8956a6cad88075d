// The JSON flavour: what must not get through, and must not hold anybody up.
//
// A text from anywhere is read on the hub's only thread. Whatever it holds, the hub comes back at
// once with one sentence, which repeats nothing of the text: it ends on a screen and in a log.
// Outside checks: RFC 8259 (JSON), the JSON mapping of the Protocol Buffers language guide, and
// protobuf's own reader as the reference for what is taken. No test here measures time; the bounds
// that keep it short are tested instead.
#include <google/protobuf/stubs/logging.h>
#include <google/protobuf/util/json_util.h>
#include <gtest/gtest.h>

#include <random>

#include "engine/record/canon.h"
#include "honbu/v1/hub.pb.h"
#include "hub/wire/flavour.h"

namespace honbu {
namespace {

// Put into texts where it must not come out again.
const std::string stranger = "zyxwv";

std::string fault_words(std::string_view text) {
    const auto read = from_json(text);
    const auto* fault = std::get_if<WireFault>(&read);
    return fault != nullptr ? fault->words : "";
}

// One sentence, and it names the place.
void expect_fault(const std::string& text, std::string_view place) {
    const std::string words = fault_words(text);
    ASSERT_NE(words, "") << "taken: " << text.substr(0, 200);
    EXPECT_NE(words.find(place), std::string::npos) << words << "\n" << text.substr(0, 200);
    EXPECT_EQ(words.back(), '.') << words;
    EXPECT_EQ(words.find('\n'), std::string::npos) << words;
    EXPECT_EQ(words.find(stranger), std::string::npos) << words;
    EXPECT_LT(words.size(), 300U) << words;
}

std::string call(const std::string& what) {
    return R"({"submit":{"call":{"id":{"run":"00f3a1b2c3d4e5f6","number":1},)"
           R"("term":1,"mat":2,"bout":7,)" +
           what + "}}}";
}
std::string ask(const std::string& sent) { return R"({"clockAsk":{"sent":)" + sent + "}}"; }
std::string hand(const std::string& text) {
    return R"({"takeMat":{"mat":1,"hand":")" + text + "\"}}";
}
std::string repeated(std::string_view text, std::size_t times) {
    std::string out;
    for (std::size_t i = 0; i < times; ++i)
        out += text;
    return out;
}

TEST(JsonFlavour, TheGoodOnesOfTheseTestsAreTaken) {
    for (const std::string& text :
         {call(R"("plain":"PLAIN_HAJIME")"),
          call(R"("score":{"to":"SIDE_BLUE","level":"LEVEL_YUKO"})"), ask("1"), hand("Ngaio")}) {
        EXPECT_EQ(fault_words(text), "") << text;
    }
}

// RFC 8259: one value; here an object, section 4. What people get wrong is said in their words.
TEST(JsonFlavour, WhatIsNotJsonIsAFault) {
    const std::vector<std::pair<std::string, std::string>> slips{
        {"", "empty"},
        {" \n\t", "empty"},
        {"hajime " + stranger, "does not begin with {"},
        {"null", "does not begin with {"},
        {"17", "does not begin with {"},
        {"\"" + stranger + "\"", "does not begin with {"},
        {"[" + ask("1") + "]", "is a list"},
        {ask("1") + ask("1"), "behind its last }"},
        {ask("1") + " " + stranger, "behind its last }"},
        {ask("1") + ",", "a comma at its end"},
        {R"({"clockAsk":{"sent":1)", "last } is missing"},
        {R"({"clockAsk":{"sent":1},})", "a comma too many"},
        {R"({"clockAsk":{"sent":1,}})", "a comma too many"},
        {"{'clockAsk':{}}", "double quotes"},
        {"{clockAsk:{}}", "double quotes"},
        {R"({"clockAsk" {}})", "colon"},
        {R"({"clockAsk":{} "heartbeat":{}})", "comma is missing"},
        {"{\"clockAsk\":{\"" + stranger + "\":1,\"" + stranger + "\":1}}", "twice"},
        {R"({"clockAsk":{"sent":1,"sent":1}})", "twice"},
        {R"({"clockAsk":{"sent":1},"clockAsk":{"sent":1}})", "twice"},
        {ask("NaN"), "double quotes"},
        {ask("010"), "number"},
        {ask("0x10"), "double quotes"},
        {ask("1e999"), "bigger"},
        {ask(std::string(60'000, '9')), "bigger"},
        {hand("\\ud800"), "\\u"},
        {hand("\\udc00"), "\\u"},
        {hand("\\ud800\\u0041"), "\\u"},
        {hand("\\u00"), "\\u"},
        {R"({")" + stranger + R"(":"\udfff","heartbeat":{}})", "\\u"},
        {hand(std::string("a\0b", 3)), "control character"},
        {hand("a\\qb"), "before something"},
        {hand(std::string(59'999, '\\')), "not closed"},
        {hand("a\nb"), "control character"},
        {hand("a\x1f"), "control character"},
        {std::string(65'536, '\0'), "does not begin with {"},
        {"\xef\xbb\xbf" + ask("1"), "does not begin with {"},
        {hand("\xff"), "UTF-8"},
        {hand("\xed\xa0\x80"), "UTF-8"},
        {hand("\xc0\x80"), "UTF-8"},
        {R"({"":{},"heartbeat":{}})", ""},
    };
    for (const auto& [text, words] : slips)
        expect_fault(text, words);
}

// Section 9 of RFC 8259: a parser may set limits. Of depth and of number of values.
TEST(JsonFlavour, WhatIsDeepOrEndlessIsAFaultAtOnce) {
    constexpr std::size_t whole_message = 64 * 1024;
    for (const char* deep : {"[", "{", "{\"a\":", "[[],", "{\"a\":[", "[{\"a\":"})
        expect_fault(repeated(deep, whole_message / std::string_view(deep).size()), "");
    expect_fault(R"({"x":)" + repeated("[", 24) + repeated("]", 24) + R"(,"heartbeat":{}})", "24");
    EXPECT_EQ(
        fault_words(R"({"x":)" + repeated("[", 23) + repeated("]", 23) + R"(,"heartbeat":{}})"),
        "");
    expect_fault(R"({"x":)" + repeated("{\"a\":", 24) + "1" + repeated("}", 24) + "}", "24");
    const std::string replace = R"("replace":{"call":{"run":"00f3a1b2c3d4e5f6","number":1},"by":{)";
    expect_fault(call(repeated(replace, 12) + R"("plain":"PLAIN_MATE")" + repeated("}}", 12)),
                 "24");

    expect_fault(R"({"subscribe":{"mats":[1)" + repeated(",1", 32'000) + "]}}", "1000");
    expect_fault(R"({"x":[{})" + repeated(",{}", 20'000) + R"(],"heartbeat":{}})", "1000");
    expect_fault(R"({"":1)" + repeated(",\"\":1", 10'000) + "}", "1000");
    EXPECT_EQ(fault_words(R"({"heartbeat":{},"x":[1)" + repeated(",1", 990) + "]}"), "");
    // What stands in quotes is no value, however it looks.
    EXPECT_EQ(fault_words(R"({"heartbeat":{},"x":")" + repeated("[,{\\\"", 10'000) + "\"}"), "");
    // Blanks and digits without end are read once.
    EXPECT_EQ(fault_words(std::string(60'000, ' ') + ask("1." + std::string(4'000, '0'))), "");
}

TEST(JsonFlavour, EachFieldHoldsWhatTheSchemaSays) {
    for (const char* bad :
         {"-1", "\"-1\"", "4294967296", "\"4294967296\"", "1.5", "-0.5", "1e10", "true", "{}", "[]",
          "[1]", "\"\"", "\" 1\"", "\"+1\"", "\"1e9\"", "\"1.0\"", "\"NaN\"", "\"0x1\""}) {
        expect_fault(ask(bad), "clock_ask.sent");
    }
    EXPECT_EQ(fault_words(ask("\"4294967295\"")), "");
    EXPECT_EQ(fault_words(ask("1e9")), "");
    for (const char* bad : {"1", "0", "\"true\"", "{}", "[]"}) {
        expect_fault(R"({"takeMat":{"mat":1,"takeOver":)" + std::string(bad) + "}}",
                     "take_mat.take_over");
    }
    for (const char* bad : {"1", "true", "{}", "[]"}) {
        expect_fault(R"({"takeMat":{"mat":1,"hand":)" + std::string(bad) + "}}", "take_mat.hand");
    }
    for (const char* bad : {"1", "\"1\"", "true", "[]", "[{}]"}) {
        expect_fault(R"({"clockAsk":)" + std::string(bad) + "}", "clock_ask");
        expect_fault(R"({"submit":{"call":)" + std::string(bad) + "}}", "submit.call");
    }
    for (const char* bad : {"1", "\"1\"", "{}", "[null]", "[[1]]", "[-1]", "[1,true]"}) {
        expect_fault(R"({"subscribe":{"mats":)" + std::string(bad) + "}}", "subscribe.mats");
    }
    for (const char* bad : {"\"!!!!\"", "\"A\"", "\"AAAAA\"", "\"AA A\"", "1", "[]"}) {
        expect_fault(call(R"("confirm":{"rulesHash":)" + std::string(bad) + "}"),
                     "call.confirm.rules_hash");
    }
}

// A word that is passed over would be a zero, and a reason or a side would be lost without a word.
TEST(JsonFlavour, AWordOfAnEnumIsOneOfTheSchema) {
    for (const std::string& bad :
         {"\"" + stranger + "\"", std::string("\"plain_hajime\""), std::string("\"2\""),
          std::string("\"\""), std::string("1.5"), std::string("1e10"), std::string("true"),
          std::string("{}"), std::string("[\"PLAIN_MATE\"]")}) {
        expect_fault(call(R"("plain":)" + bad), "call.plain");
        expect_fault(call(R"("shido":"SIDE_WHITE","reason":)" + bad), "call.reason");
    }
    // Known to nobody, but a number: as on the binary side.
    expect_fault(call(R"("plain":99)"), "call.plain");
    expect_fault(call(R"("plain":-1)"), "call.plain");
    expect_fault(R"({"hello":{"schema":1,"role":99}})", "hello.role");
}

TEST(JsonFlavour, OneMessageSaysOneThing) {
    expect_fault(R"({"clockAsk":{"sent":1},"heartbeat":{}})", "heartbeat");
    expect_fault(call(R"("plain":"PLAIN_MATE","osaekomi":"SIDE_BLUE")"), "call.osaekomi");
    expect_fault(R"({"clockAsk":{"sent":1},"clock_ask":{"sent":1}})", "clock_ask stands twice");
    expect_fault(R"({"takeMat":{"mat":1,"takeOver":true,"take_over":false}})",
                 "take_mat.take_over");
    EXPECT_EQ(fault_words(R"({"clockAsk":{"sent":1},"heartbeat":null})"), "");
}

// The same checks as those of the bytes (wire_fault_test.cpp), in the same words.
TEST(JsonFlavour, ValuesOutOfRangeAreRefusedInTheSameWords) {
    v1::ToHub message;
    message.mutable_take_mat()->set_mat(65'536);
    const auto binary = from_wire(message.SerializeAsString());
    EXPECT_EQ(fault_words(R"({"takeMat":{"mat":65536}})"), std::get<WireFault>(binary).words);
    expect_fault(hand("a\\u0000b"), "take_mat.hand");
    expect_fault(hand(std::string(41, 'm')), "take_mat.hand");
    expect_fault(R"({"hello":{"schema":1,"role":"ROLE_TABLE","device":")" + stranger + "\"}}",
                 "hello.device");
    expect_fault(call(R"("osaekomi":"SIDE_BOTH")"), "call.osaekomi");
    expect_fault(call(R"("plain":"PLAIN_MATE","reason":"PENALTY_REASON_LEG_GRAB")"), "call.reason");
    expect_fault(R"({"submit":{}})", "submit.call");
    expect_fault(R"({"submit":{"call":{"plain":"PLAIN_MATE"}}})", "call.id");
}

// Whatever is taken means to protobuf's own reader what it means here.
void expect_as_the_reference(const std::string& text) {
    const auto read = from_json(text);
    const auto* command = std::get_if<Command>(&read);
    if (command == nullptr) {
        EXPECT_EQ(fault_words(text).find('\n'), std::string::npos);
        return;
    }
    const auto* hello = std::get_if<Hello>(command);
    if (hello != nullptr && hello->schema != wire_schema) return;  // of which only this is read
    v1::ToHub message;
    google::protobuf::util::JsonParseOptions options;
    options.ignore_unknown_fields = true;
    ASSERT_TRUE(google::protobuf::util::JsonStringToMessage(text, &message, options).ok()) << text;
    const auto again = from_wire(message.SerializeAsString());
    ASSERT_TRUE(std::holds_alternative<Command>(again)) << text;
    EXPECT_EQ(hex(to_wire(std::get<Command>(again))), hex(to_wire(*command))) << text;
}

TEST(JsonFlavour, DamageNeverBreaksTheReader) {
    const google::protobuf::LogSilencer quiet;
    const std::string hello = R"({"hello":{"schema":1,"role":"ROLE_TABLE","hand":"N\u0041",)"
                              R"("device":"0123456789abcdef","run":"00f3a1b2c3d4e5f6"}})";
    for (const std::string& whole :
         {hello,
          call(R"("confirm":{"winner":"WINNER_WHITE","way":1,"white":{"ippon":1},"rulesHash":")" +
               std::string(43, 'A') + "=\"}"),
          std::string(R"({"subscribe":{"mats":[1,"2",3e0],"allMats":false,"x":[{"y":null}]}})")}) {
        for (std::size_t bit = 0; bit < whole.size() * 8; ++bit) {
            std::string damaged = whole;
            damaged[bit / 8] = static_cast<char>(damaged[bit / 8] ^ (1 << (bit % 8)));
            expect_as_the_reference(damaged);
        }
        for (std::size_t size = 0; size < whole.size(); ++size)
            expect_as_the_reference(whole.substr(0, size));
    }
}

TEST(JsonFlavour, NoiseNeverBreaksTheReader) {
    const google::protobuf::LogSilencer quiet;
    const std::vector<std::string> pieces{"{",
                                          "}",
                                          "[",
                                          "]",
                                          ":",
                                          ",",
                                          "\"",
                                          "\\",
                                          "\\u",
                                          "\\ud800",
                                          " ",
                                          "\n",
                                          std::string(1, '\0'),
                                          "-1",
                                          "0",
                                          "1e9",
                                          "1e999",
                                          "true",
                                          "null",
                                          "\"hello\"",
                                          "\"clockAsk\":{",
                                          "\"clock_ask\"",
                                          "\"sent\":",
                                          "\"submit\":{\"call\":{",
                                          "\"plain\":",
                                          "\"PLAIN_MATE\"",
                                          "\"takeMat\":{\"mat\":",
                                          "\"\xff\"",
                                          "\"@type\":",
                                          "\"x\":[",
                                          "'",
                                          "\xe2\x80\x9c",
                                          "\"heartbeat\":{}"};
    std::mt19937 noise(1);
    for (int round = 0; round < 20'000; ++round) {
        std::string text = noise() % 4 == 0 ? "" : "{";
        for (std::size_t left = noise() % 12; left > 0; --left)
            text += pieces[noise() % pieces.size()];
        if (noise() % 2 == 0) text += "}}";
        expect_as_the_reference(text);
    }
}

}  // namespace
}  // namespace honbu

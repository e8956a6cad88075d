// docs/protocol.md is what a stranger writes a client from: its examples must be what the hub
// takes.
//
// A page that is not tried drifts away from the schema, and the stranger finds out on the day.
#include <google/protobuf/text_format.h>
#include <google/protobuf/util/json_util.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <fstream>
#include <sstream>

#include "engine/record/canon.h"
#include "honbu/v1/hub.pb.h"
#include "hub/wire/wire.h"

namespace honbu {
namespace {

std::string page() {
    std::ifstream file(HONBU_SCENARIOS "/../../docs/protocol.md");
    std::ostringstream text;
    text << file.rdbuf();
    return text.str();
}

struct Example {
    bool to_hub = false;
    std::string text;
};

// The blocks marked textproto; the first line says which way the message goes.
std::vector<Example> examples(const std::string& text) {
    constexpr std::string_view begin = "```textproto\n";
    std::vector<Example> out;
    for (std::size_t at = text.find(begin); at != std::string::npos; at = text.find(begin, at)) {
        at += begin.size();
        const std::string block = text.substr(at, text.find("```", at) - at);
        const bool to_hub = block.starts_with("# client → hub\n");
        EXPECT_TRUE(to_hub || block.starts_with("# hub → client\n")) << block;
        out.push_back({to_hub, block});
    }
    return out;
}

TEST(ProtocolPage, ItsExamplesAreMessages) {
    int of_the_client = 0;
    int of_the_hub = 0;
    for (const Example& example : examples(page())) {
        if (example.to_hub) {
            ++of_the_client;
            v1::ToHub message;
            ASSERT_TRUE(google::protobuf::TextFormat::ParseFromString(example.text, &message))
                << example.text;
            const auto read = from_wire(message.SerializeAsString());
            const auto* fault = std::get_if<WireFault>(&read);
            EXPECT_EQ(fault, nullptr) << fault->words << "\n" << example.text;
        } else {
            ++of_the_hub;
            v1::ToClient message;
            ASSERT_TRUE(google::protobuf::TextFormat::ParseFromString(example.text, &message))
                << example.text;
            EXPECT_NE(message.kind_case(), v1::ToClient::KIND_NOT_SET);
        }
    }
    EXPECT_GE(of_the_client, 8);
    EXPECT_GE(of_the_hub, 10);
}

// As the hub writes it: names in lowerCamelCase, zeros too, no blanks.
std::string written(const google::protobuf::Message& message, bool zeros) {
    google::protobuf::util::JsonPrintOptions options;
    options.always_print_primitive_fields = zeros;
    std::string out;
    EXPECT_TRUE(google::protobuf::util::MessageToJsonString(message, &out, options).ok());
    return out;
}

std::string without_blanks(const std::string& text) {
    std::string out;
    bool in_quotes = false;
    for (const char c : text) {
        if (c == '"') in_quotes = !in_quotes;
        if (in_quotes || (c != ' ' && c != '\n')) out += c;
    }
    return out;
}

// Each block of JSON is one of the examples of section 11, to the letter but for blanks.
TEST(ProtocolPage, ItsJsonSaysTheSameAsItsText) {
    const std::string text = page();
    std::vector<std::string> worked;
    for (const Example& example : examples(text)) {
        v1::ToHub to_hub;
        v1::ToClient to_client;
        google::protobuf::Message& message = example.to_hub
                                                 ? static_cast<google::protobuf::Message&>(to_hub)
                                                 : to_client;
        ASSERT_TRUE(google::protobuf::TextFormat::ParseFromString(example.text, &message));
        worked.push_back(written(message, !example.to_hub));
    }
    constexpr std::string_view begin = "```json\n";
    int blocks = 0;
    for (std::size_t at = text.find(begin); at != std::string::npos; at = text.find(begin, at)) {
        at += begin.size();
        const std::string block = text.substr(at, text.find("```", at) - at);
        ++blocks;
        EXPECT_NE(std::find(worked.begin(), worked.end(), without_blanks(block)), worked.end())
            << block;
    }
    EXPECT_GE(blocks, 7);
}

TEST(ProtocolPage, ItsBytesAreThoseOfTheHub) {
    const std::string text = page();
    const auto says = [&](const std::string& bytes) {
        std::string spaced;
        for (std::size_t i = 0; i < bytes.size(); ++i) {
            spaced += (i == 0 ? "" : " ") + hex(bytes.substr(i, 1));
        }
        EXPECT_NE(text.find('`' + spaced + '`'), std::string::npos) << spaced;
    };
    Hello hall;
    hall.schema = wire_schema;
    hall.role = Role::hall;
    says(to_wire(Command{hall}));
    says(to_wire(Command{Heartbeat{}}));
    says(to_wire(Reply{Heartbeat{}}));
}

// Each reason a client can be given stands in the table of section 9.
TEST(ProtocolPage, NamesEveryReason) {
    const std::string text = page();
    const auto* reasons = v1::Reason_descriptor();
    for (int i = 0; i < reasons->value_count(); ++i) {
        if (reasons->value(i)->number() == 0) continue;
        const std::string name = reasons->value(i)->name().substr(std::string("REASON_").size());
        EXPECT_NE(text.find("| `" + name + "` |"), std::string::npos) << name;
    }
}

}  // namespace
}  // namespace honbu

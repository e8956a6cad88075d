// The feed in two flavours: the same facts in the same order, each encoded once for each flavour.
//
// Promises 7 and 11 of docs/architecture.md hold for whoever reads JSON too, and hundreds of JSON
// readers must cost one encoding. The JSON of a view is that of docs/http.md, in a ToClient.
#include <google/protobuf/util/json_util.h>
#include <gtest/gtest.h>

#include "honbu/v1/hub.pb.h"
#include "hub/feed/feed.h"
#include "hub/wire/wire.h"

namespace honbu {
namespace {

constexpr SessionId binary{1};
constexpr SessionId reader{2};
constexpr SessionId other_reader{3};
constexpr std::size_t plenty = 1000;

struct NoBell final : Bell {
    void ring(SessionId) override {}
};

MatView view_of(std::uint16_t mat, std::uint32_t number) {
    MatView view;
    view.mat = MatId{mat};
    view.number = RecordNumber{number};
    return view;
}
Finished result_at(std::uint32_t number) {
    Finished item;
    item.number = RecordNumber{number};
    item.mat = MatId{1};
    item.words = "white wins by ippon";
    return item;
}
Subscribe everything() {
    Subscribe wish;
    wish.all_mats = true;
    wish.results = true;
    return wish;
}

// protobuf's own reader of JSON is the reference.
std::string as_bytes(const Shared& text) {
    v1::ToClient message;
    EXPECT_TRUE(google::protobuf::util::JsonStringToMessage(*text, &message).ok()) << *text;
    return message.SerializeAsString();
}

struct FeedFlavours : testing::Test {
    FeedFlavours() {
        for (const SessionId session : {binary, reader, other_reader})
            feed.subscribe(session, everything());
    }
    NoBell bell;
    Feed feed{bell};
};

TEST_F(FeedFlavours, TellTheSameInTheSameOrder) {
    feed.mat(view_of(1, 1));
    feed.mat(view_of(2, 2));
    feed.finished(result_at(3));
    feed.reopened(Reopened{RecordNumber{4}, MatId{1}, BoutId{}, RecordNumber{3}, "as agreed"});
    feed.finished(result_at(5));
    const auto bytes = feed.take(binary, plenty);
    const auto texts = feed.take(reader, plenty, Flavour::json);
    ASSERT_EQ(bytes.size(), 5U);
    ASSERT_EQ(texts.size(), bytes.size());
    for (std::size_t i = 0; i < bytes.size(); ++i)
        EXPECT_EQ(as_bytes(texts[i]), *bytes[i]) << *texts[i];
}

TEST_F(FeedFlavours, EverybodyGetsTheSameTextMadeOnce) {
    feed.mat(view_of(1, 1));
    feed.finished(result_at(2));
    const auto one = feed.take(reader, plenty, Flavour::json);
    const auto other = feed.take(other_reader, plenty, Flavour::json);
    const auto bytes = feed.take(binary, plenty);
    ASSERT_EQ(one.size(), 2U);
    ASSERT_EQ(other.size(), 2U);
    ASSERT_EQ(bytes.size(), 2U);
    for (std::size_t i = 0; i < one.size(); ++i) {
        EXPECT_EQ(one[i].get(), other[i].get()) << "encoded twice";
        EXPECT_NE(one[i].get(), bytes[i].get());
    }
    // Whoever comes later shares it too, and a change is a new text for all.
    feed.subscribe(other_reader, everything());
    EXPECT_EQ(feed.take(other_reader, plenty, Flavour::json)[0].get(), one[0].get());
    feed.mat(view_of(1, 3));
    const auto changed = feed.take(reader, plenty, Flavour::json);
    ASSERT_EQ(changed.size(), 1U);
    EXPECT_NE(changed[0].get(), one[0].get());
    EXPECT_EQ(changed[0].get(), feed.take(other_reader, plenty, Flavour::json)[0].get());
}

// Binary followers alone must not pay for text that nobody reads.
TEST(Encoded, TextIsMadeOnlyForWhoeverTakesIt) {
    Encoded message{shared(to_wire(view_of(1, 1))), nullptr};
    EXPECT_EQ(message.in(Form::binary), message.bytes);
    EXPECT_EQ(message.text, nullptr);
    const Shared text = message.in(Form::json);
    EXPECT_EQ(as_bytes(text), *message.bytes);
    EXPECT_EQ(message.in(Form::json).get(), text.get());
}

TEST_F(FeedFlavours, ASlowReaderOfTextSkipsToTheNewestViewAndMissesNoResult) {
    for (std::uint32_t number = 1; number <= 100; ++number)
        feed.mat(view_of(1, number));
    for (std::uint32_t number = 101; number <= 105; ++number)
        feed.finished(result_at(number));
    std::vector<std::string> got;
    for (;;) {
        const auto some = feed.take(reader, 2, Flavour::json);
        if (some.empty()) break;
        for (const Shared& text : some)
            got.push_back(as_bytes(text));
    }
    std::vector<std::string> expected{to_wire(view_of(1, 100))};
    for (std::uint32_t number = 101; number <= 105; ++number)
        expected.push_back(to_wire(result_at(number)));
    EXPECT_EQ(got, expected);
}

}  // namespace
}  // namespace honbu

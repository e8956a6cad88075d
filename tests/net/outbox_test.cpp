// What waits for one client: framed as RFC 6455 says, bounded, and in order.
#include "hub/net/outbox.h"

#include <gtest/gtest.h>

namespace honbu {
namespace {

Shared message(std::string text) { return std::make_shared<const std::string>(std::move(text)); }

std::string head_of(std::size_t size, Flavour flavour = Flavour::binary) {
    const Piece piece = framed(message(std::string(size, 'x')), flavour);
    return std::string(piece.head.data(), piece.head_size);
}

std::vector<Piece> all_of(Outbox& outbox) {
    std::vector<Piece> pieces;
    outbox.take(pieces, 10'000);
    return pieces;
}

constexpr std::size_t bytes_max = 256 * 1024;  // a table's share (hub/net/shares.h)

// RFC 6455, 5.2 and the examples in 5.7: final binary frame 0x82, unmasked from the server; lengths
// up to 125, then 126 and two bytes, then 127 and eight. 256 bytes and 64 KiB are the examples.
TEST(Frame, HasTheHeadOfTheStandard) {
    EXPECT_EQ(head_of(0), std::string("\x82\x00", 2));
    EXPECT_EQ(head_of(125), std::string("\x82\x7D", 2));
    EXPECT_EQ(head_of(126), std::string("\x82\x7E\x00\x7E", 4));
    EXPECT_EQ(head_of(256), std::string("\x82\x7E\x01\x00", 4));
    EXPECT_EQ(head_of(65'535), std::string("\x82\x7E\xFF\xFF", 4));
    EXPECT_EQ(head_of(65'536), std::string("\x82\x7F\x00\x00\x00\x00\x00\x01\x00\x00", 10));
}

// RFC 6455, 5.6: a text message has opcode 1; lengths are those of any other.
TEST(Frame, OfTheJsonFlavourIsATextMessage) {
    EXPECT_EQ(head_of(125, Flavour::json), std::string("\x81\x7D", 2));
    EXPECT_EQ(head_of(256, Flavour::json), std::string("\x81\x7E\x01\x00", 4));
    Outbox outbox(Flavour::json);
    ASSERT_TRUE(outbox.push(message("verdict"), bytes_max));
    outbox.finish(message("goodbye"), "close", false);
    const auto pieces = all_of(outbox);
    ASSERT_EQ(pieces.size(), 3U);
    EXPECT_EQ(pieces[0].head[0], '\x81');
    EXPECT_EQ(pieces[1].head[0], '\x81');
}

// RFC 6455, 5.5.1: two bytes of code, then UTF-8; 5.5: at most 125 bytes in all.
TEST(Frame, ACloseNamesItsReasonAndStaysSmall) {
    EXPECT_EQ(close_frame(1001, "bye"), std::string("\x88\x05\x03\xE9"
                                                    "bye",
                                                    7));
    const std::string longest = close_frame(1008, std::string(300, 'x'));
    EXPECT_EQ(longest.size(), 127U);
    EXPECT_EQ(longest[1], 125);
    // A letter of two bytes that would be cut in half is left out.
    const std::string cut = close_frame(1008, std::string(122, 'x') + "\xC3\xA9" + "more");
    EXPECT_EQ(cut.size(), 2U + 2U + 122U);
}

// RFC 6455, 7.4.1: 1001 going away, 1007 content that is not what it says, 1009 too big.
TEST(Frame, CloseCodesAreThoseOfTheStandard) {
    EXPECT_EQ(close_code(Cause::stopping), 1001U);
    EXPECT_EQ(close_code(Cause::unreadable), 1007U);
    EXPECT_EQ(close_code(Cause::too_big), 1009U);
    EXPECT_EQ(close_code(Cause::silent), 1008U);
}

TEST(Outbox, GivesBackInOrderAndNoMoreThanAsked) {
    Outbox outbox(Flavour::binary);
    for (const char* text : {"a", "b", "c"})
        ASSERT_TRUE(outbox.push(message(text), bytes_max));
    std::vector<Piece> pieces;
    outbox.take(pieces, 2);
    ASSERT_EQ(pieces.size(), 2U);
    EXPECT_EQ(*pieces[0].body, "a");
    outbox.take(pieces, 3);
    ASSERT_EQ(pieces.size(), 3U);
    EXPECT_EQ(*pieces[2].body, "c");
    EXPECT_TRUE(outbox.empty());
}

// Promise 11 of docs/architecture.md: a client that does not read holds bounded memory.
TEST(Outbox, IsBoundedInBytesAndInNumber) {
    const Shared big = message(std::string(10'000, 'x'));
    Outbox by_bytes(Flavour::binary);
    std::size_t kept = 0;
    while (by_bytes.push(big, bytes_max))
        ASSERT_LT(++kept, 100U);
    EXPECT_GT(kept, 10U);

    const Shared small = message("x");
    Outbox by_number(Flavour::binary);
    kept = 0;
    while (by_number.push(small, bytes_max))
        ASSERT_LT(++kept, 10'000U);
    EXPECT_GT(kept, 1'000U);
    // What was taken makes room again.
    all_of(by_number);
    EXPECT_TRUE(by_number.push(small, bytes_max));
}

// A whole competition in one allotment may be bigger than the bound; alone it still goes out.
TEST(Outbox, OneMessageMayAlwaysWait) {
    Outbox outbox(Flavour::binary);
    EXPECT_TRUE(outbox.push(message(std::string(2'000'000, 'x')), bytes_max));
    EXPECT_FALSE(outbox.push(message("x"), bytes_max));
}

// Somebody who pings without reading must not fill the hub with pongs.
TEST(Outbox, PongsAreBoundedToo) {
    Outbox outbox(Flavour::binary);
    int kept = 0;
    while (outbox.push_raw(std::string(127, 'p')))
        ASSERT_LT(++kept, 1'000);
    EXPECT_GT(kept, 10);
    all_of(outbox);
    EXPECT_TRUE(outbox.push_raw("p"));
}

// RFC 6455, 5.5.1: after its close frame an endpoint sends nothing more.
TEST(Outbox, NothingFollowsTheLastWords) {
    Outbox outbox(Flavour::binary);
    ASSERT_TRUE(outbox.push(message("verdict"), bytes_max));
    outbox.finish(message("goodbye"), "close", false);
    EXPECT_TRUE(outbox.push(message("late"), bytes_max));
    EXPECT_TRUE(outbox.push_raw("pong"));
    outbox.finish(message("again"), "again", false);
    const auto pieces = all_of(outbox);
    ASSERT_EQ(pieces.size(), 3U);
    EXPECT_EQ(*pieces[0].body, "verdict");
    EXPECT_EQ(*pieces[1].body, "goodbye");
    EXPECT_EQ(*pieces[2].body, "close");
    EXPECT_EQ(pieces[2].head_size, 0U);
}

// Whoever was too slow for its messages would be too slow for the goodbye behind them.
TEST(Outbox, LastWordsCanJumpTheQueue) {
    Outbox outbox(Flavour::binary);
    ASSERT_TRUE(outbox.push(message("verdict"), bytes_max));
    outbox.finish(message("goodbye"), "close", true);
    const auto pieces = all_of(outbox);
    ASSERT_EQ(pieces.size(), 2U);
    EXPECT_EQ(*pieces[0].body, "goodbye");
}

}  // namespace
}  // namespace honbu

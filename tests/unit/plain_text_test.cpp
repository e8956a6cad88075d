// What may be in a text that people write.
//
// Bidi controls: UAX #9, 2 (table of explicit directional formatting, U+061C, U+200E, U+200F,
// U+202A to U+202E, U+2066 to U+2069). What else can't be seen: Default_Ignorable_Code_Point in the
// Unicode Character Database. That joiners are needed to write some languages: UAX #31, 2.3.
#include "hub/core/plain_text.h"

#include <gtest/gtest.h>

namespace honbu {
namespace {

std::string utf8(char32_t c) {
    if (c < 0x80) return {static_cast<char>(c)};
    std::string out;
    const int more = c < 0x800 ? 1 : c < 0x10000 ? 2 : 3;
    for (int i = 0; i < more; ++i) {
        out.insert(out.begin(), static_cast<char>(0x80U | (c & 0x3FU)));
        c >>= 6;
    }
    const unsigned lead = more == 1 ? 0xC0U : more == 2 ? 0xE0U : 0xF0U;
    out.insert(out.begin(), static_cast<char>(lead | c));
    return out;
}

TEST(PlainText, CharactersAreTakenOneByOne) {
    std::string_view text = "aé日𠮷";
    EXPECT_EQ(take_character(text), U'a');
    EXPECT_EQ(take_character(text), U'é');
    EXPECT_EQ(take_character(text), U'日');
    EXPECT_EQ(take_character(text), U'𠮷');
    EXPECT_TRUE(text.empty());
    std::string_view broken = "\xFF\xC3(\xE2\x82";
    EXPECT_EQ(take_character(broken), char32_t{0xFFFD});
    EXPECT_EQ(take_character(broken), char32_t{0xFFFD});
    EXPECT_EQ(take_character(broken), U'(');
    while (!broken.empty())
        EXPECT_EQ(take_character(broken), char32_t{0xFFFD});
}

TEST(PlainText, ControlCharactersAreControl) {
    for (const char32_t c :
         {U'\0', U'\t', U'\n', U'\r', char32_t{0x1B}, char32_t{0x7F}, char32_t{0x80},
          char32_t{0x85}, char32_t{0x9F}, char32_t{0x2028}, char32_t{0x2029}}) {
        EXPECT_TRUE(has_control("Aiko" + utf8(c))) << code_point_text(c);
    }
    EXPECT_FALSE(has_control("Aiko Brandt é 日本 \u00A0"));
}

TEST(PlainText, WhatTurnsTheDirectionIsFoundAndTakenOut) {
    std::vector<char32_t> turns{0x061C, 0x200E, 0x200F};
    for (char32_t c = 0x202A; c <= 0x202E; ++c)
        turns.push_back(c);
    for (char32_t c = 0x2066; c <= 0x2069; ++c)
        turns.push_back(c);
    for (const char32_t c : turns) {
        const std::string name = "Ai" + utf8(c) + "ko";
        EXPECT_EQ(hidden_in(name), c) << code_point_text(c);
        EXPECT_EQ(without_hidden(name), "Aiko");
    }
}

TEST(PlainText, WhatCantBeSeenIsFoundToo) {
    for (const char32_t c :
         {char32_t{0xAD}, char32_t{0x34F}, char32_t{0x115F}, char32_t{0x180E}, char32_t{0x200B},
          char32_t{0x2060}, char32_t{0x2064}, char32_t{0x3164}, char32_t{0xFEFF}, char32_t{0xFFF9},
          char32_t{0xE0001}, char32_t{0xE007F}}) {
        EXPECT_EQ(hidden_in("Ada" + utf8(c) + " Norlund"), c) << code_point_text(c);
    }
    EXPECT_EQ(without_hidden("\u200B\u200BAda\u200B"), "Ada");
}

TEST(PlainText, NamesOfTheWorldStayAsTheyAre) {
    for (const std::string name :
         {"Inès Valcourt", "Jean-Luc O'Hara", "Đặng Thị Hương", "Ægir Þórsson", "Нюша Ёлкина",
          "Σοφία Ρήγα", "محمد علي", "דָּוִד כהן", "क्षितिज वर्मा", "山田　太郎", "김민준",
          "葛\U000E0100城", "سیده\u200Cزهرا"}) {
        EXPECT_EQ(hidden_in(name), std::nullopt) << name;
        EXPECT_EQ(without_hidden(name), name);
        EXPECT_FALSE(has_control(name)) << name;
    }
}

TEST(PlainText, AJoinerHasNoBusinessBesideALatinLetter) {
    EXPECT_EQ(hidden_in("A\u200Dda"), char32_t{0x200D});
    EXPECT_EQ(hidden_in("Ada\u200C"), char32_t{0x200C});
    EXPECT_EQ(hidden_in("\u200Cزهرا"), char32_t{0x200C});
    EXPECT_EQ(without_hidden("A\u200D\u200Dda"), "Ada");
}

TEST(PlainText, ACharacterIsNamedByItsNumber) {
    EXPECT_EQ(code_point_text(0xAD), "U+00AD");
    EXPECT_EQ(code_point_text(0x202E), "U+202E");
    EXPECT_EQ(code_point_text(0xE0001), "U+E0001");
}

}  // namespace
}  // namespace honbu

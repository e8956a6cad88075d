// The competition file: every sentence of docs/competition-file.md section 4.
//
// Somebody mends this file at half past seven in the morning. If a slip got through, two athletes
// would be called to the wrong mat; if a sentence did not say where and what, nobody could mend it.
// Outside check: UTF-8 as in RFC 3629; quotes as in RFC 4180 section 2.
#include <gtest/gtest.h>

#include "hub/competition/csv.h"
#include "tests/unit/competition_rows.h"

namespace honbu {
namespace {

using namespace competition_rows;

TEST(CompetitionChecks, Check1Size) {
    std::string text = header + good_row;
    text.resize(std::size_t{1} << 20, '\n');  // exactly 1 MiB
    EXPECT_EQ(faults_of(text), Sentences{});
    EXPECT_EQ(faults_of(text + "\n"),
              Sentences{"the file is larger than 1 MiB; is this the right file?"});
}

TEST(CompetitionChecks, Check2Utf8) {
    // "Jörn" as ISO 8859-1 has it.
    EXPECT_EQ(faults_of(header + good_row + row_with({{"bout", "2"}, {"white", "J\xF6rn"}})),
              Sentences{"line 3: not UTF-8 text; save the file as \"CSV UTF-8\""});
    EXPECT_EQ(faults_of("\xFF\xFE"
                        "b"),  // UTF-16
              Sentences{"line 1: not UTF-8 text; save the file as \"CSV UTF-8\""});
}

TEST(CompetitionChecks, Check2KnowsUtf8AsRfc3629) {
    // RFC 3629 section 7: the examples, which are UTF-8.
    for (const std::string_view text :
         {"A\xE2\x89\xA2\xCE\x91\x2E", "\xED\x95\x9C\xEA\xB5\xAD\xEC\x96\xB4",
          "\xE6\x97\xA5\xE6\x9C\xAC\xE8\xAA\x9E", "\xEF\xBB\xBF\xF0\xA3\x8E\xB4"}) {
        EXPECT_EQ(utf8_length(text), text.size()) << text;
    }
    EXPECT_EQ(character_count("A\xE2\x89\xA2\xCE\x91\x2E"), 4U);
    EXPECT_EQ(character_count("\xE6\x97\xA5\xE6\x9C\xAC\xE8\xAA\x9E"), 3U);
    // Sections 3, 4 and 10: overlong forms, surrogates, beyond U+10FFFF, C0, C1, F5 to FF, halves.
    for (const std::string_view text :
         {"\xC0\x80", "\xC1\xBF", "\xE0\x9F\xBF", "\xF0\x8F\xBF\xBF", "\xED\xA0\x80",
          "\xED\xBF\xBF", "\xF4\x90\x80\x80", "\xF5\x80\x80\x80", "\xFF", "\x80", "\xC3",
          "\xE2\x89", "\xF0\xA3\x8E", "\xC3\x28", "\xE2\x28\xA2"}) {
        EXPECT_EQ(utf8_length("ab" + std::string(text) + "c"), 2U);
    }
    // Section 4: the ends of each range.
    for (const std::string_view text :
         {"\xC2\x80", "\xDF\xBF", "\xE0\xA0\x80", "\xED\x9F\xBF", "\xEE\x80\x80", "\xEF\xBF\xBF",
          "\xF0\x90\x80\x80", "\xF4\x8F\xBF\xBF"}) {
        EXPECT_EQ(utf8_length(text), text.size());
    }
}

TEST(CompetitionChecks, Check3HeaderLine) {
    const Sentences none = {"line 1: there is no header line; write the names of the ten columns "
                            "there: bout, mat, category, rules, time, round, white, white_club, "
                            "blue, blue_club"};
    EXPECT_EQ(faults_of(""), none);
    EXPECT_EQ(faults_of("\xEF\xBB\xBF"), none);
    EXPECT_EQ(faults_of("\n" + header + good_row), none);
    EXPECT_EQ(faults_of("bout,mat;category\n" + good_row),
              Sentences{"line 1: both commas and semicolons between the column names; use one of "
                        "them"});
    EXPECT_EQ(faults_of("bout\tmat\tcategory\n"),
              Sentences{"line 1: neither commas nor semicolons between the column names; save the "
                        "file as CSV"});
    EXPECT_EQ(faults_of("bout,mat,category\r1,1,-57 kg\r"),
              Sentences{"line 1: the lines end with CR alone; save the file so that they end with "
                        "LF or CRLF"});
}

TEST(CompetitionChecks, Check4MissingColumn) {
    EXPECT_EQ(faults_of("bout,mat,category,rules,time,round,white,white_club,blue\n" + good_row),
              Sentences{"line 1: the column blue_club is missing; the ten columns are bout, mat, "
                        "category, rules, time, round, white, white_club, blue, blue_club"});
}

TEST(CompetitionChecks, Check5UnknownColumnOrTwice) {
    const std::string ten = header.substr(0, header.size() - 1);
    EXPECT_EQ(faults_of(ten + ",weight\n"),
              Sentences{"line 1: there is no column 'weight'; take it out"});
    EXPECT_EQ(faults_of(ten + ",Mat\n"), Sentences{"line 1: the column mat stands twice; take one "
                                                   "out"});
    EXPECT_EQ(faults_of(ten + ",\n"), Sentences{"line 1: column 11 has no name; take it out"});
    // Whatever the name is, the sentence stays short and on one line.
    EXPECT_EQ(
        faults_of(ten + "," + std::string(39, 'x') + "\x1B[2J\n"),
        Sentences{"line 1: there is no column '" + std::string(39, 'x') + " ...'; take it out"});
}

TEST(CompetitionChecks, Check6Quotes) {
    const std::string open = "line 2: a quoted cell is not closed; a quote inside a quoted cell is "
                             "written twice";
    EXPECT_EQ(faults_with({{"white", "\"Elin"}}), Sentences{open});
    EXPECT_EQ(faults_with({{"blue_club", "\"Dojo \"\"B\"\""}}), Sentences{open});
    EXPECT_EQ(faults_with({{"white", "\"Elin\" T"}}),
              Sentences{"line 2: text stands behind a closing quote; a quote inside a quoted cell "
                        "is written twice"});
    // RFC 4180 section 2, rule 5: no quotes inside cells that are not quoted.
    EXPECT_EQ(faults_with({{"white_club", "JC \"Drei Linden\""}}),
              Sentences{"line 2: a quote stands in a cell that is not quoted; put the whole cell "
                        "in quotes and write the quote inside twice"});
    // Unlike rule 6 there: one line is one row.
    EXPECT_EQ(faults_with({{"white", "\"Elin\nTestad\""}}).front(), open);
    EXPECT_EQ(faults_of("\"bout,mat\n").front(), "line 1: a quoted cell is not closed; a quote "
                                                 "inside a quoted cell is written twice");
}

TEST(CompetitionChecks, Check7TenCells) {
    const std::string rest = ", but there are 10 columns; is a separator missing, or a name with "
                             "a comma not quoted?";
    EXPECT_EQ(faults_of(header + "1,1,-57 kg,2025,4:00,final,Elin,Dojo A,Ada\n"),
              Sentences{"line 2: 9 cells" + rest});
    EXPECT_EQ(faults_with({{"blue_club", "Judo and Sport, Harborwick"}}),
              Sentences{"line 2: 11 cells" + rest});
    EXPECT_EQ(faults_of(header + "Mat 1\n"), Sentences{"line 2: 1 cell" + rest});
    EXPECT_EQ(
        faults_of("bout;mat;category;rules;time;round;white;white_club;blue;blue_club\n1;1\n"),
        Sentences{"line 2: 2 cells, but there are 10 columns; is a separator missing, or a "
                  "name with a semicolon not quoted?"});
}

TEST(CompetitionChecks, Check8Characters) {
    struct Limit {
        std::string_view column;
        std::size_t characters;
    };
    for (const Limit limit : {Limit{"category", 40}, Limit{"round", 40}, Limit{"white", 60},
                              Limit{"white_club", 60}, Limit{"blue", 60}, Limit{"blue_club", 60}}) {
        const std::string most = repeated("\xC5\x81", limit.characters);  // characters, not bytes
        EXPECT_EQ(faults_with({{limit.column, most}}), Sentences{});
        EXPECT_EQ(faults_with({{limit.column, most + "x"}}),
                  Sentences{"line 2, column " + std::string(limit.column) + ": longer than " +
                            std::to_string(limit.characters) + " characters"});
    }
    const std::string with_nul("Elin\0T", 6);
    for (const std::string& text :
         {std::string("Elin\tT"), std::string("Elin\rT"), with_nul, std::string("Elin\x7FT"),
          std::string("Elin\xC2\x85T"), std::string("Elin\xE2\x80\xA8T")}) {
        EXPECT_EQ(faults_with({{"white", text}}),
                  Sentences{"line 2, column white: holds a tab, a line break or another control "
                            "character; write the cell anew"});
    }
    EXPECT_EQ(faults_with({{"mat", "1\x1B"}}).size(), 1U);  // said once, and not as check 10
}

// UAX #9, table 4 (embeddings, overrides, isolates, marks); and one of those that are nothing at
// all: ZERO WIDTH SPACE. All of them: plain_text_test.cpp.
TEST(CompetitionChecks, Check8NamesWhatCantBeSeen) {
    const std::map<std::string, std::string> hidden = {
        {"U+202A", "\u202A"}, {"U+202E", "\u202E"}, {"U+2066", "\u2066"}, {"U+2069", "\u2069"},
        {"U+200E", "\u200E"}, {"U+061C", "\u061C"}, {"U+200B", "\u200B"}};
    for (const auto& [number, character] : hidden) {
        for (const char* column : {"white", "white_club", "round", "category"}) {
            EXPECT_EQ(faults_with({{column, "El" + character + "in"}}),
                      Sentences{"line 2, column " + std::string(column) +
                                ": holds a character that can't be seen (" + number +
                                ") and can make a text look like another one; write the cell "
                                "anew"});
        }
    }
}

// Their neighbours are no controls: HYPHEN, NARROW NO-BREAK SPACE, SUPERSCRIPT ZERO.
TEST(CompetitionChecks, Check8LeavesTheNeighboursOfControls) {
    for (const std::string text : {"Elin\xE2\x80\x90T", "Elin\xE2\x80\xAFT", "Elin\xE2\x81\xB0T"}) {
        EXPECT_EQ(faults_with({{"white", text}}), Sentences{});
    }
}

TEST(CompetitionChecks, TheTitleIsCheckedLikeACell) {
    EXPECT_EQ(title_problem("Lantern Cup \xC5\x81"), "");
    EXPECT_EQ(title_problem(repeated("\xC5\x81", 60)), "");
    EXPECT_EQ(title_problem(repeated("\xC5\x81", 61)), "it is longer than 60 characters");
    EXPECT_EQ(title_problem(std::string(70'000, 'x')), "it is longer than 60 characters");
    EXPECT_EQ(title_problem("Cup\xFF"), "it is not UTF-8 text");
    EXPECT_EQ(title_problem(" "), "it is only blanks");
    EXPECT_EQ(title_problem("a\nb"), "it holds a tab, a line break or another control character");
    EXPECT_EQ(title_problem("a\u2067b"),
              "it holds a character that can't be seen (U+2067) and can make a text look like "
              "another one");
}

TEST(CompetitionChecks, Check9BoutNumber) {
    EXPECT_EQ(faults_with({{"bout", "9999"}}), Sentences{});
    for (const std::string text : {"A7", "0", "10000", "-1", "+1", "1.0", "1 2", "4294967297"}) {
        EXPECT_EQ(faults_with({{"bout", text}}),
                  Sentences{"line 2, column bout: '" + text + "' is not a number from 1 to 9999"});
    }
    EXPECT_EQ(faults_with({{"bout", ""}}),
              Sentences{"line 2, column bout: empty; write a number from 1 to 9999"});
}

TEST(CompetitionChecks, Check10Mat) {
    EXPECT_EQ(faults_with({{"mat", "20"}}), Sentences{});
    EXPECT_EQ(faults_with({{"mat", "21"}}),
              Sentences{"line 2, column mat: '21' is not a mat from 1 to 20"});
    EXPECT_EQ(faults_with({{"mat", ""}}),
              Sentences{"line 2, column mat: empty; write a mat from 1 to 20"});
}

TEST(CompetitionChecks, Check11CategoryAndRound) {
    EXPECT_EQ(faults_with({{"category", " "}}),
              Sentences{"line 2, column category: empty; write the category, for example: women "
                        "-57 kg"});
    EXPECT_EQ(faults_with({{"round", "\"\""}}),
              Sentences{"line 2, column round: empty; write the round, for example: semi-final"});
}

TEST(CompetitionChecks, Check12RuleSet) {
    for (const std::string text :
         {"2003", "2009", "2013", "2017", "2018", "2025", "youth-decision"}) {
        EXPECT_EQ(faults_with({{"rules", text}}), Sentences{});
    }
    EXPECT_EQ(
        faults_with({{"rules", "2024"}}),
        Sentences{"line 2, column rules: there is no rule set '2024'" + if_your_own + there_are});
    EXPECT_EQ(faults_with({{"rules", ""}}),
              Sentences{"line 2, column rules: empty; write a rule set" + there_are});
}

TEST(CompetitionChecks, Check12InCapitalsToo) {
    EXPECT_EQ(faults_with({{"rules", "Youth-Decision"}, {"time", "4:00"}}), Sentences{});
}

TEST(CompetitionChecks, Check13Time) {
    EXPECT_EQ(faults_with({{"time", "0:30"}}), Sentences{});
    EXPECT_EQ(faults_with({{"time", "10:00"}}), Sentences{});
    for (const std::string text : {"4", "4:60", "4.00", "04:00:00", "4:0"}) {
        EXPECT_EQ(faults_with({{"time", text}}),
                  Sentences{"line 2, column time: '" + text +
                            "' is not a time like 4:00; write minutes:seconds"});
    }
    EXPECT_EQ(faults_with({{"time", "40:00"}}),
              Sentences{"line 2, column time: 40:00 is longer than 10:00; write minutes:seconds"});
    EXPECT_EQ(faults_with({{"time", "0:29"}}),
              Sentences{"line 2, column time: 0:29 is shorter than 0:30; write minutes:seconds"});
    EXPECT_EQ(
        faults_with({{"time", ""}}),
        Sentences{"line 2, column time: empty; write a time like 4:00, in minutes:seconds, or "
                  "an age group: seniors men, seniors women, juniors, cadets and veterans"});
}

TEST(CompetitionChecks, Check13AgeGroup) {
    EXPECT_EQ(faults_with({{"time", "seniors women"}}), Sentences{});
    EXPECT_EQ(faults_with({{"time", "Seniors Women"}}), Sentences{});
    EXPECT_EQ(faults_with({{"time", "women"}}),
              Sentences{"line 2, column time: there is no age group 'women' in 2025; there are "
                        "seniors men, seniors women, juniors, cadets and veterans, or write a time "
                        "like 4:00"});
    // Veterans are in 2025, but not in 2009.
    EXPECT_EQ(faults_with({{"time", "veterans"}, {"rules", "2009"}}),
              Sentences{"line 2, column time: there is no age group 'veterans' in 2009; there are "
                        "seniors men, seniors women, juniors and cadets, or write a time like "
                        "4:00"});
    // Nothing can be said of a group where the rule set is not known.
    EXPECT_EQ(
        faults_with({{"time", "veterans"}, {"rules", "x"}}),
        Sentences{"line 2, column rules: there is no rule set 'x'" + if_your_own + there_are});
}

TEST(CompetitionChecks, Check14Sides) {
    EXPECT_EQ(faults_with({{"blue", ""}}),
              Sentences{"line 2, column blue: empty; write a name, or: winner of 3"});
    struct Example {
        std::string text;
        std::string instead;
    };
    for (const Example& e :
         {Example{"winner of bout 3", ": winner of 3"},
          Example{"winner of 3 or 4", ": winner of 3"}, Example{"LOSER OF #12", ": loser of 12"},
          Example{"winner of12x", ": winner of 12"}, Example{"Winner 12", ": winner of 12"},
          Example{"loserof 7", ": loser of 7"},
          Example{"winner\xC2\xA0of\xC2\xA0"
                  "7",
                  ": winner of 7"},
          Example{"winner of", " a bout's number, like: winner of 3"},
          Example{"loser of the final", " a bout's number, like: loser of 3"},
          Example{"winner of 0", " a bout's number, like: winner of 3"},
          Example{"winner of 10000", " a bout's number, like: winner of 3"}}) {
        EXPECT_EQ(faults_with({{"white", e.text}, {"white_club", ""}}),
                  Sentences{"line 2, column white: '" + e.text + "' is not understood; write" +
                            e.instead});
    }
}

TEST(CompetitionChecks, Check14LeavesNamesAlone) {
    // Winner is a given name and Ofori a family name in West Africa (common knowledge, no source).
    for (const std::string text :
         {"Winner Ofori", "Winner", "Winnerman Ofe", "Loser Of\xC3\xB3lio"}) {
        const Competition competition = read(header + row_with({{"white", text}}));
        ASSERT_EQ(competition.people.size(), 2U) << text;
        EXPECT_EQ(competition.people.front().name, text);
    }
}

TEST(CompetitionChecks, Check15ClubBesideAnotherBout) {
    EXPECT_EQ(faults_with({{"white", "Winner  Of 3"}}),
              Sentences{"line 2, column white_club: must be empty beside 'winner of 3'"});
    EXPECT_EQ(faults_with({{"blue", "loser of 3"}}),
              Sentences{"line 2, column blue_club: must be empty beside 'loser of 3'"});
}

TEST(CompetitionChecks, Check16BothSides) {
    EXPECT_EQ(faults_with({{"white", "Elin Testad"},
                           {"white_club", "Dojo Montebriar"},
                           {"blue", "Elin Testad"},
                           {"blue_club", "Dojo Montebriar"}}),
              Sentences{"line 2: Elin Testad (Dojo Montebriar) stands on both sides"});
    EXPECT_EQ(faults_with({{"blue", "Elin"}, {"white_club", ""}, {"blue_club", ""}}),
              Sentences{"line 2: Elin stands on both sides"});
    EXPECT_EQ(faults_of(header + bout(1, "A", "B") +
                        row_with({{"bout", "2"},
                                  {"white", "winner of 1"},
                                  {"white_club", ""},
                                  {"blue", "WINNER OF 1"},
                                  {"blue_club", ""}})),
              Sentences{"line 3: winner of 1 stands on both sides"});
    EXPECT_EQ(faults_with({{"blue", "Elin"}}), Sentences{});  // namesakes of two clubs
}

TEST(CompetitionChecks, Check17HowManyBouts) {
    const Sentences none = {"the file has no bouts below its header line"};
    EXPECT_EQ(faults_of(header), none);
    EXPECT_EQ(faults_of(header + "\n , ,,\t,,,,,,\n"), none);
    std::string text = header;
    for (int i = 1; i <= 2000; ++i)
        text += bout(i, "A", "B");
    EXPECT_EQ(read(text).loaded.bouts.size(), 2000U);
    text += bout(2001, "A", "B");
    EXPECT_EQ(faults_of(text), Sentences{"the file has 2001 bouts, at most 2000 are possible; is "
                                         "this the right file?"});
    // The right file is asked for before its rows are.
    EXPECT_EQ(faults_of(header + repeated("x\n", 2001)).size(), 1U);
}

TEST(CompetitionChecks, Check18NumberTwice) {
    EXPECT_EQ(faults_of(header + bout(5, "A", "B") + "\n" + bout(6, "A", "C") + bout(5, "B", "C")),
              Sentences{"line 5, column bout: number 5 is already on line 2; each bout has its own "
                        "number"});
}

TEST(CompetitionChecks, Check19OneRuleSet) {
    EXPECT_EQ(faults_of(header + good_row +
                        row_with({{"bout", "2"}, {"category", "women -57 kg"}, {"rules", "2018"}})),
              Sentences{"line 3, column rules: women -57 kg is 2025 on line 2 and 2018 here; one "
                        "category has one rule set"});
}

TEST(CompetitionChecks, Check20OneTime) {
    EXPECT_EQ(faults_of(header + good_row +
                        row_with({{"bout", "2"}, {"category", "women -57 kg"}, {"time", "3:00"}})),
              Sentences{"line 3, column time: women -57 kg is 4:00 on line 2 and 3:00 here; one "
                        "category has one time"});
    // The group says the same here, but not where golden score depends on it.
    const auto both = [](const std::string& rules) {
        return header + row_with({{"rules", rules}}) +
               row_with({{"bout", "2"}, {"rules", rules}, {"time", "juniors"}});
    };
    EXPECT_EQ(faults_of(both("2025")), Sentences{});
    EXPECT_EQ(faults_of(both("2009")),
              Sentences{"line 3, column time: -57 kg is 4:00 on line 2 and juniors here; one "
                        "category has one time"});
}

TEST(CompetitionChecks, Check21BoutOfTheFile) {
    EXPECT_EQ(faults_of(header + bout(1, "A", "B") + bout(2, "winner of 1", "loser of 77")),
              Sentences{"line 3, column blue: there is no bout 77 in this file"});
}

TEST(CompetitionChecks, Check22SameCategory) {
    EXPECT_EQ(faults_of(header + bout(12, "A", "B", "1", "men -73 kg") +
                        bout(13, "winner of 12", "C", "1", "women -57 kg")),
              Sentences{"line 3, column white: bout 12 is men -73 kg, this bout is women -57 kg"});
}

TEST(CompetitionChecks, Check23WaitsForItself) {
    const std::string rest = "; correct a 'winner of' or 'loser of'";
    EXPECT_EQ(faults_of(header + bout(5, "winner of 5", "A")),
              Sentences{"line 2: bout 5 waits for itself (5, 5)" + rest});
    // Moving a row would not mend it, so check 24 keeps quiet.
    EXPECT_EQ(faults_of(header + bout(1, "A", "B") + bout(5, "winner of 7", "A") +
                        bout(7, "winner of 1", "loser of 5")),
              Sentences{"line 3: bout 5 waits for itself (5, 7, 5)" + rest});
    // Over mats, and said once for each loop.
    EXPECT_EQ(faults_of(header + bout(1, "winner of 2", "A", "1") +
                        bout(2, "loser of 3", "A", "2") + bout(3, "winner of 1", "B", "3") +
                        bout(4, "winner of 8", "B", "1") +
                        bout(8, "winner of 4", "winner of 1", "2")),
              (Sentences{"line 2: bout 1 waits for itself (1, 2, 3, 1)" + rest,
                         "line 5: bout 4 waits for itself (4, 8, 4)" + rest}));
}

TEST(CompetitionChecks, Check23CutsALongWayShort) {
    std::string text = header;
    for (int i = 1; i <= 2000; ++i) {
        text += bout(i, "winner of " + std::to_string(i == 2000 ? 1 : i + 1), "A");
    }
    EXPECT_EQ(faults_of(text),
              Sentences{"line 2: bout 1 waits for itself (1, 2, 3, 4, 5, 6, 7, 8, 9, 10, ..., 1); "
                        "correct a 'winner of' or 'loser of'"});
}

TEST(CompetitionChecks, Check24OrderOfOneMat) {
    EXPECT_EQ(faults_of(header + bout(5, "winner of 7", "loser of 7") + bout(7, "A", "B")),
              Sentences{"line 2: bout 5 waits for bout 7, which comes later on the same mat; move "
                        "its row below"});
    EXPECT_EQ(faults_of(header + bout(5, "winner of 7", "C", "1") + bout(7, "A", "B", "2")),
              Sentences{});
}

}  // namespace
}  // namespace honbu

// The competition file: what the reading of a good one gives, and how much is said of a bad one.
//
// If a name or a number came out of it differently than it stands there, the wrong athletes would
// be called. Each single check is in competition_checks_test.cpp.
// Outside check: quotes and line ends as in RFC 4180 section 2.
#include "hub/competition/competition_file.h"

#include <fstream>
#include <iterator>
#include <set>

#include <gtest/gtest.h>

#include "hub/competition/csv.h"
#include "tests/unit/competition_rows.h"
#include "tests/unit/rules_text.h"

namespace honbu {
namespace {

using namespace competition_rows;

TEST(CompetitionFile, AllProblemsAreListedInOrder) {
    EXPECT_EQ(
        faults_of(header + row_with({{"time", "4"}, {"bout", "x"}, {"white", ""}, {"rules", "1"}}) +
                  "1,1\n" + row_with({{"mat", "0"}, {"blue", "Elin"}, {"blue_club", "Dojo A"}})),
        (Sentences{"line 2, column bout: 'x' is not a number from 1 to 9999",
                   "line 2, column rules: there is no rule set '1'" + if_your_own + there_are,
                   "line 2, column time: '4' is not a time like 4:00; write minutes:seconds",
                   "line 2, column white: empty; write a name, or: winner of 3",
                   "line 3: 2 cells, but there are 10 columns; is a separator missing, or a "
                   "name with a comma not quoted?",
                   "line 4, column mat: '0' is not a mat from 1 to 20",
                   "line 4: Elin (Dojo A) stands on both sides"}));
}

TEST(CompetitionFile, TheWholeIsCheckedOnlyIfEveryRowIsGood) {
    const std::string twice = bout(1, "A", "B") + bout(1, "A", "B");
    EXPECT_EQ(faults_of(header + twice).size(), 1U);
    EXPECT_EQ(faults_of(header + twice + row_with({{"mat", "0"}})),
              Sentences{"line 4, column mat: '0' is not a mat from 1 to 20"});
}

TEST(CompetitionFile, TwentyAreListedAndTheRestCounted) {
    const std::string bad = row_with({{"mat", "0"}});
    EXPECT_EQ(faults_of(header + repeated(bad, 20)).size(), 20U);
    const Sentences many = faults_of(header + repeated(bad, 27));
    ASSERT_EQ(many.size(), 21U);
    EXPECT_EQ(many[19], "line 21, column mat: '0' is not a mat from 1 to 20");
    EXPECT_EQ(many[20], "and 7 more");
    // Of the checks over the whole file as well.
    EXPECT_EQ(faults_of(header + repeated(bout(1, "A", "B"), 22)).back(), "and 1 more");
}

TEST(CompetitionFile, ReadsTheExampleOfThePage) {
    const Competition c = read(
        header +
        "1,1,women -57 kg,2025,4:00,semi-final,Elin Testad,Dojo Montebriar,Ada Probowska,JC "
        "Sturmhafen\n"
        "2,1,women -57 kg,2025,4:00,semi-final,Noor Vanproef,Tatami Lipovgrad,Mei "
        "Shikenda,\"Judo and Sport, Harborwick\"\n"
        "3,1,women -57 kg,2025,4:00,bronze,loser of 1,,loser of 2,\n"
        "4,1,women -57 kg,2025,4:00,final,WINNER OF 1,,Winner of 2,\n");
    EXPECT_EQ(c.loaded.title, "Test Cup");
    ASSERT_EQ(c.people.size(), 4U);
    EXPECT_EQ(c.people[0].id, PersonId{1});
    EXPECT_EQ(c.people[0].name, "Elin Testad");
    EXPECT_EQ(c.people[0].club, "Dojo Montebriar");
    EXPECT_EQ(c.people[3].id, PersonId{4});
    EXPECT_EQ(c.people[3].club, "Judo and Sport, Harborwick");
    ASSERT_EQ(c.loaded.rules.size(), 1U);
    EXPECT_EQ(c.loaded.rules[0].name, "2025");
    EXPECT_EQ(c.loaded.rules[0].hold_for(Level::ippon), shipped("2025")->hold_for(Level::ippon));
    ASSERT_EQ(c.loaded.categories.size(), 1U);
    EXPECT_EQ(c.loaded.categories[0].name, "women -57 kg");
    EXPECT_EQ(c.loaded.categories[0].time, seconds(240));
    ASSERT_EQ(c.loaded.bouts.size(), 4U);
    EXPECT_EQ(c.loaded.bouts[1].bout, BoutId{2});
    EXPECT_EQ(c.loaded.bouts[1].mat, MatId{1});
    EXPECT_EQ(c.loaded.bouts[1].round, "semi-final");
    EXPECT_EQ(c.loaded.bouts[1].white.from, Slot::From::person);
    EXPECT_EQ(c.loaded.bouts[1].white.value, 3U);
    EXPECT_EQ(c.loaded.bouts[1].blue.value, 4U);
    EXPECT_EQ(c.loaded.bouts[2].white.from, Slot::From::loser_of);
    EXPECT_EQ(c.loaded.bouts[2].white.value, 1U);
    EXPECT_EQ(c.loaded.bouts[3].blue.from, Slot::From::winner_of);
    EXPECT_EQ(c.loaded.bouts[3].blue.value, 2U);
}

TEST(CompetitionFile, ReadsTheDemo) {
    std::ifstream file(HONBU_SOURCE_DIR "/deploy/demo/competition.csv", std::ios::binary);
    ASSERT_TRUE(file);
    const std::string text(std::istreambuf_iterator<char>(file), {});
    const Competition c = read(text);
    EXPECT_EQ(c.loaded.bouts.size(), 53U);
    EXPECT_EQ(c.loaded.categories.size(), 3U);
    EXPECT_EQ(c.loaded.rules.size(), 1U);
    EXPECT_EQ(c.people.size(), 38U);  // two eliminations of sixteen and a pool of six
    std::set<MatId> mats;
    for (const BoutEntry& entry : c.loaded.bouts)
        mats.insert(entry.mat);
    EXPECT_EQ(mats.size(), 3U);
}

TEST(CompetitionFile, SemicolonsByteOrderMarkAndCrlf) {
    // CRLF: RFC 4180 section 2, rule 1; rule 2: the last line may do without.
    const Competition c = read(
        "\xEF\xBB\xBF"
        "bout;mat;category;rules;time;round;white;white_club;blue;blue_club\r\n"
        "\r\n"
        ";;;;;;;;;\r\n"
        "7; 2 ;-60 kg;2018;3:00;pool A; Ren\xC2\xA0;Judo, Dojo;Piotr;\"A;B\"");
    ASSERT_EQ(c.loaded.bouts.size(), 1U);
    EXPECT_EQ(c.loaded.bouts[0].bout, BoutId{7});
    EXPECT_EQ(c.loaded.bouts[0].mat, MatId{2});
    ASSERT_EQ(c.people.size(), 2U);
    EXPECT_EQ(c.people[0].name, "Ren");
    EXPECT_EQ(c.people[0].club, "Judo, Dojo");
    EXPECT_EQ(c.people[1].club, "A;B");
}

TEST(CompetitionFile, QuotesAsInRfc4180) {
    // RFC 4180 section 2: the examples of rules 1, 5 and 7.
    EXPECT_EQ(cells_of("aaa,bbb,ccc", ',').cells, (Sentences{"aaa", "bbb", "ccc"}));
    EXPECT_EQ(cells_of("\"aaa\",\"bbb\",\"ccc\"", ',').cells, (Sentences{"aaa", "bbb", "ccc"}));
    EXPECT_EQ(cells_of("\"aaa\",\"b\"\"bb\",\"ccc\"", ',').cells,
              (Sentences{"aaa", "b\"bb", "ccc"}));
    // Rule 6: a separator inside quotes. Rule 4: as many cells as there are separators, plus one.
    EXPECT_EQ(cells_of("\"a,b\",,\"\"", ',').cells, (Sentences{"a,b", "", ""}));
    EXPECT_EQ(cells_of("\"\"\"\"", ',').cells, Sentences{"\""});

    const Competition c = read(header + row_with({{"white_club", " \"JC \"\"Drei Linden\"\"\" "}}));
    ASSERT_EQ(c.people.size(), 2U);
    EXPECT_EQ(c.people[0].club, "JC \"Drei Linden\"");
}

TEST(CompetitionFile, ColumnsInAnyOrderAndInCapitals) {
    const Competition c = read(
        "Blue_Club,\"BLUE\",white_club,white,round,time,rules,category,mat,bout\n"
        "Dojo B,Ada,Dojo A,Elin,final,2:30,2009,-57 kg,4,12\n");
    ASSERT_EQ(c.loaded.bouts.size(), 1U);
    EXPECT_EQ(c.loaded.bouts[0].bout, BoutId{12});
    EXPECT_EQ(c.loaded.bouts[0].mat, MatId{4});
    EXPECT_EQ(c.loaded.bouts[0].round, "final");
    EXPECT_EQ(c.loaded.categories.at(0).time, seconds(150));
    ASSERT_EQ(c.people.size(), 2U);
    EXPECT_EQ(c.people[0].name, "Elin");  // white first, whatever column comes first
    EXPECT_EQ(c.people[0].club, "Dojo A");
    EXPECT_EQ(c.people[1].club, "Dojo B");
}

TEST(CompetitionFile, APersonIsNameAndClub) {
    const Competition c = read(header + bout(1, "Elin", "Ada", "1", "-57 kg") +
                               row_with({{"bout", "2"},
                                         {"white", "Elin"},
                                         {"white_club", "Other"},
                                         {"blue", "Ada"},
                                         {"blue_club", ""}}) +
                               bout(3, "Ada", "Elin", "1", "open"));
    ASSERT_EQ(c.people.size(), 4U);  // Elin and Ada of Dojo, Elin of Other, Ada of no club
    const auto& bouts = c.loaded.bouts;
    EXPECT_NE(bouts[0].white.value, bouts[1].white.value);
    EXPECT_NE(bouts[0].blue.value, bouts[1].blue.value);
    EXPECT_EQ(bouts[2].white.value, bouts[0].blue.value);  // one person in two categories
    EXPECT_EQ(bouts[2].blue.value, bouts[0].white.value);
}

TEST(CompetitionFile, CategoriesAndRuleSetsInOrderOfAppearance) {
    const Competition c = read(
        header + row_with({{"bout", "1"}, {"category", "z"}, {"rules", "2018"}, {"time", "3:00"}}) +
        row_with({{"bout", "2"}, {"category", "a"}, {"rules", "2009"}, {"time", "5:00"}}) +
        row_with({{"bout", "3"}, {"category", "m"}, {"rules", "2018"}, {"time", "4:00"}}) +
        row_with({{"bout", "4"}, {"category", "z"}, {"rules", "2018"}, {"time", "3:00"}}));
    ASSERT_EQ(c.loaded.rules.size(), 2U);
    EXPECT_EQ(c.loaded.rules[0].name, "2018");
    EXPECT_EQ(c.loaded.rules[1].name, "2009");
    ASSERT_EQ(c.loaded.categories.size(), 3U);
    EXPECT_EQ(c.loaded.categories[0].name, "z");
    EXPECT_EQ(c.loaded.categories[1].name, "a");
    EXPECT_EQ(c.loaded.categories[1].rules, 1U);
    EXPECT_EQ(c.loaded.categories[1].time, seconds(300));
    EXPECT_EQ(c.loaded.categories[2].rules, 0U);
    EXPECT_EQ(c.loaded.bouts[2].category, 2U);
    EXPECT_EQ(c.loaded.bouts[3].category, 0U);
}

// [S9], docs/rules.md section 11: golden score of 3 minutes for seniors, 2 for juniors (2009);
// [S2][S8]: as long as the contest (2003).
TEST(CompetitionFile, TheAgeGroupGivesTimeAndGoldenScore) {
    const auto category = [](std::string rules, std::string time) {
        return read(header + row_with({{"rules", rules}, {"time", time}})).loaded.categories.at(0);
    };
    EXPECT_EQ(category("2009", "seniors men").time, seconds(300));
    EXPECT_EQ(category("2009", "seniors men").golden, seconds(180));
    EXPECT_EQ(category("2009", "Juniors").time, seconds(240));
    EXPECT_EQ(category("2009", "Juniors").golden, seconds(120));
    EXPECT_EQ(category("2009", "4:00").golden, seconds(180));
    EXPECT_EQ(category("2003", "3:00").golden, seconds(180));
    EXPECT_EQ(category("2003", "seniors men").golden, seconds(300));
    EXPECT_EQ(category("2025", "cadets").golden, Duration{});
}

TEST(CompetitionFile, RuleSetsOfOnesOwn) {
    KnownRules known;
    ASSERT_FALSE(
        known.add(rules_text::with("2009", "name", "our league") + "time.under 12 = 2:30\n"));
    const std::string text = header + row_with({{"rules", "our league"}, {"time", "under 12"}});
    const Competition c = read(text, known);
    ASSERT_EQ(c.loaded.rules.size(), 1U);
    EXPECT_EQ(c.loaded.rules[0], *known.find("our league"));
    EXPECT_EQ(c.loaded.categories.at(0).time, seconds(150));
    EXPECT_EQ(faults_of(text), Sentences{"line 2, column rules: there is no rule set 'our league'" +
                                         if_your_own + there_are});
}

}  // namespace
}  // namespace honbu

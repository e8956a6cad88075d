// The rule set file: that every field is taken, and what is said of a wrong one.
//
// An organiser writes this file at a kitchen table. A line that is read and then forgotten, or two
// lines that contradict each other, would come out in a final. The page that explains the fields
// (docs/rules.md section 12) is checked here, too: a field it does not name can't be found.
#include <gtest/gtest.h>

#include "engine/bout/ruleset_text.h"
#include "hub/competition/known_rules.h"
#include "tests/unit/rules_text.h"

namespace honbu {
namespace {

using namespace rules_text;

TEST(RulesFile, EveryFieldIsTaken) {
    // A rule set, a field of it, and another value that is possible there as well.
    struct Change {
        const char* rules;
        const char* field;
        const char* value;
    };
    const Change changes[] = {
        {"2025", "name", "ours"},
        {"2025", "title", "Ours"},
        {"2003", "hold.koka", "9 s"},
        {"2025", "hold.yuko", "6 s"},
        {"2025", "hold.waza-ari", "11 s"},
        {"2025", "hold.ippon", "25 s"},
        {"2025", "two-waza-ari", "two waza-ari"},
        {"2009", "sogo-gachi", "no"},
        {"2025", "ippon-needed", "2"},
        {"2025", "double-ippon", "both void"},
        {"2025", "shido.hansoku-make", "4"},
        {"2003", "shido.1", "nothing"},
        {"2003", "shido.2", "koka"},
        {"2018", "shido.given", "on the spot"},
        {"2025", "leg-grab", "second hansoku-make"},
        {"2025", "both-hansoku-make", "golden score"},
        {"2025", "direct-hansoku-make", "ends the event"},
        {"2025", "clock", "runs to a pause"},
        {"2025", "end-signal", "waits for the hold"},
        {"2025", "at-time", "scores, then shido"},
        {"youth-decision", "tie", "hiki-wake"},
        {"2025", "decision-by", "one person"},
        {"2025", "golden.limit", "as the contest"},
        {"2009", "golden.limit", "none"},
        {"2009", "golden.limit.juniors", "none"},
        {"2009", "golden.undecided", "hiki-wake"},
        {"2025", "golden.scores", "wipe"},
        {"2025", "golden.shido", "wipe"},
        {"2025", "golden.medical", "wipe"},
        {"2025", "golden.ends-on-shido", "lead"},
        {"2025", "golden.hold", "stops at first score"},
        {"2025", "bleeding.treatments", "1"},
        {"youth-decision", "absent.wait", "60 s"},
        {"2003", "absent.default", "a wait after the third"},
        {"2025", "points.ippon", "100"},
        {"2025", "points.waza-ari", "10"},
        {"2025", "points.yuko", "1"},
        {"2003", "points.koka", "2"},
        {"2025", "points.fewer-shido", "0"},
        {"2025", "points.hantei", "0"},
        {"2025", "side.first", "red"},
        {"2025", "side.first.colour", "red"},
        {"2025", "side.second", "red"},
        {"2025", "side.second.colour", "red"},
        {"2025", "time.cadets", "3:00"},
    };
    for (const Change& change : changes) {
        const std::string text = with(change.rules, change.field, change.value);
        EXPECT_EQ(said_of(text), "") << change.field;
        const auto parsed = parse_rules(text);
        const auto* rules = std::get_if<RuleSet>(&parsed);
        ASSERT_NE(rules, nullptr) << change.field;
        EXPECT_FALSE(*rules == *shipped(change.rules)) << change.field << " changes nothing";
    }
    // Those that need a second line changed with them.
    const std::vector<std::string_view> with_others = {"levels", "shido.3", "absent.procedure"};
    for (const RulesField& field : rules_fields()) {
        const bool tried = std::any_of(
                               std::begin(changes), std::end(changes),
                               [&](const Change& change) { return change.field == field.name; }) ||
                           std::find(with_others.begin(), with_others.end(), field.name) !=
                               with_others.end();
        EXPECT_TRUE(tried) << field.name;
    }
    const auto three = parse_rules(
        line_in_place(with("2018", "absent.procedure", "three calls"), "absent.wait",
                      "absent.wait = 60 s\nabsent.default = a wait after the third"));
    ASSERT_TRUE(std::holds_alternative<RuleSet>(three));
    EXPECT_EQ(std::get<RuleSet>(three).call_for, CallFor::three_calls);
    EXPECT_FALSE(std::get<RuleSet>(three).default_at_third);
    const auto no_third = parse_rules(
        line_in_place(with("2003", "shido.3", "yuko"), "sogo-gachi", "sogo-gachi = no"));
    ASSERT_TRUE(std::holds_alternative<RuleSet>(no_third));
    EXPECT_EQ(std::get<RuleSet>(no_third).shido_equivalent[2], Equivalent::yuko);
}

TEST(RulesFile, OrderCommentsAndLineEndsMeanNothing) {
    std::string text = "\r\n# golden score of the juniors before their "
                       "time\r\ngolden.limit.juniors = 2:00 # two\r\n";
    const std::string rest = without("2009", "golden.limit.juniors");
    for (const char c : rest)
        text += c == '\n' ? "\r\n" : std::string(1, c);
    EXPECT_EQ(said_of(text), "");
    // The same set: its hash covers values, not text.
    EXPECT_EQ(std::get<RuleSet>(parse_rules(text)), *shipped("2009"));
}

TEST(RulesFile, AWrongLineIsRefusedWithLineFieldAndReason) {
    const std::string wrong = with("2025", "hold.waza-ari", "ten");
    const RulesFault fault = fault_of(wrong);
    const auto before = std::string_view(wrong).substr(0, wrong.find("ten"));
    EXPECT_EQ(fault.line, std::count(before.begin(), before.end(), '\n') + 1);
    EXPECT_EQ(fault.field, "hold.waza-ari");
    EXPECT_EQ(fault.reason, "'ten' is not a hold time; write seconds like 20 s, at most 60 s.");
    EXPECT_EQ(words("ours.rules", {7, "tie", "No."}), "ours.rules, line 7, tie: No.");
    EXPECT_EQ(words("ours.rules", {0, "", "No."}), "ours.rules: No.");

    EXPECT_EQ(said_of(with("2025", "tie", "coin")),
              "tie: 'coin' is not known here; write golden score, hantei or hiki-wake.");
    EXPECT_EQ(said_of(text_of("2025") + "ties = 1\n"),
              "ties: This field is not known; docs/rules.md section 12 lists the fields.");
    EXPECT_EQ(said_of(text_of("2025") + "tie = hantei\n"),
              "tie: This field stands twice; keep one.");
    EXPECT_EQ(said_of(text_of("2025") + "time.cadets = 3:00\n"),
              "time.cadets: This field stands twice; keep one.");
    EXPECT_EQ(said_of(text_of("2009") + "golden.limit.juniors = 3:00\n"),
              "golden.limit.juniors: This field stands twice; keep one.");
    EXPECT_EQ(said_of("name 2025\n"),
              "name 2025: There is no = on this line; write field = value.");
    EXPECT_EQ(said_of(with("2025", "ippon-needed", "0")),
              "ippon-needed: '0' is not possible here; write a number from 1 to 5.");
    EXPECT_EQ(said_of(with("2025", "golden.limit", "long")),
              "golden.limit: 'long' is not a time; write minutes:seconds like 4:00, or: none, or: "
              "as the contest.");
    EXPECT_EQ(said_of(with("2025", "time.cadets", "40:00")),
              "time.cadets: 40:00 is not possible; write a time from 0:30 to 10:00.");
    EXPECT_EQ(said_of(text_of("2025") + "time.15 = 3:00\n"),
              "time.15: Begin the name of an age group with a letter, like time.under 15.");
    EXPECT_EQ(said_of("time.under 15 = 3:00\ntime.Under 15 = 2:00\n"),
              "time.Under 15: There is time.under 15 already, and capitals make no difference in a "
              "competition file; keep one.");
    for (const std::string name : {"a,b", "a;b", "a \"x\"", "x/y"}) {
        EXPECT_EQ(said_of("name = " + name + "\n"),
                  "name: Write the name with letters, digits, blanks, - and . only: a competition "
                  "file names it in a cell.");
    }
}

TEST(RulesFile, NoNeededFieldMayBeMissing) {
    for (const RulesField& field : rules_fields()) {
        if (!field.needed) continue;
        EXPECT_EQ(said_of(without("2003", std::string(field.name))),
                  std::string(field.name) + ": This field is missing; add it.");
    }
}

TEST(RulesFile, ContradictionsAreRefusedAtTheirLine) {
    struct Case {
        std::string text;
        const char* field;
        const char* reason;  // its beginning
    };
    const Case cases[] = {
        {with("2025", "hold.waza-ari", "25 s"), "hold.ippon",
         "A higher level needs a longer hold: 20 s is not longer than the 25 s of hold.waza-ari."},
        {with("2025", "hold.yuko", "10 s"), "hold.waza-ari",
         "A higher level needs a longer hold: 10 s is not longer than the 10 s of hold.yuko."},
        {with("2025", "levels", "waza-ari, ippon"), "hold.yuko",
         "A hold gives a level that is not"},
        {with("2025", "levels", "yuko"), "levels", "Ippon is missing from the list; add it."},
        {with("2009", "shido.2", "koka"), "shido.2", "A shido is worth a level that is not in"},
        {with("2003", "shido.2", "nothing"), "shido.2", "A later shido can't be worth less"},
        {with("2003", "shido.hansoku-make", "3"), "shido.3", "This shido is hansoku-make already"},
        {with("2013", "sogo-gachi", "yes"), "sogo-gachi", "Sogo-gachi needs a shido"},
        {with("youth-decision", "double-ippon", "golden score"), "double-ippon",
         "There is no golden score in this rule set"},
        {with("youth-decision", "both-hansoku-make", "golden score"), "both-hansoku-make",
         "There is no golden score in this rule set"},
        {text_of("2018") + "points.yuko = 5\n", "points.yuko", "Points for a level that is not in"},
        {without("2025", "points.yuko"), "points.yuko", "This field is missing; add it, since"},
        {with("2025", "points.yuko", "8"), "points.waza-ari", "A higher level can't give fewer"},
        {without("2003", "absent.default"), "absent.default",
         "This field is missing; add it, since"},
        {text_of("2018") + "absent.default = third call\n", "absent.default",
         "This belongs to three calls"},
        {with("2025", "side.second", "white"), "side.second", "Both sides have the same word"},
        {with("2025", "side.second.colour", "white"), "side.second.colour",
         "Both sides have the same"},
        {text_of("2025") + "golden.limit.under 15 = 1:00\n", "golden.limit.under 15",
         "There is no time.under 15 in this file"},
        {without("youth-running-clock", "time.under 10"), "", "There is no contest time"},
    };
    for (const Case& wrong : cases) {
        const RulesFault fault = fault_of(wrong.text);
        EXPECT_EQ(fault.field, wrong.field) << fault.reason;
        EXPECT_TRUE(fault.reason.starts_with(wrong.reason)) << wrong.field << ": " << fault.reason;
        const bool there = wrong.text.find("\n" + fault.field + " ") != std::string::npos;
        EXPECT_EQ(fault.line > 0, there && !fault.field.empty()) << fault.field;
    }
}

// Section 12 of docs/rules.md: each field in backticks, and in its row every value there is.
TEST(RulesFile, ThePageNamesEveryFieldAndValue) {
    std::string page = file_text(HONBU_SOURCE_DIR "/docs/rules.md");
    const std::size_t at = page.find("\n## 12. Rule set files");
    ASSERT_NE(at, std::string::npos);
    page.erase(0, at);
    std::vector<std::string> names = {"time.GROUP", "golden.limit.GROUP"};
    for (const RulesField& field : rules_fields())
        names.emplace_back(field.name);
    for (const std::string& name : names)
        EXPECT_NE(page.find("`" + name + "`"), std::string::npos) << name;

    constexpr std::string_view write = "is not known here; write ";
    std::size_t values = 0;
    for (const RulesField& field : rules_fields()) {
        RuleSet scratch;
        std::string all = field.take(scratch, "?");
        const std::size_t list = all.find(write);
        if (list == std::string::npos) continue;
        all = all.substr(list + write.size());
        all.pop_back();
        const std::size_t begin = page.find("`" + std::string(field.name) + "`");
        ASSERT_NE(begin, std::string::npos);
        const std::string row = page.substr(begin, page.find('\n', begin) - begin);
        while (!all.empty()) {
            const std::size_t end = std::min({all.find(", "), all.find(" or "), all.size()});
            EXPECT_NE(row.find(all.substr(0, end)), std::string::npos)
                << field.name << " " << all.substr(0, end);
            all.erase(0, end == all.size() ? end : end + (all[end] == ',' ? 2 : 4));
            ++values;
        }
    }
    EXPECT_GT(values, 40U);
}

// The worked example of the page, line by line as it says.
TEST(RulesFile, ThePagesExampleIsGood) {
    const std::string page = file_text(HONBU_SOURCE_DIR "/docs/rules.md");
    const std::size_t begin = page.find("```\nname ") + 4;
    std::string lines = page.substr(begin, page.find("```", begin) - begin);
    std::string text = text_of("2025");
    while (!lines.empty()) {
        const std::string line = lines.substr(0, lines.find('\n'));
        lines.erase(0, line.size() + 1);
        const std::string field = line.substr(0, line.find("  "));
        if (text.find("\n" + field + " ") == std::string::npos) {
            text += line + "\n";
        } else {
            text = line_in_place(text, field, line);
        }
    }
    EXPECT_EQ(said_of(text), "");
    const auto rules = std::get<RuleSet>(parse_rules(text));
    EXPECT_EQ(rules.name, "montebriar");
    EXPECT_EQ(rules.white_colour, Colour::red);
    const AgeGroup* young = rules.group("under 15");
    ASSERT_NE(young, nullptr);
    EXPECT_EQ(rules.golden_limit_for(young->time, young), seconds(60));
    EXPECT_EQ(rules.golden_limit_for(seconds(240), rules.group("cadets")), Duration{});
}

TEST(KnownRules, TakesAnOwnSetBesideTheShipped) {
    KnownRules known;
    EXPECT_EQ(known.all().size(), shipped_rules().size());
    EXPECT_FALSE(known.add("\xEF\xBB\xBF" + with("2025", "name", "ours")));
    ASSERT_NE(known.find("ours"), nullptr);
    EXPECT_EQ(known.all().back().name, "ours");
    EXPECT_TRUE(known.names().ends_with("youth-short-golden-score and ours"));
    EXPECT_EQ(known.find("OURS"), known.find("ours"));  // capitals make no difference
    EXPECT_EQ(group_names(*known.find("2009")), "seniors men, seniors women, juniors and cadets");
}

TEST(KnownRules, RefusesWhatWouldTakeAnothersPlaceOrSpoilScreens) {
    KnownRules known;
    const auto refused = [&known](const std::string& text) {
        const auto fault = known.add(text);
        return fault ? words("ours.rules", *fault) : std::string();
    };
    const std::string same = refused(text_of("2025"));
    EXPECT_TRUE(same.ends_with("name: There is a rule set 2025 already; give yours a name of its "
                               "own."))
        << same;
    EXPECT_TRUE(same.starts_with("ours.rules, line ")) << same;
    EXPECT_EQ(refused("name = ours\ntitle = R\xE9gles\n"),
              "ours.rules, line 2: This is not UTF-8 text; save the file as UTF-8.");
    EXPECT_EQ(
        refused("name = ours\n\ntitle = a\x01\n"),
        "ours.rules, line 3: There is a control character on this line; write the line anew.");
    EXPECT_EQ(refused("name = ours\n"), "ours.rules, title: This field is missing; add it.");
    EXPECT_EQ(known.all().size(), shipped_rules().size());
}

}  // namespace
}  // namespace honbu

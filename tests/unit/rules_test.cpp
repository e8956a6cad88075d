// The rule sets that ship, against published numbers, and what is said of a wrong file.
//
// A wrong number here is a wrong winner in the hall; a field that is read but not taken would be
// noticed by nobody. Outside checks: rule books and federation notices, by their ids in
// docs/rules.md section 11; "mem" marks what is from memory.
#include <filesystem>

#include <gtest/gtest.h>

#include "engine/bout/clock_text.h"
#include "engine/bout/rules_shipped.h"
#include "tests/unit/bouts.h"
#include "tests/unit/rules_text.h"

namespace honbu {
namespace {

using namespace rules_text;

std::vector<std::uint32_t> holds(std::string_view name) {
    std::vector<std::uint32_t> all;
    for (const Duration d : rules_named(name).hold)
        all.push_back(d.ms / 1000);
    return all;
}

std::string levels(std::string_view name) {
    std::string all;
    for (const Level level : {Level::koka, Level::yuko, Level::waza_ari, Level::ippon}) {
        if (rules_named(name).has(level)) all += std::string(word(level)) + " ";
    }
    return all;
}

using Seconds = std::vector<std::uint32_t>;

TEST(ShippedRules, LevelsAsPublished) {
    EXPECT_EQ(levels("2003"), "koka yuko waza-ari ippon ");  // [S1 Art.19][S36]
    EXPECT_EQ(levels("2009"), "yuko waza-ari ippon ");       // koka dropped: [S14g][S82]
    EXPECT_EQ(levels("2013"), "yuko waza-ari ippon ");       // [S12]
    EXPECT_EQ(levels("2017"), "waza-ari ippon ");            // yuko dropped: [S14a][S14b]
    EXPECT_EQ(levels("2018"), "waza-ari ippon ");            // [S15a-d]
    EXPECT_EQ(levels("2025"), "yuko waza-ari ippon ");       // [S18a-f]
}

TEST(ShippedRules, HoldTimesAsPublished) {
    EXPECT_EQ(holds("2003"), (Seconds{10, 15, 20, 25}));          // [S36], ippon also [S5]
    EXPECT_EQ(holds("2009"), (Seconds{0, 15, 20, 25}));           // [S50][S51]
    EXPECT_EQ(holds("2013"), (Seconds{0, 10, 15, 20}));           // [S12][S10 Art.20]
    EXPECT_EQ(holds("2017"), (Seconds{0, 0, 10, 20}));            // [S14a][S14c]
    EXPECT_EQ(holds("2018"), (Seconds{0, 0, 10, 20}));            // [S35][S39a]
    EXPECT_EQ(holds("2025"), (Seconds{0, 5, 10, 20}));            // [S18b][S18e][S20a]
    EXPECT_EQ(holds("youth-decision"), (Seconds{0, 5, 10, 20}));  // [S18g][S20a]
}

TEST(ShippedRules, WhatAddsUpAsPublished) {
    EXPECT_TRUE(rules_named("2003").sogo_gachi);               // [S1 Art.19b]
    EXPECT_TRUE(rules_named("2009").sogo_gachi);               // [S53]
    EXPECT_FALSE(rules_named("2013").sogo_gachi);              // article gone: [S10 Art.19.2]
    EXPECT_TRUE(rules_named("2013").two_waza_ari_are_ippon);   // [S10 Art.19.2a]
    EXPECT_FALSE(rules_named("2017").two_waza_ari_are_ippon);  // [S14a][S14b]
    EXPECT_TRUE(rules_named("2018").two_waza_ari_are_ippon);   // restored: [S15a-d]
    EXPECT_TRUE(rules_named("2025").two_waza_ari_are_ippon);   // mem
}

TEST(ShippedRules, ShidoLadderAsPublished) {
    using Ladder = std::array<Equivalent, shido_max>;
    const Ladder nothing{};
    // [S4 Art.27][S37][S48]
    EXPECT_EQ(rules_named("2003").shido_equivalent,
              (Ladder{Equivalent::koka, Equivalent::yuko, Equivalent::waza_ari}));
    // [S50][S51][S52]
    EXPECT_EQ(rules_named("2009").shido_equivalent,
              (Ladder{Equivalent::none, Equivalent::yuko, Equivalent::waza_ari}));
    // [S10 Art.27][S12]; [S14b]; [S16 id451 Art.18.1]; mem
    for (const char* name : {"2013", "2017", "2018", "2025"}) {
        EXPECT_EQ(rules_named(name).shido_equivalent, nothing) << name;
    }
    EXPECT_EQ(rules_named("2003").shido_out, 4);                            // [S4 Art.27]
    EXPECT_EQ(rules_named("2009").shido_out, 4);                            // [S50]
    EXPECT_EQ(rules_named("2013").shido_out, 4);                            // [S10 Art.27]
    EXPECT_EQ(rules_named("2017").shido_out, 3);                            // [S14a][S14b]
    EXPECT_EQ(rules_named("2018").shido_out, 3);                            // [S16 id451]
    EXPECT_EQ(rules_named("2025").shido_out, 3);                            // [S54][S75]
    EXPECT_EQ(rules_named("2013").shido_given, ShidoGiven::on_the_spot);    // [S10 Art.27]
    EXPECT_EQ(rules_named("2018").shido_given, ShidoGiven::after_mate);     // [S16 id451]
    EXPECT_EQ(rules_named("2013").leg_grab, LegGrab::hansoku_make);         // [S14f]
    EXPECT_EQ(rules_named("2017").leg_grab, LegGrab::second_hansoku_make);  // [S14a]
    EXPECT_EQ(rules_named("2018").leg_grab, LegGrab::shido);                // [S15a]
}

TEST(ShippedRules, TheEndOfRegularTimeAsPublished) {
    EXPECT_EQ(rules_named("2013").at_time, AtTime::scores_then_shido);  // [S10 Art.27]
    // [S14d][S14f]; [S15a][S16 id451]; [S54]; in 2003 and 2009 only through scores [S4][S50]
    for (const char* name : {"2003", "2009", "2017", "2018", "2025"}) {
        EXPECT_EQ(rules_named(name).at_time, AtTime::scores) << name;
        EXPECT_EQ(rules_named(name).tie, Tie::golden_score) << name;  // and [S2], [S9]
    }
    // The signal sounds while a hold goes on and the contest is prolonged: [S6 Art.14][S11 Art.13].
    for (const ShippedRules& entry : shipped_rules()) {
        EXPECT_EQ(rules_named(entry.name).end_signal, EndSignal::sounds) << entry.name;
    }
}

TEST(ShippedRules, GoldenScoreAsPublished) {
    const RuleSet r2003 = rules_named("2003");  // [S2][S8]: as long as the contest; wiped
    EXPECT_EQ(r2003.golden_limit_for(seconds(300), r2003.group("seniors men")), seconds(300));
    EXPECT_EQ(r2003.golden_limit_for(seconds(240), nullptr), seconds(240));
    const RuleSet r2009 = rules_named("2009");  // [S9]: 3 min seniors, 2 min juniors; wiped
    EXPECT_EQ(r2009.golden_limit_for(seconds(300), r2009.group("seniors men")), seconds(180));
    EXPECT_EQ(r2009.golden_limit_for(seconds(240), r2009.group("juniors")), seconds(120));
    EXPECT_EQ(r2009.golden_limit_for(seconds(240), nullptr), seconds(180));
    for (const char* name : {"2003", "2009"}) {
        const RuleSet rules = rules_named(name);
        EXPECT_FALSE(rules.golden_keeps_scores) << name;   // [S3 p21][S8]; [S9]
        EXPECT_FALSE(rules.golden_keeps_shido) << name;    // [S3 p21][S8]; [S9]
        EXPECT_FALSE(rules.golden_keeps_medical) << name;  // [S3 p21]; mem
        EXPECT_EQ(rules.golden_tie, Tie::hantei) << name;  // [S2][S8]; [S9]
    }
    for (const char* name : {"2013", "2017", "2018", "2025"}) {
        const RuleSet rules = rules_named(name);  // [S12], mem, [S55][S41a], mem
        EXPECT_EQ(rules.golden_limit_for(seconds(240), nullptr), Duration{}) << name;
        EXPECT_TRUE(rules.golden_keeps_shido) << name;  // mem, [S14b][S14f], [S54][S38c], [S54]
        EXPECT_TRUE(rules.golden_keeps_scores) << name;
    }
    EXPECT_EQ(rules_named("2013").golden_shido, GoldenShido::first);    // [S10 Art.27]
    EXPECT_EQ(rules_named("2017").golden_shido, GoldenShido::lead);     // [S14d][S14f]
    EXPECT_EQ(rules_named("2018").golden_shido, GoldenShido::nothing);  // [S15a-d][S55]
    EXPECT_EQ(rules_named("2025").golden_shido, GoldenShido::nothing);  // [S54]
}

TEST(ShippedRules, ContestTimesAsPublished) {
    const auto time = [](std::string_view name, std::string_view group) {
        const RuleSet rules = rules_named(name);
        const AgeGroup* found = rules.group(group);
        return found == nullptr ? std::string() : clock_text(found->time);
    };
    EXPECT_EQ(time("2003", "seniors men"), "5:00");    // [S8]
    EXPECT_EQ(time("2003", "juniors"), "4:00");        // [S8]
    EXPECT_EQ(time("2009", "seniors men"), "5:00");    // [S41b][S57]
    EXPECT_EQ(time("2009", "juniors"), "4:00");        // [S41b]
    EXPECT_EQ(time("2013", "seniors men"), "5:00");    // men cut only in 2017: [S14a]
    EXPECT_EQ(time("2013", "seniors women"), "4:00");  // [S14a]
    EXPECT_EQ(time("2017", "seniors men"), "4:00");    // [S14a][S14h]
    EXPECT_EQ(time("2017", "cadets"), "4:00");         // [S14h]
    EXPECT_EQ(time("2018", "seniors men"), "4:00");    // [S15b]
    EXPECT_EQ(time("2018", "seniors women"), "4:00");  // [S15b]
    EXPECT_EQ(time("2018", "juniors"), "4:00");        // [S26b][S23]
    EXPECT_EQ(time("2018", "cadets"), "4:00");         // [S26b][S23][S41a]
    EXPECT_EQ(time("2018", "veterans"), "3:00");       // [S26b]
    EXPECT_EQ(time("2018", "nobody"), "");
    EXPECT_EQ(time("youth-running-clock", "under 10"), "2:00");       // [S26b]
    EXPECT_EQ(time("youth-decision", "under 15"), "3:00");            // [S41a][S23]
    EXPECT_EQ(time("youth-short-golden-score", "under 15"), "3:00");  // [S41a]
}

TEST(ShippedRules, CallingAndBleedingAsPublished) {
    for (const char* name : {"2003", "2009", "2013", "2017"}) {  // [S6 Art.28][S10 Art.28]
        EXPECT_EQ(rules_named(name).call_for, CallFor::three_calls) << name;
        EXPECT_EQ(rules_named(name).call_wait, seconds(60)) << name;
    }
    for (const char* name : {"2018", "2025"}) {  // [S16 id453 Art.19]; mem
        EXPECT_EQ(rules_named(name).call_for, CallFor::countdown) << name;
        EXPECT_EQ(rules_named(name).call_wait, seconds(30)) << name;
    }
    EXPECT_EQ(rules_named("youth-decision").call_wait, seconds(30));  // [S23]: three calls, 30 s
    for (const ShippedRules& entry : shipped_rules()) {               // [S3 p32][S11 Art.29]
        EXPECT_EQ(rules_named(entry.name).bleeding_treatments, 2) << entry.name;
    }
}

TEST(ShippedRules, PointsAsPublished) {
    EXPECT_EQ(rules_named("2003").points, (Points{10, 7, 5, 3, 0, 1}));  // [S20f][S81][S34]
    EXPECT_EQ(rules_named("2009").points, (Points{10, 7, 5, 0, 0, 1}));  // [S34]
    EXPECT_EQ(rules_named("2017").points, (Points{10, 7, 0, 0, 1, 1}));  // [S14h]
    EXPECT_EQ(rules_named("2018").points.ippon, 10);                     // [S35]
    EXPECT_EQ(rules_named("2018").points.waza_ari, 7);                   // [S35]
}

TEST(ShippedRules, ForTheYoungAsPublished) {
    const RuleSet running = rules_named("youth-running-clock");  // [S26b]
    EXPECT_EQ(running.clock_runs, ClockRuns::to_pause);
    EXPECT_EQ(running.ippon_needed, 2);
    EXPECT_EQ(running.tie, Tie::hantei);
    const RuleSet decision = rules_named("youth-decision");  // [S18g][S18h]
    EXPECT_EQ(decision.tie, Tie::hantei);
    EXPECT_EQ(decision.at_time, AtTime::scores);  // shido alone decide nothing
    EXPECT_EQ(decision.decision_by, DecisionBy::one_person);
    EXPECT_EQ(decision.clock_runs, ClockRuns::to_mate);
    const RuleSet minute = rules_named("youth-short-golden-score");  // [S41a]
    EXPECT_EQ(minute.tie, Tie::golden_score);
    EXPECT_EQ(minute.golden_limit_for(seconds(180), minute.group("under 15")), seconds(60));
    EXPECT_EQ(minute.golden_tie, Tie::hantei);
}

TEST(ShippedRules, NamesAreFileNames) {
    EXPECT_EQ(shipped_rules().size(), 9U);
    for (const ShippedRules& entry : shipped_rules()) {
        EXPECT_EQ(rules_named(entry.name).name, entry.name);
        EXPECT_LE(rules_named(entry.name).title.size(), 60U);
    }
    EXPECT_FALSE(shipped("2024"));
}

// What an era does is a value; code that asked for a year would go on doing it in the next one.
TEST(ShippedRules, NoCodeKnowsAYear) {
    namespace fs = std::filesystem;
    std::size_t read = 0;
    for (const char* folder : {"/engine", "/hub"}) {
        for (const auto& entry :
             fs::recursive_directory_iterator(HONBU_SOURCE_DIR + std::string(folder))) {
            if (entry.path().extension() != ".cpp" && entry.path().extension() != ".h") continue;
            const std::string text = file_text(entry.path().string());
            ++read;
            for (const ShippedRules& rules : shipped_rules()) {
                // Comments may speak of it: "2025" in one is an example of a name.
                const std::string quoted = "(\"" + std::string(rules.name) + "\")";
                const std::string compared = "== \"" + std::string(rules.name) + "\"";
                EXPECT_EQ(text.find(quoted), std::string::npos) << entry.path();
                EXPECT_EQ(text.find(compared), std::string::npos) << entry.path();
            }
        }
    }
    EXPECT_GT(read, 50U);
}

TEST(ClockText, ReadsAndWritesMinutesAndSeconds) {
    EXPECT_EQ(clock_text(seconds(1001)), "16:41");
    EXPECT_EQ(clock_text(Duration{7'999}), "0:07");
    EXPECT_EQ(clock_time("4:00")->ms, 240'000U);
    for (const char* wrong : {"4", "4:0", "4:60", ":30", "4:000", "a:00", "4:0a", ""}) {
        EXPECT_FALSE(clock_time(wrong)) << wrong;
    }
}

}  // namespace
}  // namespace honbu

#include <gtest/gtest.h>

#include "engine/bout/clock_text.h"
#include "engine/bout/rules_shipped.h"
#include "tests/unit/bouts.h"

namespace honbu {
namespace {

std::vector<std::uint32_t> holds(const RuleSet& r) {
    return {r.hold_for(Level::koka).ms, r.hold_for(Level::yuko).ms, r.hold_for(Level::waza_ari).ms,
            r.hold_for(Level::ippon).ms};
}

// Sources by their ids in docs/rules.md: 2009-12 [S50][S51]; 2018-24 [S35][S39a][S15a];
// 2025 [S18b][S18e][S20a].
TEST(ShippedRules, HoldTimesAsPublished) {
    EXPECT_EQ(holds(rules_named("2009")), (std::vector<std::uint32_t>{0, 15'000, 20'000, 25'000}));
    EXPECT_EQ(holds(rules_named("2018")), (std::vector<std::uint32_t>{0, 0, 10'000, 20'000}));
    EXPECT_EQ(holds(rules_named("2025")), (std::vector<std::uint32_t>{0, 5'000, 10'000, 20'000}));
}

// 4th shido disqualifies in 2009-12 [S50], the 3rd from 2018 on [S16].
TEST(ShippedRules, ShidoLadderAsPublished) {
    const RuleSet old = rules_named("2009");
    EXPECT_EQ(old.shido_out, 4);
    EXPECT_EQ(old.shido_equivalent[0], Equivalent::none);
    EXPECT_EQ(old.shido_equivalent[1], Equivalent::yuko);
    EXPECT_EQ(old.shido_equivalent[2], Equivalent::waza_ari);
    for (const char* name : {"2018", "2025"}) {
        EXPECT_EQ(rules_named(name).shido_out, 3);
        for (const Equivalent e : rules_named(name).shido_equivalent) {
            EXPECT_EQ(e, Equivalent::none);
        }
    }
}

TEST(ShippedRules, NamesAreFileNames) {
    for (const ShippedRules& entry : shipped_rules()) {
        EXPECT_EQ(rules_named(entry.name).name, entry.name);
    }
}

RulesFault fault_of(std::string text) {
    auto parsed = parse_rules(text);
    const auto* fault = std::get_if<RulesFault>(&parsed);
    return fault == nullptr ? RulesFault{} : *fault;
}

std::string text_2025() {
    for (const ShippedRules& entry : shipped_rules()) {
        if (entry.name == "2025") return std::string(entry.text);
    }
    return {};
}

std::string with(std::string from, std::string to) {
    std::string text = text_2025();
    const std::size_t at = text.find(from);
    if (at == std::string::npos) throw std::runtime_error(from);
    return text.replace(at, from.size(), to);
}

TEST(RulesFile, AWrongFileIsRefusedWithLineFieldAndReason) {
    RulesFault f = fault_of(with("= 10 s", "= ten"));
    EXPECT_EQ(f.line, 6U);
    EXPECT_EQ(f.field, "hold.waza-ari");
    EXPECT_EQ(f.reason, "'ten' is not a hold time; write seconds like 20 s.");

    f = fault_of(with("tie                    = golden score", "tie = coin"));
    EXPECT_EQ(f.field, "tie");
    EXPECT_EQ(f.reason, "'coin' is not known here; write golden score or hantei.");

    f = fault_of(with("tie ", "ties "));
    EXPECT_EQ(f.reason, "This field is not known; docs/rules.md lists the fields.");
    f = fault_of(with("golden.limit           = none\n", ""));
    EXPECT_EQ(f.field, "golden.limit");
    EXPECT_EQ(f.reason, "This field is missing; add it.");
    f = fault_of(text_2025() + "tie = hantei\n");
    EXPECT_EQ(f.reason, "This field stands twice; keep one.");
    f = fault_of(with("= 10 s", "= 25 s"));
    EXPECT_EQ(f.reason, "A higher level needs a longer hold.");
    f = fault_of(with("yuko, waza-ari, ippon", "waza-ari, ippon"));
    EXPECT_EQ(f.reason, "A hold gives a level that is not in levels.");
    f = fault_of("name 2025\n");
    EXPECT_EQ(f.reason, "There is no = on this line; write field = value.");
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

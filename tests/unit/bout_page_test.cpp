// docs/bout.md says which calls each state of a bout takes: the table there is the engine's answer.
#include <gtest/gtest.h>

#include <fstream>
#include <sstream>

#include "tests/unit/bouts.h"

namespace honbu {
namespace {

struct Named {
    std::string name;
    Calls calls;
};

constexpr std::uint32_t now_ms = 100'000;

// One bout for each state, by the rules of 2018; `decided` by an ippon, `time up` all equal.
std::vector<Named> states() {
    Calls waiting;
    Calls called = waiting;
    called.at(0, Called{});
    Calls fighting = called;
    fighting.at(10'000, Hajime{});
    Calls holding = fighting;
    holding.at(99'000, Osaekomi{Side::white});
    Calls stopped = fighting;
    stopped.at(20'000, Mate{});
    Calls frozen = fighting;
    frozen.at(20'000, Osaekomi{Side::white}).at(22'000, SonoMama{});
    Calls decided = fighting;
    decided.at(20'000, Score{Side::white, Level::ippon});
    Calls over = decided;
    over.at(21'000, SoreMade{});
    Calls announced = over;
    announced.at(22'000, Kachi{});
    Calls confirmed = announced;
    confirmed.at(23'000, Confirm{});
    Calls accepted = confirmed;
    accepted.at(24'000, Accept{});
    return {{"waiting", waiting},     {"called", called},    {"fighting", fighting},
            {"holding", holding},     {"stopped", stopped},  {"frozen", frozen},
            {"decided", decided},     {"over", over},        {"announced", announced},
            {"confirmed", confirmed}, {"accepted", accepted}};
}

std::vector<std::pair<std::string, What>> rows() {
    const Side w = Side::white;
    const Side b = Side::blue;
    return {{"called to the mat", Called{}},
            {"absent", Absent{only(b)}},
            {"hajime", Hajime{}},
            {"mate", Mate{}},
            {"sono-mama", SonoMama{}},
            {"yoshi", Yoshi{}},
            {"osaekomi", Osaekomi{b}},
            {"hold changed", HoldChanged{}},
            {"toketa", Toketa{}},
            {"a score", Score{b, Level::waza_ari}},
            {"waza-ari-awasete-ippon", Awasete{b}},
            {"shido", Shido{only(b)}},
            {"hansoku-make", HansokuMake{only(b)}},
            {"submission, choke", Submission{b}},
            {"kiken-gachi", Award{w, Way::kiken_gachi}},
            {"fusen-gachi", Award{w, Way::fusen_gachi}},
            {"both lose", BothLose{}},
            {"doctor, bleeding, injury, judogi", Doctor{b}},
            {"review", Review{}},
            {"sore-made", SoreMade{}},
            {"kachi", Kachi{}},
            {"clock set by hand", SetClock{seconds(30)}},
            {"hold set by hand", SetHold{w, seconds(5)}},
            {"names exchanged", ExchangeNames{}},
            {"strike, replace, move", Strike{CallId{RunId{7}, CallNumber{1}}}},
            {"confirm", Confirm{}},
            {"accept", Accept{}},
            {"open again", Reopen{Ground::slip}}};
}

std::string table() {
    const RuleSet rules = rules_named("2018");
    const Conditions under{rules, seconds(240), {}};
    std::string head = "| |";
    std::string rule = "|---|";
    for (const Named& state : states()) {
        head += " " + state.name + " |";
        rule += "---|";
    }
    std::string out = head + "\n" + rule + "\n";
    for (const auto& [name, what] : rows()) {
        out += "| " + name + " |";
        for (const Named& in : states()) {
            const State state = fold(under, in.calls.all(), Instant{now_ms}).state;
            if (in.name != "holding") {
                EXPECT_EQ(state_word(state), in.name);
            }
            // A correction needs something to correct.
            const bool nothing_yet = std::holds_alternative<Strike>(what) && in.calls.all().empty();
            const bool no = !nothing_yet && refusal(under, in.calls.all(), state, what).has_value();
            const char* fit = unusual(under, state, what) ? " late |" : " yes |";
            out += no || nothing_yet ? " - |" : fit;
        }
        out += "\n";
    }
    return out;
}

TEST(BoutPage, ItsTableIsTheEnginesAnswer) {
    std::ifstream file(std::string(HONBU_SOURCE_DIR) + "/docs/bout.md");
    std::ostringstream page;
    page << file.rdbuf();
    EXPECT_NE(page.str().find(table()), std::string::npos) << "docs/bout.md should hold:\n"
                                                           << table();
}

}  // namespace
}  // namespace honbu

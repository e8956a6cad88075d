// The keys of a table: every call of the vocabulary can be entered, each with what may be said
// about it, and everything entered can be corrected. The contract is docs/table.md, section 4; what
// exists under which rules is engine/rules/*.rules, whose values name their sources.
#include <gtest/gtest.h>

#include <set>

#include "engine/table/pressed.h"
#include "engine/table/table.h"
#include "tests/unit/bouts.h"

namespace honbu {
namespace {

// One bout under one rule set, pressed from time zero.
class AtTable {
public:
    explicit AtTable(std::string_view rules, Duration golden = {}) : table_(RunId{11}, "") {
        Allotment a;
        a.mat = MatId{1};
        a.term = Term{1};
        a.rules = {rules_named(rules)};
        BoutGiven first;
        first.head.bout = BoutId{1};
        first.head.white = Seat{PersonId{1}, "Ada Norlund", "JC Fjord", Slot::From::person, {}};
        first.head.blue = Seat{PersonId{2}, "Mirela Costin", "Dojo Port", Slot::From::person, {}};
        first.head.white_word = a.rules[0].white_word;
        first.head.blue_word = a.rules[0].blue_word;
        first.time = seconds(240);
        first.golden = golden;
        BoutGiven second = first;
        second.head.bout = BoutId{2};
        second.head.white = Seat{{}, "", "", Slot::From::winner_of, BoutId{1}};
        second.head.blue = Seat{{}, "", "", Slot::From::loser_of, BoutId{1}};
        a.bouts = {first, second};
        table_.allot(std::move(a), Instant{0});
        table_.next_bout(Instant{0});
        gather();
    }
    std::string press(std::string_view key, std::uint32_t ms) { return on(0, key, ms); }
    // Presses a key on the n-th call of the bout, counted from 1 ("called" is the first).
    std::string on(std::uint32_t number, std::string_view key, std::uint32_t ms) {
        now_ = ms;
        std::string no = table_.press(key, CallId{RunId{11}, CallNumber{number}}, Instant{ms});
        gather();
        return no;
    }
    void all(std::initializer_list<std::pair<const char*, std::uint32_t>> presses) {
        for (const auto& [key, ms] : presses)
            ASSERT_EQ(press(key, ms), "") << key << " at " << ms;
    }
    const What& last() const { return calls_.back().what; }
    const Call& last_call() const { return calls_.back(); }
    std::size_t count() const { return calls_.size(); }
    FrameShown board() const { return table_.view().frames.front(); }
    std::string json() const { return table_.json(Instant{now_}); }
    bool shows(std::string_view text) const { return json().find(text) != std::string::npos; }
    Table& table() { return table_; }

private:
    void gather() {
        for (Call& call : table_.take_doing().save)
            calls_.push_back(std::move(call));
    }
    Table table_;
    std::vector<Call> calls_;
    std::uint32_t now_ = 0;
};

std::set<std::string> ids(std::string_view rules, Duration golden = {}) {
    const RuleSet set = rules_named(rules);
    std::set<std::string> out;
    for (const Key& key : keys({set, seconds(240), golden}, {}, State{}))
        EXPECT_TRUE(out.insert(key.id).second) << key.id << " stands twice";
    return out;
}

TEST(TableKeys, OnlyWhatCanExistUnderTheRulesIsListed) {
    const auto koka = [](const RuleSet& r) { return r.has(Level::koka); };
    for (const char* name : {"2003", "2009", "2013", "2017", "2018", "2025", "youth-decision",
                             "youth-running-clock", "youth-short-golden-score"}) {
        const RuleSet rules = rules_named(name);
        const std::set<std::string> is = ids(name);
        EXPECT_EQ(is.contains("koka_white"), koka(rules)) << name;
        EXPECT_EQ(is.contains("yuko_blue"), rules.has(Level::yuko)) << name;
        EXPECT_EQ(is.contains("sogo_gachi_white"), rules.sogo_gachi) << name;
        EXPECT_EQ(is.contains("awasete_blue"), rules.two_waza_ari_are_ippon) << name;
        EXPECT_EQ(is.contains("pause"), rules.clock_runs == ClockRuns::to_pause) << name;
        EXPECT_EQ(is.contains("hantei_white"), rules.tie == Tie::hantei) << name;
        EXPECT_TRUE(ids(name, seconds(60))
                        .contains(rules.golden_tie == Tie::hantei ? "hantei_white" : "hiki_wake"))
            << name;
    }
}

// Pressed without an argument, every key is the call it says, and names itself again.
TEST(TableKeys, EachKeyIsItsCallAndEachArgumentIsTaken) {
    for (const char* name : {"2003", "2025", "youth-running-clock"}) {
        const RuleSet rules = rules_named(name);
        const Conditions under{rules, seconds(240), seconds(60)};
        State state;
        for (const Key& key : keys(under, {}, state)) {
            const auto is = what_for(key.id, state);
            ASSERT_TRUE(is) << key.id;
            if (key.id != "start") {
                EXPECT_EQ(id_for(*is), key.id);
            }
            std::set<std::string> words;
            for (const Argument& argument : key.arguments) {
                const Pressed pressed = honbu::pressed({under, {}, state, {}},
                                                       key.id + ":" + argument.id, {});
                ASSERT_TRUE(pressed.what) << key.id << ':' << argument.id << ' ' << pressed.why;
                EXPECT_EQ(id_for(*pressed.what), key.id);
                EXPECT_TRUE(words.insert(words_for(rules, *pressed.what)).second)
                    << key.id << ':' << argument.id << " reads like another";
            }
        }
    }
}

TEST(TableKeys, AnArgumentSaysWhatThePressMeans) {
    AtTable at("2018");
    at.all({{"start", 1'000}, {"shido_white:leg_grab", 9'000}});
    EXPECT_EQ(std::get<Shido>(at.last()).reason, Reason::leg_grab);
    at.all({{"mate", 10'000}, {"bleeding_white:nose", 11'000}});
    EXPECT_EQ(std::get<Bleeding>(at.last()).site, Site::nose);
    at.all({{"doctor_white:athlete", 12'000}});
    EXPECT_EQ(std::get<Doctor>(at.last()).by, DoctorCall::athlete);
    at.all({{"injury_blue:other", 13'000}});
    EXPECT_EQ(std::get<Injury>(at.last()).by, Blame::other);
    at.all({{"hansoku_make_blue:against_spirit:unsporting", 14'000}});
    const auto& out = std::get<HansokuMake>(at.last());
    EXPECT_EQ(out.of, DirectClass::against_spirit);
    EXPECT_EQ(out.reason, Reason::unsporting);
}

TEST(TableKeys, AWrongArgumentIsRefusedWithWordsAndNothingIsEntered) {
    AtTable at("2018");
    at.all({{"start", 1'000}});
    const std::size_t before = at.count();
    for (const char* key : {"shido_white:bad_luck",
                            "mate:now",
                            "set_clock",
                            "set_clock:four",
                            "set_clock:4:01",
                            "set_clock:0:60",
                            "set_hold_white",
                            "set_hold_white:x",
                            "hantei_white:4",
                            "reopen",
                            "reopen:whim",
                            "back:x:mate",
                            "back:100",
                            "back:100:strike",
                            "back:5000000:mate",
                            "nonsense",
                            "",
                            ":",
                            "move:+500",
                            "give",
                            "replace:mate",
                            "offer",
                            "reason:leg_grab"}) {
        const std::string no = at.press(key, 5'000);
        EXPECT_FALSE(no.empty()) << key;
        EXPECT_TRUE(no.empty() || no.back() == '.') << no;
    }
    EXPECT_EQ(at.count(), before);
}

// The clock is set to what it shall show: down in regular time, up in golden score.
TEST(TableKeys, TheClockIsSetToWhatItShallShow) {
    AtTable at("2018");
    at.all({{"start", 1'000}, {"mate", 31'000}, {"set_clock:3:21", 40'000}});
    EXPECT_EQ(at.board().clock.ms, 201'000U);
    at.all({{"start", 50'000}, {"back:0:mate", 251'000}, {"start", 260'000}, {"mate", 290'000}});
    ASSERT_TRUE(at.board().golden);
    EXPECT_EQ(at.board().clock.ms, 30'000U);
    at.all({{"set_clock:0:21", 300'000}});
    EXPECT_EQ(at.board().clock.ms, 21'000U);
    at.all({{"set_hold_white:12", 310'000}});
    EXPECT_EQ(at.board().hold.ms, 12'000U);
    EXPECT_FALSE(at.board().hold_running);
}

TEST(TableKeys, ACallCanBePutInLater) {
    AtTable at("2018");
    at.all({{"start", 1'000}, {"back:2500:osaekomi_blue", 20'000}});
    EXPECT_EQ(at.last_call().back.ms, 2'500U);
    EXPECT_EQ(at.board().hold.ms, 2'500U);
    // Before the bout began there was nothing to hold.
    EXPECT_NE(at.press("back:30000:toketa", 21'000), "");
}

TEST(TableKeys, AMissingHajimeIsOfferedAndTakenWhereItBelongs) {
    AtTable at("2018");
    at.all({{"osaekomi_white", 10'000}});
    EXPECT_EQ(at.press("toketa", 14'000), "");
    EXPECT_TRUE(at.shows("\"offers\":[\"Hajime is missing")) << at.json();
    EXPECT_EQ(at.press("offer", 16'000), "");
    EXPECT_TRUE(std::holds_alternative<Hajime>(at.last()));
    EXPECT_EQ(at.last_call().back.ms, 6'001U);  // just before the osaekomi
    EXPECT_TRUE(at.shows("\"offers\":[]")) << at.json();
}

TEST(TableKeys, WhatAPersonMustDecideIsAskedUntilItIsSaid) {
    AtTable at("2025");
    at.all({{"start", 1'000}, {"mate", 9'000}, {"hansoku_make_blue", 10'000}});
    EXPECT_TRUE(at.shows("ask the referee which kind"));
    EXPECT_EQ(at.on(4, "reason:endangered_self", 12'000), "");
    EXPECT_FALSE(at.shows("ask the referee which kind"));
    EXPECT_TRUE(at.shows("\"was\":\"hansoku-make blue\""));
}

TEST(TableKeys, ACallIsChangedWhereItStands) {
    AtTable at("2025");
    at.all({{"start", 1'000}, {"yuko_white", 20'000}});
    EXPECT_EQ(at.on(3, "replace:waza_ari_white", 25'000), "");
    EXPECT_EQ(at.board().white.score[index(Level::waza_ari)], 1);
    EXPECT_EQ(at.board().white.score[index(Level::yuko)], 0);
    EXPECT_EQ(at.on(3, "give", 26'000), "");  // what it is by now, not what it was
    EXPECT_EQ(at.board().blue.score[index(Level::waza_ari)], 1);
    EXPECT_EQ(at.board().white.score[index(Level::waza_ari)], 0);
    EXPECT_EQ(at.on(5, "strike", 27'000), "");  // taking the giving back
    EXPECT_EQ(at.board().white.score[index(Level::waza_ari)], 1);
    EXPECT_EQ(at.on(3, "strike", 28'000), "");
    EXPECT_EQ(at.board().white.score[index(Level::waza_ari)], 0);
    EXPECT_TRUE(at.shows("\"struckBy\":{\"run\":\"000000000000000b\",\"number\":7}")) << at.json();
    EXPECT_EQ(at.on(7, "strike", 29'000), "");
    EXPECT_EQ(at.board().white.score[index(Level::waza_ari)], 1);
    EXPECT_TRUE(at.shows("brought back: waza-ari white"));
}

TEST(TableKeys, ACallIsMovedByAMomentAndAgain) {
    AtTable at("2018");
    at.all({{"start", 1'000}, {"mate", 31'000}});
    EXPECT_EQ(at.on(3, "move:-500", 40'000), "");
    EXPECT_EQ(at.board().clock.ms, 210'500U);
    EXPECT_EQ(at.on(3, "move:-500", 41'000), "");
    EXPECT_EQ(at.board().clock.ms, 211'000U);
    EXPECT_EQ(at.on(3, "move:+1000", 42'000), "");
    EXPECT_EQ(at.board().clock.ms, 210'000U);
    EXPECT_NE(at.on(3, "move:+60000", 43'000), "");  // has not come yet
    EXPECT_NE(at.on(3, "move:-60000", 44'000), "");  // before hajime
    EXPECT_EQ(at.board().clock.ms, 210'000U);
}

// Only what makes sense for a call is offered on it, and all of that can be pressed.
TEST(TableKeys, EveryCorrectionThatIsOfferedMeansSomething) {
    const RuleSet rules = rules_named("2003");
    const Conditions under{rules, seconds(300), {}};
    for (const Key& key : keys(under, {}, State{})) {
        Calls calls;
        calls.at(0, *what_for(key.id, State{}));
        const Call& call = calls.all()[0];
        const State state = fold(under, calls.all(), Instant{5'000}).state;
        for (const Correction& each : corrections(rules, call, call.what)) {
            if (each.id == "reason") continue;  // wants an argument
            const Pressed is = pressed({under, calls.all(), state, Instant{5'000}}, each.id,
                                       call.id);
            const bool too_early = each.id.starts_with("move:-");  // the call is at zero
            EXPECT_EQ(is.what.has_value(), !too_early) << key.id << ' ' << each.id << is.why;
            EXPECT_FALSE(each.words.empty());
        }
    }
}

TEST(TableKeys, ACorrectionThatTakesTheGroundFromALaterCallSaysSo) {
    AtTable at("2018");
    at.all({{"start", 1'000}, {"osaekomi_white", 5'000}, {"toketa", 9'000}});
    EXPECT_TRUE(at.shows("\"warning\":\"\""));
    EXPECT_EQ(at.on(3, "strike", 12'000), "");
    EXPECT_TRUE(at.shows("After a correction this has no effect: toketa (0:08)")) << at.json();
    EXPECT_EQ(at.on(4, "strike", 13'000), "");
    EXPECT_TRUE(at.shows("\"warning\":\"\"")) << at.json();
}

TEST(TableKeys, AfterKachiTheBoutIsOpenedAgainWithAGroundBeforeAnythingIsCorrected) {
    AtTable at("2018");
    at.all({{"start", 1'000}, {"waza_ari_white", 9'000}, {"waza_ari_white", 20'000}});
    EXPECT_EQ(at.on(4, "strike", 21'000), "");  // before kachi one press does it
    EXPECT_EQ(at.on(5, "strike", 22'000), "");
    at.all({{"sore_made", 23'000}, {"kachi", 24'000}});
    EXPECT_TRUE(at.shows("\"because\":\"Two waza-ari are worth an ippon.\"")) << at.json();
    EXPECT_TRUE(at.shows("Winner: Ada Norlund. Two waza-ari")) << at.json();
    EXPECT_FALSE(at.shows("\"id\":\"strike\""));
    for (const char* key : {"strike", "give", "replace:yuko_white", "move:-500"})
        EXPECT_NE(at.on(4, key, 25'000), "") << key;
    EXPECT_NE(at.press("reopen", 26'000), "");
    EXPECT_EQ(at.press("reopen:referee", 27'000), "");
    EXPECT_EQ(at.on(4, "give", 28'000), "");
    EXPECT_EQ(at.board().winner, Winner::undecided);
    EXPECT_NE(at.press("kachi", 29'000), "");
}

// Who goes on to the next bout follows what is confirmed, also when it is opened again.
TEST(TableKeys, AConfirmedBoutIsOpenedAgainAndTheNextBoutFollows) {
    AtTable at("2018");
    at.all({{"start", 1'000},
            {"ippon_white", 9'000},
            {"sore_made", 10'000},
            {"kachi", 11'000},
            {"confirm", 12'000}});
    EXPECT_EQ(at.table().view().next.front().white.name, "Ada Norlund");
    at.all({{"reopen:majority", 20'000}});
    EXPECT_EQ(at.table().view().next.front().white.name, "");
    EXPECT_TRUE(at.shows("winner of bout 1"));
    EXPECT_EQ(at.on(3, "give", 21'000), "");
    at.all({{"kachi", 22'000}, {"confirm", 23'000}});
    EXPECT_EQ(at.table().view().next.front().white.name, "Mirela Costin");
    EXPECT_TRUE(at.shows("\"state\":\"confirmed\""));
}

TEST(TableKeys, ExchangedNamesChangePlacesEverywhere) {
    AtTable at("2018");
    at.all({{"start", 1'000}, {"exchange_names", 2'000}});
    EXPECT_EQ(at.table().view().bout.white.name, "Mirela Costin");
    at.all({{"ippon_white", 9'000}, {"sore_made", 10'000}, {"kachi", 11'000}});
    EXPECT_TRUE(at.shows("Winner: Mirela Costin."));
    at.all({{"confirm", 12'000}});
    EXPECT_EQ(at.table().view().next.front().white.name, "Mirela Costin");
    EXPECT_EQ(at.table().view().next.front().blue.name, "Ada Norlund");
}

TEST(TableKeys, WhoIsMissingIsCalledForAndTheCountdownIsShown) {
    AtTable at("2018");
    at.all({{"absent_blue", 1'000}});
    EXPECT_EQ(at.board().absent, only(Side::blue));
    at.all({{"present", 9'000}});
    EXPECT_EQ(at.board().absent, Sides{});
}

TEST(TableKeys, AReviewHoldsBackTheConfirmation) {
    AtTable at("2018");
    at.all({{"start", 1'000},
            {"ippon_white", 9'000},
            {"review", 9'500},
            {"sore_made", 10'000},
            {"kachi", 11'000}});
    EXPECT_NE(at.press("confirm", 12'000), "");
}

}  // namespace
}  // namespace honbu

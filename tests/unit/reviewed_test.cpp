// Bouts that came out wrong once, found by reading and by trying: each keeps what it taught.
#include <gtest/gtest.h>

#include <algorithm>
#include <map>

#include "engine/view/mat_view.h"
#include "tests/unit/bouts.h"

namespace honbu {
namespace {

constexpr Side w = Side::white;
constexpr Side b = Side::blue;

const RuleSet& set(const char* name) {
    static std::map<std::string, RuleSet> known;
    if (!known.contains(name)) known[name] = rules_named(name);
    return known[name];
}

struct Told {
    explicit Told(const char* rules, std::uint32_t time_s = 240)
        : under{set(rules), seconds(time_s),
                set(rules).golden_limit_for(seconds(time_s), nullptr)} {}
    Told& at(double s, What what) {
        calls.at(static_cast<std::uint32_t>(s * 1000), std::move(what));
        return *this;
    }
    Told& strike(double s, std::uint32_t number) { return at(s, calls.strike(number)); }
    State state(double s) const {
        return fold(under, calls.all(), Instant{static_cast<std::uint32_t>(s * 1000)}).state;
    }
    Winner who(double s) const { return state(s).decision.winner; }
    std::string no(double s, const What& what) const {
        Calls more = calls;
        more.at(static_cast<std::uint32_t>(s * 1000), what);
        return no_entry(under, calls.all(), more.all().back()).value_or("");
    }
    std::vector<Offer> offered(double s) const {
        return offers(under, calls.all(), state(s), Instant{static_cast<std::uint32_t>(s * 1000)});
    }
    Conditions under;
    Calls calls;
};

CallId call(std::uint32_t number) { return CallId{RunId{7}, CallNumber{number}}; }

TEST(Reviewed, TheRefereesWordOutlastsWhatFollows) {
    for (const What& after : {What{SoreMade{}}, What{Mate{}}, What{Score{b, Level::waza_ari}}}) {
        Told bout("2018");
        bout.at(0, Hajime{}).at(9, Mate{});
        for (int i = 0; i < 3; ++i)
            bout.at(10 + i, Shido{w});
        EXPECT_EQ(bout.who(13), Winner::blue);
        bout.at(20, BothLose{}).at(25, after);
        EXPECT_EQ(bout.who(30), Winner::both_lose) << word(after);
    }
    Told kiken("2018");  // over a hansoku-make; only a later penalty goes over it
    kiken.at(0, Hajime{}).at(5, HansokuMake{w}).at(8, Award{b, Way::kiken_gachi}).at(9, SoreMade{});
    EXPECT_EQ(kiken.state(10).decision.way, Way::kiken_gachi);
    kiken.at(11, HansokuMake{b});
    EXPECT_EQ(kiken.who(12), Winner::both_lose);
}

TEST(Reviewed, AnIdleKachiStillStoppedTheClock) {
    Told bout("2018");
    bout.at(0, Hajime{}).at(30, Score{w, Level::ippon}).at(31, Kachi{}).at(33, Confirm{});
    bout.at(300, Reopen{Ground::slip}).strike(301, 2);
    const State s = bout.state(310);
    EXPECT_FALSE(s.time_up);
    EXPECT_EQ(s.contest.at(Instant{310'000}), seconds(31));
}

// One hold, one score (docs/rules.md 4.2): the press of what the referee announces for it.
TEST(Reviewed, AHoldsScorePressedAgainIsOfferedToBeTakenOut) {
    Told bout("2018");
    bout.at(0, Hajime{}).at(10, Osaekomi{w}).at(22, Toketa{}).at(23, Score{w, Level::waza_ari});
    ASSERT_EQ(bout.offered(24).size(), 1U);
    bout.at(24, bout.offered(24)[0].what);
    EXPECT_EQ(bout.who(25), Winner::undecided);
    EXPECT_TRUE(bout.offered(25).empty());
    Told after_a_while("2018");
    after_a_while.at(0, Hajime{}).at(10, Osaekomi{w}).at(22, Toketa{});
    after_a_while.at(28, Score{w, Level::waza_ari});
    EXPECT_EQ(after_a_while.offered(29).size(), 1U);
    Told early("2018");  // pressed just before the hold itself reached it
    early.at(0, Hajime{}).at(10, Osaekomi{w}).at(19.8, Score{w, Level::waza_ari});
    early.at(22, Toketa{});
    const auto offered = early.offered(23);
    EXPECT_TRUE(std::any_of(offered.begin(), offered.end(), [](const Offer& offer) {
        return std::holds_alternative<Strike>(offer.what);
    }));
    Told both("2018");
    both.at(0, Hajime{}).at(10, Osaekomi{w}).at(22, Toketa{});
    both.at(23, Score{both_sides(), Level::waza_ari});
    ASSERT_EQ(both.offered(24).size(), 1U);
    both.at(24, both.offered(24)[0].what);
    EXPECT_EQ(both.state(25).of(b).score[index(Level::waza_ari)], 1);
    EXPECT_EQ(both.state(25).of(w).score[index(Level::waza_ari)], 1);
    Told during("2025");
    during.at(0, Hajime{}).at(10, Osaekomi{w}).at(15.5, Score{w, Level::yuko});
    EXPECT_EQ(during.offered(16).size(), 1U);
    Told other_level("2025");
    other_level.at(0, Hajime{}).at(10, Osaekomi{w}).at(15.5, Score{w, Level::waza_ari});
    EXPECT_TRUE(other_level.offered(16).empty());
}

TEST(Reviewed, AHoldSetBackInGoldenScoreTakesItsDecisionBack) {
    Told bout("2018");
    bout.at(0, Hajime{}).at(245, Hajime{}).at(250, Osaekomi{w});
    bout.at(262, SetHold{w, seconds(3)}).at(264, Toketa{});
    EXPECT_EQ(bout.who(265), Winner::undecided);
    EXPECT_TRUE(bout.state(265).contest.running);
}

TEST(Reviewed, IpponAheadAtTimeIsAComparisonWhereTwoAreNeeded) {
    Told bout("youth-running-clock", 120);
    bout.at(0, Hajime{}).at(30, Score{w, Level::ippon});
    EXPECT_EQ(bout.who(121), Winner::white);
    const Result r = result_of(bout.under, bout.calls.all(), Instant{121'000});
    EXPECT_EQ(because(bout.under.rules, r), "With time up, ippon stood 1 to 0.");
    bout.at(121, Score{b, Level::ippon});
    EXPECT_EQ(bout.who(122), Winner::undecided);
}

TEST(Reviewed, WhatTimeHadDecidedStaysOpenAfterTheClockIsSetBack) {
    Told penalty("2018");
    penalty.at(0, Hajime{}).at(10, Score{w, Level::waza_ari}).at(241, Shido{b});
    penalty.at(242, SetClock{seconds(230)}).at(243, Shido{b});
    EXPECT_EQ(penalty.who(244), Winner::undecided);
    Told hantei("2009", 300);
    hantei.at(0, Hajime{}).at(301, Hajime{}).at(482, Award{w, Way::hantei});
    EXPECT_EQ(hantei.who(483), Winner::white);
    hantei.at(484, SetClock{seconds(170)});
    EXPECT_EQ(hantei.who(485), Winner::undecided);
}

// A direct one may mean more for the rest of the event [S16 id451 Art.18].
TEST(Reviewed, ADirectHansokuMakeIsTakenAfterTheLastShido) {
    Told bout("2018");
    bout.at(0, Hajime{}).at(1, Mate{}).at(2, Shido{w}).at(3, Shido{w}).at(4, Shido{w});
    EXPECT_EQ(bout.no(5, HansokuMake{w, DirectClass::against_spirit}), "");
    EXPECT_EQ(bout.no(5, Shido{w}), "White has hansoku-make by shido already.");
    bout.at(5, HansokuMake{w, DirectClass::against_spirit});
    EXPECT_EQ(bout.state(6).decision.way, Way::hansoku_make_direct);
}

TEST(Reviewed, KachiAndOpeningAgainAreNeverStruck) {
    Told bout("2018");
    bout.at(0, Hajime{}).at(5, Score{w, Level::ippon}).at(6, Kachi{}).at(7, Confirm{});
    bout.at(8, Reopen{Ground::administrative});
    for (const std::uint32_t number : {3U, 4U, 5U}) {
        EXPECT_NE(bout.no(9, bout.calls.strike(number)), "") << number;
        EXPECT_NE(bout.no(9, Replace{call(number), Mate{}}), "") << number;
    }
}

TEST(Reviewed, AMissedHajimeRefusesNothing) {
    Told bout("2018");
    bout.at(0, Called{}).at(5, Osaekomi{w});
    for (const What& what : {What{Mate{}}, What{SoreMade{}}, What{Award{b, Way::kiken_gachi}}}) {
        EXPECT_EQ(bout.no(8, what), "") << word(what);
    }
    Told frozen("2018");
    frozen.at(0, Called{}).at(5, Osaekomi{w}).at(6, SonoMama{}).at(7, Yoshi{});
    EXPECT_EQ(frozen.offered(8).size(), 1U);
    EXPECT_EQ(frozen.no(8, Hajime{}), "");
}

TEST(Reviewed, AnOfferTakenIsNoOfferAnyMore) {
    Told bout("2018");
    bout.at(0, Called{}).at(5, Score{w, Level::ippon});
    ASSERT_EQ(bout.offered(9).size(), 1U);
    const Offer offer = bout.offered(9)[0];
    bout.calls.at(9'000, offer.what, 9'000 - offer.at.ms);
    EXPECT_TRUE(bout.offered(10).empty());
    EXPECT_EQ(bout.who(10), Winner::white);
}

TEST(Reviewed, GoldenScoresMissedHajimeIsOffered) {
    Told bout("2018");
    bout.at(0, Hajime{}).at(241, SoreMade{}).at(300, Osaekomi{w}).at(312, Toketa{});
    ASSERT_EQ(bout.offered(313).size(), 1U);
    EXPECT_EQ(bout.offered(313)[0].words, "Hajime of golden score is missing. Put it in 13 s ago?");
    const Offer offer = bout.offered(313)[0];
    bout.calls.at(313'000, offer.what, 313'000 - offer.at.ms);
    EXPECT_TRUE(bout.state(314).golden);
    EXPECT_EQ(bout.who(314), Winner::white);
    Told at_signal("2018");  // a hold called with the signal is regular time's
    at_signal.at(0, Hajime{}).at(242, Osaekomi{w});
    EXPECT_TRUE(at_signal.offered(243).empty());
}

TEST(Reviewed, ALateOfferIsForTheCallThatCameLateAndOnlyAfterASignal) {
    Told two("2018");
    two.at(0, Hajime{}).at(10, Osaekomi{w}).at(30.5, Toketa{}).at(32, Mate{});
    ASSERT_EQ(two.offered(33).size(), 1U);  // the toketa's, and it stays long enough to be read
    EXPECT_EQ(std::get<Move>(two.offered(33)[0].what).call, call(3));
    Told throwing("2018");
    throwing.at(0, Hajime{}).at(10, Osaekomi{w}).at(15, Submission{b}).at(17, Mate{});
    EXPECT_TRUE(throwing.offered(18).empty());
    Told late("2018");
    late.at(0, Hajime{}).at(10, Score{w, Level::waza_ari}).at(300, Mate{});
    EXPECT_TRUE(late.offered(301).empty());
    Told running("youth-running-clock", 120);
    running.at(0, Hajime{}).at(30, Score{w, Level::waza_ari}).at(121, Mate{});
    EXPECT_TRUE(running.offered(122).empty());
}

TEST(Reviewed, MateEndsAHoldAlsoAfterSoreMade) {
    Told bout("2018");
    bout.at(0, Hajime{}).at(5, SoreMade{}).at(6, Osaekomi{w});
    EXPECT_EQ(bout.no(8, Mate{}), "");
}

TEST(Reviewed, WhatAHoldHasWonCanBeCalledAsWell) {
    Told awasete("2018");
    awasete.at(0, Hajime{}).at(1, Score{w, Level::waza_ari}).at(5, Osaekomi{w});
    EXPECT_EQ(awasete.no(16, Awasete{w}), "");
    awasete.at(16, Awasete{w});
    EXPECT_EQ(awasete.state(17).of(w).score[index(Level::waza_ari)], 2);
    Told ippon("2018");
    ippon.at(0, Hajime{}).at(5, Osaekomi{w}).at(26, Score{w, Level::ippon});
    EXPECT_EQ(ippon.state(27).of(w).score[index(Level::ippon)], 1);
}

TEST(Reviewed, NoContestTimePassesInADecidedBoutWhateverIsSetByHand) {
    Told bout("2018");
    bout.at(0, Hajime{}).at(100, Score{w, Level::ippon}).at(101, SetHold{b, seconds(5)});
    bout.at(102, Yoshi{});
    EXPECT_FALSE(bout.state(103).contest.running);
    bout.at(104, Toketa{}).at(105, SetClock{seconds(90)});
    EXPECT_EQ(bout.state(106).decision.elapsed, seconds(90));
}

TEST(Reviewed, TimeGivenBackWhileAHoldRunsLetsTheClockGoOn) {
    Told bout("2018");
    bout.at(0, Hajime{}).at(235, Osaekomi{w}).at(242, SetClock{seconds(235)});
    EXPECT_TRUE(bout.state(243).contest.running);
}

TEST(Reviewed, AfterTimeNothingRunsWithoutAHold) {
    Told bout("youth-running-clock", 120);
    bout.at(0, Hajime{}).at(118, SonoMama{});
    EXPECT_EQ(bout.state(121).phase, Phase::stopped);
}

TEST(Reviewed, TheClockAtTheEndIsWhatItReallyShowed) {
    Told stood("2018");  // worked bout E18 after mate: the clock stood when the score was raised
    stood.at(0, Hajime{}).at(30, Mate{}).at(33, Score{w, Level::waza_ari});
    stood.at(40, Replace{call(3), Score{w, Level::ippon}});
    EXPECT_EQ(result_of(stood.under, stood.calls.all(), Instant{41'000}).stopped, seconds(30));
    Told ran("2018");  // a struck toketa: the clock had run on
    ran.at(0, Hajime{}).at(10, Osaekomi{w}).at(25, Toketa{}).strike(40, 3);
    const Result r = result_of(ran.under, ran.calls.all(), Instant{41'000});
    EXPECT_EQ(r.decided, seconds(30));
    EXPECT_EQ(r.stopped, seconds(40));
}

TEST(Reviewed, AnOpenBoutIsNotOpenedAgain) {
    Told bout("2018");
    bout.at(0, Hajime{}).at(5, Score{w, Level::ippon}).at(6, Kachi{}).at(7, Reopen{Ground::slip});
    EXPECT_NE(bout.no(8, Reopen{Ground::slip}), "");
}

TEST(Reviewed, GoldenScoreBeginsFromWhatTheBoardShows) {
    RuleSet ours = set("2009");  // shido worth scores, on a board that is kept: an organiser's set
    ours.golden_keeps_scores = ours.golden_keeps_shido = true;
    const Conditions under{ours, seconds(60), seconds(60)};
    Calls calls;
    calls.at(0, Hajime{}).at(1'000, Score{w, Level::yuko}).at(2'000, Mate{});
    calls.at(3'000, Shido{w}).at(4'000, Shido{w}).at(5'000, Hajime{});
    calls.at(70'000, Hajime{}).at(75'000, Mate{});
    const State s = fold(under, calls.all(), Instant{76'000}).state;
    EXPECT_TRUE(s.golden);
    EXPECT_FALSE(s.decided());
}

// Decision 0016: the order of presses in one pause decides nothing, also after a hold that has
// decided golden score (docs/rules.md 6.4).
TEST(Reviewed, PenaltiesAfterADecidingHoldAreOneJudgement) {
    for (const char* rules : {"2013", "2017", "2003"}) {
        SCOPED_TRACE(rules);
        std::vector<State> ends;
        const std::vector<std::vector<What>> orders{
            {Shido{w}, Shido{b}}, {Shido{b}, Shido{w}}, {Shido{both_sides()}}};
        for (const std::vector<What>& order : orders) {
            Told bout(rules, 300);
            bout.at(0, Hajime{}).at(305, Hajime{}).at(310, Osaekomi{w}).at(322, Mate{});
            double t = 323;
            for (const What& what : order)
                bout.at(t++, what);
            ends.push_back(bout.state(330));
        }
        EXPECT_EQ(ends[0].decision.winner, ends[1].decision.winner);
        EXPECT_EQ(ends[0].decision.winner, ends[2].decision.winner);
        EXPECT_EQ(shown(set(rules), ends[0], w), shown(set(rules), ends[1], w));
        EXPECT_EQ(shown(set(rules), ends[0], w), shown(set(rules), ends[2], w));
    }
}

TEST(Reviewed, AHarmlessShidoToTheHolderTurnsNothing) {
    Told bout("2018");
    bout.at(0, Hajime{}).at(245, Hajime{}).at(250, Osaekomi{w}).at(262, Score{b, Level::waza_ari});
    EXPECT_EQ(bout.who(262), Winner::white);  // the hold had decided
    bout.at(263, Shido{w});
    EXPECT_EQ(bout.who(264), Winner::white);
    EXPECT_TRUE(bout.state(264).hold.on);
    Told thrown("2025");
    thrown.at(0, Hajime{}).at(245, Hajime{}).at(250, Osaekomi{w});
    thrown.at(256, Score{w, Level::waza_ari}).at(257, Shido{w});
    EXPECT_EQ(thrown.who(258), Winner::white);
    EXPECT_EQ(shown(set("2025"), thrown.state(258), w).score[index(Level::yuko)], 1);
}

TEST(Reviewed, TheSecondIpponWithTheSignalCountsWhereTwoAreNeeded) {
    Told bout("youth-running-clock", 120);
    bout.at(0, Hajime{}).at(30, Score{w, Level::ippon}).at(121, Score{w, Level::ippon});
    bout.at(122, Score{b, Level::ippon});
    EXPECT_EQ(bout.who(123), Winner::white);
}

TEST(Reviewed, AnIdleKachiJudgesTheHoldItEnds) {
    Told bout("2018");
    bout.at(0, Hajime{}).at(235, Osaekomi{w}).at(247, Score{b, Level::ippon}).at(248, Kachi{});
    bout.at(260, Reopen{Ground::slip}).strike(261, 3);
    EXPECT_EQ(bout.who(262), Winner::white);
}

TEST(Reviewed, AClockSetBackAfterHanteiLeavesWhatStandsToBeJudged) {
    Told bout("youth-decision", 180);
    bout.at(0, Hajime{}).at(181, Award{w, Way::hantei}).at(182, Score{b, Level::ippon});
    bout.at(183, SetClock{seconds(170)});
    EXPECT_EQ(bout.who(184), Winner::blue);
}

TEST(Reviewed, AWrongFusenGachiIsPutRightByStrikingIt) {
    Told bout("2018");
    bout.at(0, Called{}).at(10, Absent{w}).at(45, Award{w, Way::fusen_gachi}).at(46, Kachi{});
    bout.at(47, Confirm{}).at(50, Reopen{Ground::slip}).strike(51, 3);
    EXPECT_EQ(bout.no(52, Award{b, Way::fusen_gachi}), "");
}

TEST(Reviewed, ALateMateIsMeasuredFromTheSignalItself) {
    Told long_ago("2018");
    long_ago.at(0, Hajime{}).at(300, SoreMade{});
    for (const Offer& offer : long_ago.offered(303))
        EXPECT_FALSE(std::holds_alternative<Move>(offer.what));
    Told after_sore_made("2018");
    after_sore_made.at(0, Hajime{}).at(10, Score{w, Level::waza_ari}).at(241, SoreMade{});
    after_sore_made.at(243, Mate{});
    EXPECT_TRUE(after_sore_made.offered(244).empty());
    Told both("2018");
    both.at(0, Hajime{}).at(10, Osaekomi{w}).at(15, Score{both_sides(), Level::ippon});
    both.at(17, Mate{});
    EXPECT_TRUE(both.offered(18).empty());
}

TEST(Reviewed, AReviewAtTheSignalIsNoGoldenScore) {
    Told bout("2018");
    bout.at(0, Hajime{}).at(241, Review{}).at(270, Score{w, Level::waza_ari});
    EXPECT_TRUE(bout.offered(271).empty());
    Told hold("2018");  // a hold that ran past the time, and its score as announced
    hold.at(0, Hajime{}).at(5, Score{b, Level::waza_ari}).at(239, Osaekomi{w}).at(252, Toketa{});
    hold.at(253, Score{w, Level::waza_ari});
    for (const Offer& offer : hold.offered(254))
        EXPECT_FALSE(std::holds_alternative<Hajime>(offer.what));
}

TEST(Reviewed, TheLosersPenaltyKeepsTheRefereesWord) {
    Told bout("2018");
    bout.at(0, Hajime{}).at(5, Mate{}).at(6, Shido{w}).at(7, Shido{w});
    bout.at(8, Award{b, Way::kiken_gachi}).at(9, Shido{w});
    EXPECT_EQ(bout.state(10).decision.way, Way::kiken_gachi);
}

}  // namespace
}  // namespace honbu

// The wire: replies, views and finished bouts say all they were given.
//
// A field left out of the mapping looks like a zero on every screen and nobody gets an error. So
// every field is given a value of its own and looked for at the other end.
#include <gtest/gtest.h>

#include "engine/record/canon.h"
#include "tests/unit/wire_samples.h"

namespace honbu {
namespace {

constexpr std::string_view run_name = "00f3a1b2c3d4e5f6";
constexpr RunId run{0x00f3a1b2c3d4e5f6};

TEST(Wire, AWelcomeSaysAllOfIt) {
    const v1::ToClient message = parsed(to_wire(Reply{a_welcome()}));
    ASSERT_EQ(message.kind_case(), v1::ToClient::kWelcome);
    const v1::Welcome& got = message.welcome();
    EXPECT_EQ(got.schema(), wire_schema);
    EXPECT_EQ(got.epoch(), "000000000000001f");
    EXPECT_EQ(got.number(), 412U);
    EXPECT_EQ(got.hub_ms(), 90000U);
    EXPECT_EQ(got.rehearsal_rate(), 10U);
    EXPECT_EQ(got.title(), "Ōtautahi open");
    ASSERT_EQ(got.mats_size(), 2);
    EXPECT_EQ(got.mats(1), 2U);
    ASSERT_EQ(got.runs_size(), 2);
    EXPECT_EQ(got.runs(0).run(), run_name);
    EXPECT_EQ(got.runs(0).last(), 7U);
    EXPECT_EQ(got.fold_version(), 4U);
    EXPECT_EQ(got.hash(), "00b0c44298fc1c14");
    EXPECT_EQ(got.missing(), 17U);
    EXPECT_TRUE(got.differs());
    ASSERT_EQ(got.earlier_epochs_size(), 2);
    EXPECT_EQ(got.earlier_epochs(0), "000000000000001d");
    EXPECT_EQ(got.earlier_epochs(1), "000000000000001e");
    EXPECT_EQ(parsed(to_wire(Reply{Welcome{}})).welcome().hash(), "");
}

TEST(Wire, AnAllotmentCarriesCanonicalBytes) {
    const Allotment allotment = an_allotment();
    const RuleSet& rules = allotment.rules.at(1);
    const BoutGiven& bout = allotment.bouts.at(1);
    const v1::ToClient message = parsed(to_wire(Reply{allotment}));
    ASSERT_EQ(message.kind_case(), v1::ToClient::kAllotment);
    const v1::Allotment& got = message.allotment();
    EXPECT_EQ(got.mat(), 2U);
    EXPECT_EQ(got.term(), 5U);
    ASSERT_EQ(got.rules_size(), 2);
    EXPECT_EQ(got.rules(1), encode(rules));
    const auto decoded = decode_rules(got.rules(1));
    ASSERT_TRUE(decoded.has_value());
    EXPECT_EQ(decoded->name, "as invented");
    ASSERT_EQ(got.bouts_size(), 2);
    const v1::BoutGiven& given = got.bouts(1);
    EXPECT_EQ(given.bout(), 12U);
    EXPECT_EQ(given.category(), "women -57 kg");
    EXPECT_EQ(given.round(), "final");
    EXPECT_EQ(given.rules(), 1U);
    EXPECT_EQ(given.time_ms(), 240000U);
    EXPECT_EQ(given.golden_ms(), 180000U);
    EXPECT_TRUE(given.confirmed());
    EXPECT_TRUE(given.at_desk());
    EXPECT_FALSE(got.bouts(0).at_desk());
    EXPECT_EQ(given.white().person(), 3U);
    EXPECT_EQ(given.white().name(), "Tui Marama");
    EXPECT_EQ(given.white().club(), "Harbour");
    EXPECT_EQ(given.white().from(), v1::Seat::FROM_PERSON);
    EXPECT_EQ(given.blue().from(), v1::Seat::FROM_LOSER_OF);
    EXPECT_EQ(given.blue().from_bout(), 9U);
    ASSERT_EQ(static_cast<std::size_t>(given.calls_size()), bout.calls.size());
    for (int i = 0; i < given.calls_size(); ++i) {
        const auto call = decode_call(given.calls(i));
        ASSERT_TRUE(call.has_value());
        EXPECT_EQ(encode(*call), encode(bout.calls[static_cast<std::size_t>(i)]));
    }
    ASSERT_EQ(got.clocks_size(), 1);
    EXPECT_EQ(got.clocks(0).run(), run_name);
    EXPECT_EQ(got.clocks(0).run_ms(), 12U);
    EXPECT_EQ(got.clocks(0).hub_ms(), 3400U);
}

TEST(Wire, EveryOtherReplySaysAllOfIt) {
    // Those of table and desk with each other: wire_desk_reply_test.cpp.
    static_assert(std::variant_size_v<Reply> == 13, "test the new reply");

    v1::ToClient message = parsed(to_wire(Reply{ClockAnswer{17, Instant{4000}}}));
    ASSERT_EQ(message.kind_case(), v1::ToClient::kClockAnswer);
    EXPECT_EQ(message.clock_answer().sent(), 17U);
    EXPECT_EQ(message.clock_answer().hub_ms(), 4000U);

    const CallId call{run, CallNumber{31}};
    message = parsed(
        to_wire(Reply{VerdictGiven{call, Verdict::set_aside, RecordNumber{88}, true}}));
    ASSERT_EQ(message.kind_case(), v1::ToClient::kVerdict);
    EXPECT_EQ(message.verdict().call().run(), run_name);
    EXPECT_EQ(message.verdict().call().number(), 31U);
    EXPECT_EQ(message.verdict().kind(), v1::Verdict::KIND_SET_ASIDE);
    EXPECT_EQ(message.verdict().record(), 88U);
    EXPECT_TRUE(message.verdict().state_differs());

    message = parsed(to_wire(Reply{Refusal{Cause::number_gap, "Call 30 is missing.", true, call}}));
    ASSERT_EQ(message.kind_case(), v1::ToClient::kRefusal);
    EXPECT_EQ(message.refusal().reason(), v1::REASON_NUMBER_GAP);
    EXPECT_EQ(message.refusal().words(), "Call 30 is missing.");
    EXPECT_EQ(message.refusal().call().number(), 31U);
    EXPECT_EQ(message.refusal().request(), 0U);
    message = parsed(to_wire(Reply{Refusal{Cause::changed, "Look again.", false, {}, 8}}));
    EXPECT_FALSE(message.refusal().has_call());
    EXPECT_EQ(message.refusal().request(), 8U);

    message = parsed(
        to_wire(Reply{MatLost{MatId{2}, Term{6}, "Taken by the laptop at the desk."}}));
    ASSERT_EQ(message.kind_case(), v1::ToClient::kMatLost);
    EXPECT_EQ(message.mat_lost().mat(), 2U);
    EXPECT_EQ(message.mat_lost().term(), 6U);
    EXPECT_EQ(message.mat_lost().words(), "Taken by the laptop at the desk.");
    EXPECT_FALSE(message.mat_lost().left());
    message = parsed(to_wire(Reply{MatLost{MatId{2}, Term{6}, "", true}}));
    EXPECT_TRUE(message.mat_lost().left());

    message = parsed(to_wire(Reply{AtTheDoor{"012345", true}}));
    ASSERT_EQ(message.kind_case(), v1::ToClient::kAtTheDoor);
    EXPECT_EQ(message.at_the_door().code(), "012345");
    EXPECT_TRUE(message.at_the_door().takes_code());

    message = parsed(to_wire(Reply{Heartbeat{}}));
    EXPECT_EQ(message.kind_case(), v1::ToClient::kHeartbeat);

    message = parsed(to_wire(Reply{Goodbye{Cause::stopping, "The hub stops.", true}}));
    ASSERT_EQ(message.kind_case(), v1::ToClient::kGoodbye);
    EXPECT_EQ(message.goodbye().reason(), v1::REASON_STOPPING);
    EXPECT_EQ(message.goodbye().words(), "The hub stops.");
    EXPECT_TRUE(message.goodbye().come_back());
}

// ---- what screens get ---------------------------------------------------------------------------

TEST(Wire, AViewSaysAllOfIt) {
    MatView view = a_view();
    const v1::ToClient message = parsed(to_wire(view));
    ASSERT_EQ(message.kind_case(), v1::ToClient::kMat);
    const v1::MatView& got = message.mat();
    EXPECT_EQ(got.mat(), 2U);
    EXPECT_EQ(got.number(), 99U);
    EXPECT_EQ(got.table(), v1::TABLE_LINE_ALONE);
    expect_a_head(got.bout());
    ASSERT_EQ(got.frames_size(), 2);
    const v1::Frame& frame = got.frames(0);
    EXPECT_EQ(frame.from(), 1000U);
    EXPECT_EQ(frame.why(), v1::Frame::WHY_CALL);
    EXPECT_EQ(frame.phase(), v1::PHASE_FIGHTING);
    EXPECT_TRUE(frame.golden_score());
    EXPECT_TRUE(frame.time_up());
    EXPECT_TRUE(frame.clock().running());
    EXPECT_FALSE(frame.clock().down());
    EXPECT_EQ(frame.clock().ms(), 61000U);
    ASSERT_TRUE(frame.has_hold());
    EXPECT_EQ(frame.hold().by(), v1::SIDE_BLUE);
    EXPECT_TRUE(frame.hold().running());
    EXPECT_EQ(frame.hold().ms(), 9500U);
    EXPECT_EQ(frame.hold().reached(), v1::LEVEL_YUKO);
    EXPECT_EQ(frame.white().ippon(), 1U);
    EXPECT_EQ(frame.white().waza_ari(), 2U);
    EXPECT_EQ(frame.white().yuko(), 3U);
    EXPECT_EQ(frame.white().koka(), 4U);
    EXPECT_EQ(frame.white().shido(), 2U);
    EXPECT_FALSE(frame.white().hansoku_make());
    EXPECT_TRUE(frame.blue().hansoku_make());
    EXPECT_EQ(frame.winner(), v1::WINNER_WHITE);
    EXPECT_EQ(frame.way(), v1::WAY_HANSOKU_MAKE_DIRECT);
    EXPECT_EQ(frame.words(), "white wins");
    EXPECT_EQ(frame.regular_ms(), 240000U);
    EXPECT_EQ(frame.limit_ms(), 180000U);
    EXPECT_TRUE(frame.decided());
    EXPECT_TRUE(frame.review());
    EXPECT_TRUE(frame.signal_waits());
    ASSERT_TRUE(frame.has_past_hold());
    EXPECT_EQ(frame.past_hold().by(), v1::SIDE_BLUE);
    EXPECT_EQ(frame.past_hold().ms(), 7700U);
    ASSERT_TRUE(frame.has_absence());
    EXPECT_EQ(frame.absence().who(), v1::SIDE_BOTH);
    EXPECT_EQ(frame.absence().calls(), 2U);
    EXPECT_TRUE(frame.absence().running());
    EXPECT_EQ(frame.absence().left_ms(), 12300U);
    EXPECT_TRUE(frame.absence().over());
    EXPECT_FALSE(got.frames(1).has_past_hold());
    EXPECT_FALSE(got.frames(1).has_absence());
    EXPECT_FALSE(got.frames(1).decided());
    EXPECT_EQ(got.frames(1).why(), v1::Frame::WHY_HOLD_ENDED);
    EXPECT_FALSE(got.frames(1).has_hold());
    ASSERT_EQ(got.next_size(), 2);
    expect_a_head(got.next(0));

    view.has_bout = false;
    EXPECT_FALSE(parsed(to_wire(view)).mat().has_bout());
}

TEST(Wire, AFinishedBoutSaysAllOfIt) {
    const Finished item = a_finished();
    const v1::ToClient message = parsed(to_wire(item));
    ASSERT_EQ(message.kind_case(), v1::ToClient::kFinished);
    const v1::Finished& got = message.finished();
    EXPECT_EQ(got.number(), 120U);
    EXPECT_EQ(got.mat(), 4U);
    expect_a_head(got.bout());
    EXPECT_EQ(got.result().winner(), v1::WINNER_BLUE);
    EXPECT_EQ(got.result().way(), v1::WAY_WAZA_ARI);
    EXPECT_TRUE(got.result().golden_score());
    EXPECT_EQ(got.result().regular_ms(), 240000U);
    EXPECT_EQ(got.result().golden_ms(), 40000U);
    EXPECT_EQ(got.result().blue().waza_ari(), 1U);
    EXPECT_EQ(got.result().rules_hash(), std::string(32, '\xab'));
    EXPECT_EQ(got.result().fold_version(), 2U);
    EXPECT_EQ(got.result().means(), v1::MEANS_HOLD);
    EXPECT_EQ(got.result().flags(), 3U);
    EXPECT_EQ(got.result().decided_ms(), 40001U);
    EXPECT_EQ(got.result().stopped_ms(), 40002U);
    EXPECT_EQ(got.result().points(), 7U);
    EXPECT_TRUE(got.result().names_exchanged());
    EXPECT_TRUE(got.result().administrative());
    EXPECT_EQ(got.words(), item.words);
    EXPECT_EQ(got.confirmed_ms(), 777U);
    EXPECT_EQ(got.from(), v1::RESULT_FROM_OTHER_RECORD);
    EXPECT_EQ(got.replaces(), 99U);
    ASSERT_TRUE(got.has_also());
    EXPECT_EQ(got.also().number(), 120U);
    EXPECT_EQ(got.also().words(), "white wins by ippon, 1:20");
    EXPECT_FALSE(got.also().has_also());
    ASSERT_TRUE(got.has_no_result());
    EXPECT_EQ(got.no_result().bout(), 13U);
    const v1::ToClient plain = parsed(to_wire(Finished{}));
    EXPECT_EQ(plain.finished().from(), v1::RESULT_FROM_TABLE);
    EXPECT_FALSE(plain.finished().has_also());
    EXPECT_FALSE(plain.finished().has_no_result());
}

}  // namespace
}  // namespace honbu

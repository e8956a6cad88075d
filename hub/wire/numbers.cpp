// Enums have the same numbers here and on the wire, so that a cast is a mapping: proved while
// compiling.
#include "hub/wire/parts.h"

namespace honbu::wire {
namespace {

template<class Value, class Wire> constexpr bool same(Value value, Wire wire) {
    return static_cast<int>(value) == static_cast<int>(wire);
}

static_assert(same(Role::none, v1::ROLE_NONE));
static_assert(same(Role::table, v1::ROLE_TABLE));
static_assert(same(Role::board, v1::ROLE_BOARD));
static_assert(same(Role::hall, v1::ROLE_HALL));
static_assert(same(Role::desk, v1::ROLE_DESK));
static_assert(same(Role::set_up, v1::ROLE_SET_UP));
static_assert(v1::Role_MAX == v1::ROLE_SET_UP);

static_assert(same(Cause::none, v1::REASON_NONE));
static_assert(same(Cause::unreadable, v1::REASON_UNREADABLE));
static_assert(same(Cause::hello_first, v1::REASON_HELLO_FIRST));
static_assert(same(Cause::other_schema, v1::REASON_OTHER_SCHEMA));
static_assert(same(Cause::not_a_table, v1::REASON_NOT_A_TABLE));
static_assert(same(Cause::no_such_mat, v1::REASON_NO_SUCH_MAT));
static_assert(same(Cause::mat_held, v1::REASON_MAT_HELD));
static_assert(same(Cause::number_gap, v1::REASON_NUMBER_GAP));
static_assert(same(Cause::other_content, v1::REASON_OTHER_CONTENT));
static_assert(same(Cause::too_big, v1::REASON_TOO_BIG));
static_assert(same(Cause::too_slow, v1::REASON_TOO_SLOW));
static_assert(same(Cause::stopping, v1::REASON_STOPPING));
static_assert(same(Cause::no_room, v1::REASON_NO_ROOM));
static_assert(same(Cause::silent, v1::REASON_SILENT));
static_assert(same(Cause::other_fold, v1::REASON_OTHER_FOLD));
static_assert(same(Cause::not_the_desk, v1::REASON_NOT_THE_DESK));
static_assert(same(Cause::not_yours, v1::REASON_NOT_YOURS));
static_assert(same(Cause::at_the_table, v1::REASON_AT_THE_TABLE));
static_assert(same(Cause::changed, v1::REASON_CHANGED));
static_assert(same(Cause::impossible, v1::REASON_IMPOSSIBLE));
static_assert(same(Cause::no_such_bout, v1::REASON_NO_SUCH_BOUT));
static_assert(same(Cause::too_many, v1::REASON_TOO_MANY));
static_assert(same(PublicNames::full, v1::PUBLIC_NAMES_FULL));
static_assert(same(PublicNames::initials, v1::PUBLIC_NAMES_INITIALS));
static_assert(same(PublicNames::hidden, v1::PUBLIC_NAMES_HIDDEN));
static_assert(v1::PublicNames_MAX == v1::PUBLIC_NAMES_HIDDEN);

static_assert(same(Cause::not_let_in, v1::REASON_NOT_LET_IN));
static_assert(same(Cause::shut_out, v1::REASON_SHUT_OUT));
static_assert(same(Cause::wrong_code, v1::REASON_WRONG_CODE));
static_assert(same(Cause::other_entrance, v1::REASON_OTHER_ENTRANCE));
static_assert(same(Cause::full, v1::REASON_FULL));
static_assert(same(Cause::too_fast, v1::REASON_TOO_FAST));
static_assert(same(Cause::no_such_person, v1::REASON_NO_SUCH_PERSON));
static_assert(v1::Reason_MAX == v1::REASON_NO_SUCH_PERSON);

static_assert(same(Right::none, v1::RIGHT_NONE));
static_assert(same(Right::table, v1::RIGHT_TABLE));
static_assert(same(Right::desk, v1::RIGHT_DESK));
static_assert(same(Right::set_up, v1::RIGHT_SET_UP));
static_assert(same(Right::display, v1::RIGHT_DISPLAY));
static_assert(v1::Right_MAX == v1::RIGHT_DISPLAY);

static_assert(same(AskTo::table, v1::Ask::TO_TABLE));
static_assert(same(AskTo::desk, v1::Ask::TO_DESK));
static_assert(v1::Ask::To_MAX == v1::Ask::TO_DESK);

static_assert(same(About::come, v1::ABOUT_COME));
static_assert(same(About::mat, v1::ABOUT_MAT));
static_assert(same(About::other, v1::ABOUT_OTHER));
static_assert(v1::About_MAX == v1::ABOUT_OTHER);

static_assert(same(Answered::heard, v1::AskAnswered::HOW_HEARD));
static_assert(same(Answered::coming, v1::AskAnswered::HOW_COMING));
static_assert(same(Answered::yes, v1::AskAnswered::HOW_YES));
static_assert(same(Answered::no, v1::AskAnswered::HOW_NO));
static_assert(same(Answered::gone, v1::AskAnswered::HOW_GONE));
static_assert(v1::AskAnswered::How_MAX == v1::AskAnswered::HOW_GONE);

static_assert(same(SetAsideDecided::How::dismissed, v1::DecideSetAside::HOW_DISMISSED));
static_assert(same(SetAsideDecided::How::taken, v1::DecideSetAside::HOW_TAKEN));
static_assert(v1::DecideSetAside::How_MAX == v1::DecideSetAside::HOW_TAKEN);

static_assert(same(ResultFrom::table, v1::RESULT_FROM_TABLE));
static_assert(same(ResultFrom::paper, v1::RESULT_FROM_PAPER));
static_assert(same(ResultFrom::desk, v1::RESULT_FROM_DESK));
static_assert(same(ResultFrom::other_record, v1::RESULT_FROM_OTHER_RECORD));
static_assert(same(ResultEntered::From::paper, v1::RESULT_FROM_PAPER));
static_assert(same(ResultEntered::From::desk, v1::RESULT_FROM_DESK));
static_assert(v1::ResultFrom_MAX == v1::RESULT_FROM_OTHER_RECORD);

static_assert(same(Verdict::none, v1::Verdict::KIND_NONE));
static_assert(same(Verdict::applied, v1::Verdict::KIND_APPLIED));
static_assert(same(Verdict::without_effect, v1::Verdict::KIND_WITHOUT_EFFECT));
static_assert(same(Verdict::set_aside, v1::Verdict::KIND_SET_ASIDE));
static_assert(v1::Verdict::Kind_MAX == v1::Verdict::KIND_SET_ASIDE);

static_assert(same(Side::white, v1::SIDE_WHITE));
static_assert(same(Side::blue, v1::SIDE_BLUE));
static_assert(same(only(Side::white).bits, v1::SIDE_WHITE));
static_assert(same(only(Side::blue).bits, v1::SIDE_BLUE));
static_assert(same(both_sides().bits, v1::SIDE_BOTH));
static_assert(v1::Side_MAX == v1::SIDE_BOTH);

static_assert(same(Colour::white, v1::COLOUR_WHITE));
static_assert(same(Colour::blue, v1::COLOUR_BLUE));
static_assert(same(Colour::red, v1::COLOUR_RED));
static_assert(v1::Colour_MAX == v1::COLOUR_RED);

static_assert(same(0, v1::LEVEL_NONE));
static_assert(same(Level::koka, v1::LEVEL_KOKA));
static_assert(same(Level::yuko, v1::LEVEL_YUKO));
static_assert(same(Level::waza_ari, v1::LEVEL_WAZA_ARI));
static_assert(same(Level::ippon, v1::LEVEL_IPPON));
static_assert(v1::Level_MAX == v1::LEVEL_IPPON);

static_assert(same(Winner::undecided, v1::WINNER_UNDECIDED));
static_assert(same(Winner::white, v1::WINNER_WHITE));
static_assert(same(Winner::blue, v1::WINNER_BLUE));
static_assert(same(Winner::both_lose, v1::WINNER_BOTH_LOSE));
static_assert(same(Winner::draw, v1::WINNER_DRAW));
static_assert(v1::Winner_MAX == v1::WINNER_DRAW);

static_assert(same(Way::none, v1::WAY_NONE));
static_assert(same(Way::ippon, v1::WAY_IPPON));
static_assert(same(Way::waza_ari_awasete_ippon, v1::WAY_WAZA_ARI_AWASETE_IPPON));
static_assert(same(Way::sogo_gachi, v1::WAY_SOGO_GACHI));
static_assert(same(Way::waza_ari, v1::WAY_WAZA_ARI));
static_assert(same(Way::yuko, v1::WAY_YUKO));
static_assert(same(Way::koka, v1::WAY_KOKA));
static_assert(same(Way::fewer_shido, v1::WAY_FEWER_SHIDO));
static_assert(same(Way::hantei, v1::WAY_HANTEI));
static_assert(same(Way::hansoku_make_by_shido, v1::WAY_HANSOKU_MAKE_BY_SHIDO));
static_assert(same(Way::hansoku_make_direct, v1::WAY_HANSOKU_MAKE_DIRECT));
static_assert(same(Way::kiken_gachi, v1::WAY_KIKEN_GACHI));
static_assert(same(Way::fusen_gachi, v1::WAY_FUSEN_GACHI));
static_assert(same(Way::both_lose, v1::WAY_BOTH_LOSE));
static_assert(same(Way::hiki_wake, v1::WAY_HIKI_WAKE));
static_assert(v1::Way_MAX == v1::WAY_HIKI_WAKE);

static_assert(same(Means::none, v1::MEANS_NONE));
static_assert(same(Means::called, v1::MEANS_CALLED));
static_assert(same(Means::hold, v1::MEANS_HOLD));
static_assert(same(Means::submission, v1::MEANS_SUBMISSION));
static_assert(same(Means::choke, v1::MEANS_CHOKE));
static_assert(v1::Means_MAX == v1::MEANS_CHOKE);

static_assert(same(Reason::not_said, v1::PENALTY_REASON_NOT_SAID));
static_assert(same(Reason::non_combativity, v1::PENALTY_REASON_NON_COMBATIVITY));
static_assert(same(Reason::false_attack, v1::PENALTY_REASON_FALSE_ATTACK));
static_assert(same(Reason::excessive_defence, v1::PENALTY_REASON_EXCESSIVE_DEFENCE));
static_assert(same(Reason::avoiding_grip, v1::PENALTY_REASON_AVOIDING_GRIP));
static_assert(same(Reason::two_hand_grip_break, v1::PENALTY_REASON_TWO_HAND_GRIP_BREAK));
static_assert(same(Reason::unorthodox_grip, v1::PENALTY_REASON_UNORTHODOX_GRIP));
static_assert(same(Reason::sleeve_end, v1::PENALTY_REASON_SLEEVE_END));
static_assert(same(Reason::fingers_inside, v1::PENALTY_REASON_FINGERS_INSIDE));
static_assert(same(Reason::pistol_grip, v1::PENALTY_REASON_PISTOL_GRIP));
static_assert(same(Reason::interlocked_fingers, v1::PENALTY_REASON_INTERLOCKED_FINGERS));
static_assert(same(Reason::leaving_area, v1::PENALTY_REASON_LEAVING_AREA));
static_assert(same(Reason::danger_area, v1::PENALTY_REASON_DANGER_AREA));
static_assert(same(Reason::pushing_out, v1::PENALTY_REASON_PUSHING_OUT));
static_assert(same(Reason::leg_grab, v1::PENALTY_REASON_LEG_GRAB));
static_assert(same(Reason::bear_hug, v1::PENALTY_REASON_BEAR_HUG));
static_assert(same(Reason::judogi, v1::PENALTY_REASON_JUDOGI));
static_assert(same(Reason::pulling_down, v1::PENALTY_REASON_PULLING_DOWN));
static_assert(same(Reason::body_scissors, v1::PENALTY_REASON_BODY_SCISSORS));
static_assert(same(Reason::bending_fingers, v1::PENALTY_REASON_BENDING_FINGERS));
static_assert(same(Reason::forced_posture, v1::PENALTY_REASON_FORCED_POSTURE));
static_assert(same(Reason::arm_lock_in_throw, v1::PENALTY_REASON_ARM_LOCK_IN_THROW));
static_assert(same(Reason::use_of_head, v1::PENALTY_REASON_USE_OF_HEAD));
static_assert(same(Reason::reverse_seoi_nage, v1::PENALTY_REASON_REVERSE_SEOI_NAGE));
static_assert(same(Reason::attire, v1::PENALTY_REASON_ATTIRE));
static_assert(same(Reason::kawazu_gake, v1::PENALTY_REASON_KAWAZU_GAKE));
static_assert(same(Reason::lock_elsewhere, v1::PENALTY_REASON_LOCK_ELSEWHERE));
static_assert(same(Reason::lifting_and_dropping, v1::PENALTY_REASON_LIFTING_AND_DROPPING));
static_assert(same(Reason::reaping_support, v1::PENALTY_REASON_REAPING_SUPPORT));
static_assert(same(Reason::ignoring_referee, v1::PENALTY_REASON_IGNORING_REFEREE));
static_assert(same(Reason::unsporting, v1::PENALTY_REASON_UNSPORTING));
static_assert(same(Reason::head_dive, v1::PENALTY_REASON_HEAD_DIVE));
static_assert(same(Reason::neck_or_spine, v1::PENALTY_REASON_NECK_OR_SPINE));
static_assert(same(Reason::straight_down_lock, v1::PENALTY_REASON_STRAIGHT_DOWN_LOCK));
static_assert(same(Reason::falling_backwards, v1::PENALTY_REASON_FALLING_BACKWARDS));
static_assert(same(Reason::hard_object, v1::PENALTY_REASON_HARD_OBJECT));
static_assert(same(Reason::head_defence, v1::PENALTY_REASON_HEAD_DEFENCE));
static_assert(same(Reason::other, v1::PENALTY_REASON_OTHER));
static_assert(v1::PenaltyReason_MAX == v1::PENALTY_REASON_OTHER);

static_assert(same(DirectClass::not_said, v1::DIRECT_CLASS_NOT_SAID));
static_assert(same(DirectClass::endangered_self, v1::DIRECT_CLASS_ENDANGERED_SELF));
static_assert(same(DirectClass::against_spirit, v1::DIRECT_CLASS_AGAINST_SPIRIT));
static_assert(v1::DirectClass_MAX == v1::DIRECT_CLASS_AGAINST_SPIRIT);

static_assert(same(Site::nose, v1::SITE_NOSE));
static_assert(same(Site::mouth, v1::SITE_MOUTH));
static_assert(same(Site::face, v1::SITE_FACE));
static_assert(same(Site::head, v1::SITE_HEAD));
static_assert(same(Site::ear, v1::SITE_EAR));
static_assert(same(Site::neck, v1::SITE_NECK));
static_assert(same(Site::hand, v1::SITE_HAND));
static_assert(same(Site::arm, v1::SITE_ARM));
static_assert(same(Site::leg, v1::SITE_LEG));
static_assert(same(Site::foot, v1::SITE_FOOT));
static_assert(same(Site::other, v1::SITE_OTHER));
static_assert(v1::Site_MAX == v1::SITE_OTHER);

static_assert(same(DoctorCall::referee, v1::DOCTOR_CALL_REFEREE));
static_assert(same(DoctorCall::athlete, v1::DOCTOR_CALL_ATHLETE));
static_assert(same(DoctorCall::doctor, v1::DOCTOR_CALL_DOCTOR));
static_assert(v1::DoctorCall_MAX == v1::DOCTOR_CALL_DOCTOR);

static_assert(same(Harm::injury, v1::HARM_INJURY));
static_assert(same(Harm::illness, v1::HARM_ILLNESS));
static_assert(same(Harm::head, v1::HARM_HEAD));
static_assert(same(Harm::unconscious, v1::HARM_UNCONSCIOUS));
static_assert(v1::Harm_MAX == v1::HARM_UNCONSCIOUS);

static_assert(same(Blame::not_said, v1::BLAME_NOT_SAID));
static_assert(same(Blame::own, v1::BLAME_OWN));
static_assert(same(Blame::other, v1::BLAME_OTHER));
static_assert(same(Blame::unknown, v1::BLAME_UNKNOWN));
static_assert(same(Blame::outside, v1::BLAME_OUTSIDE));
static_assert(v1::Blame_MAX == v1::BLAME_OUTSIDE);

static_assert(same(Ground::slip, v1::GROUND_SLIP));
static_assert(same(Ground::referee, v1::GROUND_REFEREE));
static_assert(same(Ground::majority, v1::GROUND_MAJORITY));
static_assert(same(Ground::names, v1::GROUND_NAMES));
static_assert(same(Ground::clock, v1::GROUND_CLOCK));
static_assert(same(Ground::administrative, v1::GROUND_ADMINISTRATIVE));
static_assert(v1::Ground_MAX == v1::GROUND_ADMINISTRATIVE);

static_assert(same(Phase::waiting, v1::PHASE_WAITING));
static_assert(same(Phase::called, v1::PHASE_CALLED));
static_assert(same(Phase::fighting, v1::PHASE_FIGHTING));
static_assert(same(Phase::stopped, v1::PHASE_STOPPED));
static_assert(same(Phase::frozen, v1::PHASE_FROZEN));
static_assert(same(Phase::over, v1::PHASE_OVER));
static_assert(same(Phase::announced, v1::PHASE_ANNOUNCED));
static_assert(same(Phase::confirmed, v1::PHASE_CONFIRMED));
static_assert(same(Phase::accepted, v1::PHASE_ACCEPTED));
static_assert(v1::Phase_MAX == v1::PHASE_ACCEPTED);

static_assert(same(Happening::none, v1::Frame::WHY_CALL));
static_assert(same(Happening::time_up, v1::Frame::WHY_TIME_UP));
static_assert(same(Happening::hold_level, v1::Frame::WHY_HOLD_LEVEL));
static_assert(same(Happening::hold_ended, v1::Frame::WHY_HOLD_ENDED));
static_assert(same(Happening::absence_due, v1::Frame::WHY_ABSENCE_DUE));
static_assert(same(Happening::absence_over, v1::Frame::WHY_ABSENCE_OVER));
static_assert(same(Happening::hold_faded, v1::Frame::WHY_HOLD_FADED));
static_assert(v1::Frame::Why_MAX == v1::Frame::WHY_HOLD_FADED);

static_assert(same(TableLine::none, v1::TABLE_LINE_NONE));
static_assert(same(TableLine::live, v1::TABLE_LINE_LIVE));
static_assert(same(TableLine::alone, v1::TABLE_LINE_ALONE));
static_assert(v1::TableLine_MAX == v1::TABLE_LINE_ALONE);

static_assert(same(Joint::Source::wall_clock, v1::Joint::SOURCE_WALL_CLOCK));
static_assert(same(Joint::Source::hub_clock, v1::Joint::SOURCE_HUB_CLOCK));
static_assert(same(Joint::Source::typed, v1::Joint::SOURCE_TYPED));
static_assert(same(Joint::Source::assumed, v1::Joint::SOURCE_ASSUMED));
static_assert(v1::Joint::Source_MAX == v1::Joint::SOURCE_ASSUMED);

}  // namespace
}  // namespace honbu::wire

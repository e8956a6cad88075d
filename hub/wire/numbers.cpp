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
static_assert(v1::Role_MAX == v1::ROLE_DESK);

static_assert(same(Reason::none, v1::REASON_NONE));
static_assert(same(Reason::unreadable, v1::REASON_UNREADABLE));
static_assert(same(Reason::hello_first, v1::REASON_HELLO_FIRST));
static_assert(same(Reason::other_schema, v1::REASON_OTHER_SCHEMA));
static_assert(same(Reason::not_a_table, v1::REASON_NOT_A_TABLE));
static_assert(same(Reason::no_such_mat, v1::REASON_NO_SUCH_MAT));
static_assert(same(Reason::mat_held, v1::REASON_MAT_HELD));
static_assert(same(Reason::number_gap, v1::REASON_NUMBER_GAP));
static_assert(same(Reason::other_content, v1::REASON_OTHER_CONTENT));
static_assert(same(Reason::too_big, v1::REASON_TOO_BIG));
static_assert(same(Reason::too_slow, v1::REASON_TOO_SLOW));
static_assert(same(Reason::stopping, v1::REASON_STOPPING));
static_assert(same(Reason::no_room, v1::REASON_NO_ROOM));
static_assert(same(Reason::silent, v1::REASON_SILENT));
static_assert(same(Reason::other_fold, v1::REASON_OTHER_FOLD));
static_assert(v1::Reason_MAX == v1::REASON_OTHER_FOLD);

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

static_assert(same(Phase::waiting, v1::PHASE_WAITING));
static_assert(same(Phase::called, v1::PHASE_CALLED));
static_assert(same(Phase::fighting, v1::PHASE_FIGHTING));
static_assert(same(Phase::stopped, v1::PHASE_STOPPED));
static_assert(same(Phase::frozen, v1::PHASE_FROZEN));
static_assert(same(Phase::over, v1::PHASE_OVER));
static_assert(same(Phase::announced, v1::PHASE_ANNOUNCED));
static_assert(same(Phase::confirmed, v1::PHASE_CONFIRMED));
static_assert(v1::Phase_MAX == v1::PHASE_CONFIRMED);

static_assert(same(Happening::none, v1::Frame::WHY_CALL));
static_assert(same(Happening::time_up, v1::Frame::WHY_TIME_UP));
static_assert(same(Happening::hold_level, v1::Frame::WHY_HOLD_LEVEL));
static_assert(same(Happening::hold_ended, v1::Frame::WHY_HOLD_ENDED));
static_assert(v1::Frame::Why_MAX == v1::Frame::WHY_HOLD_ENDED);

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

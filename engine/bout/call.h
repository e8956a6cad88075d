// What can be called at a mat, and the call as a table enters it.
//
// `What` is the whole vocabulary of a bout: the referee's calls in the trade's words, the few acts
// of the table itself, and the correction. A call is never changed and never erased; a correction
// is one more call (docs/architecture.md, promise 10). Pure values, any thread.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string_view>
#include <variant>

#include "engine/bout/ids.h"
#include "engine/bout/instant.h"

namespace honbu {

enum class Side : std::uint8_t { white = 1, blue = 2 };
constexpr Side other(Side side) { return side == Side::white ? Side::blue : Side::white; }

// One side or both: bit 0 white, bit 1 blue. Zero is nobody. One side is a set of one.
struct Sides {
    std::uint8_t bits = 0;
    constexpr Sides() = default;
    constexpr explicit Sides(std::uint8_t of) : bits(of) {}
    constexpr Sides(Side side) : bits(static_cast<std::uint8_t>(side)) {}
    constexpr bool has(Side side) const { return (bits & static_cast<std::uint8_t>(side)) != 0; }
    friend constexpr auto operator<=>(Sides, Sides) = default;
};
constexpr Sides only(Side side) { return Sides{static_cast<std::uint8_t>(side)}; }
constexpr Sides both_sides() { return Sides{3}; }

// Low to high. A rule set says which of them exist (docs/rules.md, "Score levels").
enum class Level : std::uint8_t { koka = 1, yuko = 2, waza_ari = 3, ippon = 4 };
inline constexpr std::size_t level_count = 4;
constexpr std::size_t index(Level level) { return static_cast<std::size_t>(level) - 1; }

// How a bout was won, in the trade's words (docs/rules.md, "How a bout was won").
enum class Way : std::uint8_t {
    none = 0,
    ippon = 1,
    waza_ari_awasete_ippon = 2,
    sogo_gachi = 3,
    waza_ari = 4,
    yuko = 5,
    koka = 6,
    fewer_shido = 7,
    hantei = 8,
    hansoku_make_by_shido = 9,
    hansoku_make_direct = 10,
    kiken_gachi = 11,
    fusen_gachi = 12,
    both_lose = 13,
    hiki_wake = 14,
};

// What made an ippon an ippon.
enum class Means : std::uint8_t {
    none = 0,
    called = 1,      // the referee's call: a throw, or what he saw
    hold = 2,        // the hold's last threshold
    submission = 3,  // maitta: the other gave up
    choke = 4,       // a choke or lock that took effect without it
};

// Who won. `both_lose` is a result of its own: nobody advances.
enum class Winner : std::uint8_t { undecided = 0, white = 1, blue = 2, both_lose = 3, draw = 4 };
constexpr Winner winner(Side side) { return side == Side::white ? Winner::white : Winner::blue; }

// Why a penalty was given. None raises a penalty by itself: what the referee gives counts
// (docs/rules.md, "Penalties"). Numbers are for ever: journals hold them.
enum class Reason : std::uint8_t {
    not_said = 0,
    non_combativity = 1,
    false_attack = 2,
    excessive_defence = 3,
    avoiding_grip = 4,
    two_hand_grip_break = 5,
    unorthodox_grip = 6,
    sleeve_end = 7,
    fingers_inside = 8,
    pistol_grip = 9,
    interlocked_fingers = 10,
    leaving_area = 11,
    danger_area = 12,
    pushing_out = 13,
    leg_grab = 14,
    bear_hug = 15,
    judogi = 16,
    pulling_down = 17,
    body_scissors = 18,
    bending_fingers = 19,
    forced_posture = 20,
    arm_lock_in_throw = 21,
    use_of_head = 22,
    reverse_seoi_nage = 23,
    attire = 24,
    // grave acts
    kawazu_gake = 25,
    lock_elsewhere = 26,
    lifting_and_dropping = 27,
    reaping_support = 28,
    ignoring_referee = 29,
    unsporting = 30,
    head_dive = 31,
    neck_or_spine = 32,
    straight_down_lock = 33,
    falling_backwards = 34,
    hard_object = 35,
    head_defence = 36,
    other = 37,
};

// Of a direct hansoku-make; decides the rest of the event, not the bout (docs/rules.md,
// "Penalties").
enum class DirectClass : std::uint8_t { not_said = 0, endangered_self = 1, against_spirit = 2 };

// Where it bleeds: the same bleeding is counted apart from another.
enum class Site : std::uint8_t {
    nose = 1,
    mouth = 2,
    face = 3,
    head = 4,
    ear = 5,
    neck = 6,
    hand = 7,
    arm = 8,
    leg = 9,
    foot = 10,
    other = 11,
};
inline constexpr std::size_t site_count = 11;
constexpr std::size_t index(Site site) { return static_cast<std::size_t>(site) - 1; }

enum class DoctorCall : std::uint8_t { referee = 1, athlete = 2, doctor = 3 };  // who wanted it
enum class Harm : std::uint8_t { injury = 1, illness = 2, head = 3, unconscious = 4 };
enum class Blame : std::uint8_t { not_said = 0, own = 1, other = 2, unknown = 3, outside = 4 };

// Why an ended bout is opened again. `administrative`: the referees have left, so it is the desk's
// change and no longer theirs (docs/rules.md, "Correcting").
enum class Ground : std::uint8_t {
    slip = 1,      // of the table
    referee = 2,   // the referee corrected himself
    majority = 3,  // majority of three
    names = 4,     // the wrong athletes
    clock = 5,     // a clock was wrong
    administrative = 6,
};

// One side of the board as everybody sees it: penalty equivalents of the era and the level a
// running hold has reached are already in `score`.
struct BoardSide {
    std::array<std::uint8_t, level_count> score{};  // by index(level): koka, yuko, waza-ari, ippon
    std::uint8_t shido = 0;
    bool hansoku_make = false;
    friend bool operator==(const BoardSide&, const BoardSide&) = default;
};

// The result as confirmed at the table after read-back: from then on this is the fact, and the
// fold is a check beside it (docs/architecture.md, section 3).
struct Result {
    Winner winner = Winner::undecided;
    Way way = Way::none;
    Means means = Means::none;  // of an ippon
    std::uint8_t flags = 0;     // of a hantei: how many of three; 0: not said
    bool golden_score = false;
    Duration decided;  // contest time elapsed in the deciding period at the deciding instant
    Duration stopped;  // the same when the clock really stood; later only if corrected meanwhile
    Duration regular;  // contest time elapsed before golden score
    Duration golden;   // contest time elapsed in golden score
    BoardSide white;
    BoardSide blue;
    std::uint8_t points = 0;                    // sub-points of the winner by the rule set
    bool names_exchanged = false;               // white is who was listed as blue
    bool administrative = false;                // opened again after the referees had left
    std::array<std::uint8_t, 32> rules_hash{};  // SHA-256 of the rule set's canonical encoding
    std::uint32_t fold_version = 0;
    friend bool operator==(const Result&, const Result&) = default;
};

// -- The vocabulary: what happens at the mat

struct Called {};  // the bout is called to the mat: boards show its names
struct Absent {    // called for, and not there: a call or the countdown of the rule set begins
    Sides who{};
};
struct Present {};   // who was missing is there
struct Hajime {};    // begins or resumes; after time with equal scores: begins golden score
struct Mate {};      // stops the clock; a running hold ends with the value it has reached
struct Pause {};     // where the clock runs through mate: what stops it
struct SonoMama {};  // freezes both clocks
struct Yoshi {};     // both go on
struct Osaekomi {    // the hold's clock starts
    Side by{};
};
struct HoldChanged {};  // another hold without loss of control: its clock goes on
struct Toketa {};       // the hold ends with the value it has reached; the contest goes on
struct Score {          // to both is one call: a double ippon
    Sides to{};
    Level level{};
};
// Called as one: the second waza-ari and the end. Adds what is missing of the two.
struct Awasete {
    Side to{};
};
struct Shido {  // to both is one call
    Sides to{};
    Reason reason = Reason::not_said;
};
struct HansokuMake {  // direct
    Sides to{};
    DirectClass of = DirectClass::not_said;
    Reason reason = Reason::not_said;
};
// Ippon to `to`, who may also be the one held.
struct Submission {
    Side to{};
    Means means = Means::submission;  // or choke
};
struct Award {  // a win no clock or score gives: hantei, kiken-gachi, fusen-gachi, sogo-gachi
    Side to{};
    Way way{};
    std::uint8_t flags = 0;  // of a hantei: 2 or 3 of three; 0: not said
};
struct BothLose {};
struct HikiWake {};
struct Doctor {  // was at this athlete
    Side to{};
    DoctorCall by = DoctorCall::referee;
};
struct Bleeding {  // was treated
    Side to{};
    Site site = Site::other;
};
struct Injury {  // noted, with who caused it as far as the referees say
    Side to{};
    Harm harm = Harm::injury;
    Blame by = Blame::not_said;
};
struct Judogi {  // has to be put in order
    Sides who{};
};
struct Review {};  // the referees look at it again: holds back `Confirm`, nothing else
struct ReviewOver {};
struct SoreMade {};  // the end, or the pause before golden score
struct Kachi {};     // the referee shows the winner

// -- and what sets it right by hand
struct SetClock {
    Duration elapsed;  // in this period
};
struct SetHold {  // goes on where it stood; where nothing ran, it waits for yoshi
    Side by{};
    Duration value;
};
struct ExchangeNames {};  // the two names change places, the calls stay

template<class... More>
using Vocabulary = std::variant<
    Called, Absent, Present, Hajime, Mate, Pause, SonoMama, Yoshi, Osaekomi, HoldChanged, Toketa,
    Score, Awasete, Shido, HansokuMake, Submission, Award, BothLose, HikiWake, Doctor, Bleeding,
    Injury, Judogi, Review, ReviewOver, SoreMade, Kachi, SetClock, SetHold, ExchangeNames, More...>;

// A call by which another may be replaced.
using Act = Vocabulary<>;

// -- and what is said about calls and about the whole bout
struct Strike {  // an earlier call of this bout was a mistake; striking a strike brings it back
    CallId call;
};
// What was called is really this: another level, the other athlete, with a reason. It stays where
// it is in time, so that a hold given to the other keeps its value.
struct Replace {
    CallId call;
    Act by;
};
struct Move {  // took effect then, on the clock of the moved call's run
    CallId call;
    Instant to;
};
struct Confirm {  // the table's confirmation after read-back
    Result result;
};
struct Accept {};  // the desk has it
struct Reopen {    // an announced, confirmed or accepted bout
    Ground ground{};
};
// Where a bout passes from one run to another: instant `here` of this call's run was instant
// `there` of run `earlier`. Recorded like any call (docs/decisions/0005).
struct Joint {
    // `assumed`: nothing was known, so it is taken that no time passed; a person must look.
    enum class Source : std::uint8_t { wall_clock = 1, hub_clock = 2, typed = 3, assumed = 4 };
    RunId earlier;
    Instant there;
    Instant here;
    Source source{};
};

using What = Vocabulary<Strike, Replace, Move, Confirm, Accept, Reopen, Joint>;

What what(const Act& act);
std::optional<Act> act(const What& what);

// The same for the other athlete; calls that name nobody stay as they are.
Act mirrored(const Act& act);

// Speaks of another call.
const CallId* refers_to(const What& what);

// A call as the table entered it. `entered` never falls within a run. `back` says how long before
// that the call took effect: 0 for an ordinary press, more for one put in afterwards
// (docs/decisions/0004 says why not a second instant).
struct Call {
    CallId id;
    Term term;
    MatId mat;
    BoutId bout;
    Instant entered;
    Duration back;
    std::uint32_t seen =
        0;  // first 4 bytes of the table's state hash before this call; 0: not said
    What what;
};

// The trade's word for it, lower case: "hajime", "waza-ari", "hansoku-make".
std::string_view word(const What& what);
std::string_view word(Level level);
std::string_view word(Side side);
std::string_view word(Way way);
std::string_view word(Means means);
std::string_view word(Reason reason);  // "non-combativity", "leg grab"
std::string_view word(DirectClass of);
std::string_view word(Site site);
std::string_view word(Ground ground);

}  // namespace honbu

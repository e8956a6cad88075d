// What can be called at a mat, and the call as a table enters it.
//
// `What` is the whole vocabulary of a bout: the referee's calls in the trade's words, the few acts
// of the table itself, and the correction. A call is never changed and never erased; a correction
// is one more call (docs/architecture.md, promise 10). Pure values, any thread.
#pragma once

#include <array>
#include <cstdint>
#include <string_view>
#include <variant>

#include "engine/bout/ids.h"
#include "engine/bout/instant.h"

namespace honbu {

enum class Side : std::uint8_t { white = 1, blue = 2 };
constexpr Side other(Side side) { return side == Side::white ? Side::blue : Side::white; }

// One side or both: bit 0 white, bit 1 blue. Zero is nobody.
struct Sides {
    std::uint8_t bits = 0;
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

// Who won. `both_lose` is a result of its own: nobody advances.
enum class Winner : std::uint8_t { undecided = 0, white = 1, blue = 2, both_lose = 3, draw = 4 };
constexpr Winner winner(Side side) { return side == Side::white ? Winner::white : Winner::blue; }

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
    bool golden_score = false;
    Duration regular;  // contest time elapsed before golden score
    Duration golden;   // contest time elapsed in golden score
    BoardSide white;
    BoardSide blue;
    std::array<std::uint8_t, 32> rules_hash{};  // SHA-256 of the rule set's canonical encoding
    std::uint32_t fold_version = 0;
    friend bool operator==(const Result&, const Result&) = default;
};

// -- The vocabulary

struct Called {};    // the bout is called to the mat: boards show its names
struct Hajime {};    // begins or resumes; after time with equal scores: begins golden score
struct Mate {};      // stops the clock; a running hold ends with the value it has reached
struct SonoMama {};  // freezes both clocks
struct Yoshi {};     // both go on
struct Osaekomi {    // the hold's clock starts
    Side by{};
};
struct Toketa {};  // the hold ends with the value it has reached; the contest goes on
struct Score {
    Side to{};
    Level level{};
};
struct Shido {  // to both is one call
    Sides to{};
};
struct HansokuMake {  // direct
    Sides to{};
};
// Maitta, or a choke or lock that took effect: ippon to `to`, who may also be the one held.
struct Submission {
    Side to{};
};
struct Award {  // a win no clock or score gives: hantei, kiken-gachi, fusen-gachi
    Side to{};
    Way way{};
};
struct SoreMade {};  // the end, or the pause before golden score
struct Kachi {};     // the referee shows the winner
struct Confirm {     // the table's confirmation after read-back
    Result result;
};
struct Strike {  // an earlier call of this bout was a mistake; striking a strike brings it back
    CallId call;
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

using What = std::variant<Called, Hajime, Mate, SonoMama, Yoshi, Osaekomi, Toketa, Score, Shido,
                          HansokuMake, Submission, Award, SoreMade, Kachi, Confirm, Strike, Joint>;

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

}  // namespace honbu

// A worked bout played wrong first and then put right by corrections, the way a table does it.
//
// What a table would refuse while the mistake stands is put in after the correction, with the
// instant at which it happened; calls of one and the same instant are put in again behind it, as
// their order is that of entering. In the end the state must be the straight bout's, byte for byte.
// Everything comes from a seed; pure functions, single-threaded.
#pragma once

#include <string>
#include <vector>

#include "tests/conformance/scenario.h"

namespace honbu {

enum class Mistake {
    wrong_call,    // one call too many, struck
    struck_right,  // the right call struck, and the strike struck
    other_side,    // entered for the other athlete, given over
    wrong_moment,  // entered at another instant, moved
    left_out,      // not entered, put in afterwards
    wrong_level,   // another level, reason or class, replaced
    another_call,  // any other call in its place, replaced
};
inline constexpr Mistake mistakes[] = {
    Mistake::wrong_call, Mistake::struck_right, Mistake::other_side,  Mistake::wrong_moment,
    Mistake::left_out,   Mistake::wrong_level,  Mistake::another_call};
enum class Repaired { at_once, before_kachi };

struct Repair {
    bool possible = false;  // this bout has a call with which this mistake can be made
    std::string story;      // every call that was entered, for a fault
    std::string fault;      // empty: the bytes are the straight bout's
};

Repair repaired(const Scenario& scenario, Mistake mistake, Repaired when, std::uint32_t seed);

}  // namespace honbu

// How a bout is laid out in the bytes the fuzzer eats, shared by the target and its seeds.
//
// Byte 0 chooses the rule set, byte 1 the age group; then come calls: a byte of switches, a byte of
// length, the canonical bytes of the call. Where a switch says so the call gets the next number and
// a likely instant, so that random bytes reach deep into a bout and not only its door. Pure values.
#pragma once

#include <cstdint>

namespace honbu::fuzz {

inline constexpr std::uint8_t asked = 1;     // only if `no_entry` lets it in
inline constexpr std::uint8_t numbered = 2;  // gets the next number of the run before
inline constexpr std::uint8_t timed = 4;     // entered shortly after the one before

}  // namespace honbu::fuzz

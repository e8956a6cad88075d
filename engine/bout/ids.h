// The names things have: one strong type for each, so that swapped ids don't compile.
//
// Device and run are random 64-bit names chosen by the table itself (a table must be able to begin
// a run with no hub in reach). They are names, never numbers to reckon with; text form is 16 hex
// digits. Pure values, any thread.
#pragma once

#include <compare>
#include <cstdint>

namespace honbu {

struct DeviceId {
    std::uint64_t value = 0;
    friend constexpr auto operator<=>(DeviceId, DeviceId) = default;
};

// One life of one table page. Its clock starts at 0 and only grows.
struct RunId {
    std::uint64_t value = 0;
    friend constexpr auto operator<=>(RunId, RunId) = default;
};

// 1, 2, 3 ... within a run, without gaps.
struct CallNumber {
    std::uint32_t value = 0;
    friend constexpr auto operator<=>(CallNumber, CallNumber) = default;
};

struct CallId {
    RunId run;
    CallNumber number;
    friend constexpr auto operator<=>(CallId, CallId) = default;
};

struct MatId {
    std::uint16_t value = 0;  // 1 is the mat on the left, seen from the head table
    friend constexpr auto operator<=>(MatId, MatId) = default;
};

struct BoutId {
    std::uint32_t value =
        0;  // the number on the sheet; it stays when the bout moves to another mat
    friend constexpr auto operator<=>(BoutId, BoutId) = default;
};

struct PersonId {
    std::uint32_t value = 0;
    friend constexpr auto operator<=>(PersonId, PersonId) = default;
};

// Raised each time a mat is taken. Calls of an older term are set aside for a person.
struct Term {
    std::uint32_t value = 0;
    friend constexpr auto operator<=>(Term, Term) = default;
};

}  // namespace honbu

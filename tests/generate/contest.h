// Contests as they are fought, made from a seed: whole bouts as calls with instants.
//
// Second by second lots are drawn for what happens on the mat, and the fold is asked what came of
// it, so that times and ways of winning are results and not inputs. How often things happen is set
// so that the means are those published (tests/generate/README.md gives both beside each other;
// tests/property/contest_test.cpp checks them). Nobody in it is a real person. Any thread.
#pragma once

#include <vector>

#include "engine/bout/fold.h"

namespace honbu::generate {

enum class Field : std::uint8_t { men, women };

// How a table would enter them: its run, its next number, its clock when the bout is called.
struct Seat {
    RunId run{1};
    CallNumber next{1};
    Term term{1};
    MatId mat{1};
    BoutId bout{1};
    Instant called{100'000};
};

// From `called` to the confirmation, with the slips and corrections of a tired table.
std::vector<Call> contest(const Conditions& under, Field field, std::uint32_t seed,
                          const Seat& seat = {});

struct ContestOnMat {
    MatId mat;
    BoutId bout;
    Field field = Field::men;
    std::vector<Call> calls;
};

// A day: bout 1, 2, 3 ... go to the mats in turn; on each mat they follow one another in one run,
// with a minute or more between them. In the order of the bouts.
std::vector<ContestOnMat> day(const Conditions& under, std::uint32_t seed, std::uint16_t mats,
                              std::uint32_t bouts);

}  // namespace honbu::generate

// One digest over what the fold makes of many generated bouts, for comparing compilers.
//
// Every tenth bout is a contest as fought; the others are presses at random, half of them asked and
// half let in unasked, so that corrections, refusals and calls without effect are all in it. A
// compiler, library or machine that folds one of them otherwise gives another digest. Any thread.
#pragma once

#include "engine/record/canon.h"

namespace honbu::generate {

// Over bouts first, first + 1 ... ; `before` is the digest so far (all zero at first), so that a
// long run may be done in parts.
Hash digest(std::uint32_t first, std::uint32_t count, Hash before = {});

}  // namespace honbu::generate

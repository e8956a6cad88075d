// A bout's calls in words, one a line, for whoever has to look at a counterexample. Any thread.
#pragma once

#include <span>
#include <string>

#include "engine/bout/fold.h"

namespace honbu::generate {

std::string listed(std::span<const Call> calls);

}  // namespace honbu::generate

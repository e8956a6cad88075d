// Counts what the program takes from the heap: its operator new is replaced (allocations.cpp, a
// file of its own, so that no compiler sees both ends of an allocation at once). One thread.
#pragma once

#include <cstdint>

namespace honbu::bench {

std::uint64_t allocations();  // so far

}  // namespace honbu::bench

#include "tests/bench/allocations.h"

#include <cstdlib>
#include <new>

namespace {

std::uint64_t so_far = 0;

}  // namespace

std::uint64_t honbu::bench::allocations() { return so_far; }

void* operator new(std::size_t size) {
    ++so_far;
    if (void* got = std::malloc(size == 0 ? 1 : size)) return got;
    std::abort();
}
void operator delete(void* what) noexcept { std::free(what); }
void operator delete(void* what, std::size_t) noexcept { std::free(what); }

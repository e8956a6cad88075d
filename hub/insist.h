// INSIST(fact): what must be true unless we made a mistake. On in every build.
//
// Stopping beats a wrong score, and a restart takes a second. Never about what came from the
// network or a file: that is answered, not insisted on. The only macro of the house. Any thread.
#pragma once

#include <cstdio>
#include <cstdlib>

namespace honbu {

[[noreturn]] inline void insist_failed(const char* fact, const char* file, int line) {
    std::fprintf(stderr, "%s:%d: this must hold and does not: %s\n", file, line, fact);
    std::abort();
}

}  // namespace honbu

#define INSIST(fact)                                                                               \
    (static_cast<bool>(fact) ? void(0) : ::honbu::insist_failed(#fact, __FILE__, __LINE__))

// How the checker calls things in its sentences. One thread.
#pragma once

#include <string>

#include "engine/record/record.h"

namespace honbu::simulation {

inline std::string text(std::uint64_t number) { return std::to_string(number); }
inline std::string name(RecordNumber number) { return "record " + text(number.value); }
inline std::string name(BoutId bout) { return "bout " + text(bout.value); }
inline std::string name(CallId id) {
    return "call " + text(id.number.value) + " of run " + text(id.run.value % 10'000);
}

}  // namespace honbu::simulation

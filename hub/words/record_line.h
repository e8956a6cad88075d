// A record in one line, for people who look into a journal. Pure, any thread.
#pragma once

#include <string>

#include "engine/record/record.h"

namespace honbu {

// "0:12:03.250  mat 1  bout 7  waza-ari to white  applied  (Maja, device 00..2a, run 00..07/12)"
std::string line(const Record& record);
std::string hex16(std::uint64_t name);  // 16 hex digits, as devices, runs and epochs are written

}  // namespace honbu

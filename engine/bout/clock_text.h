// Clock times as people write them: "4:00", "16:41". Pure functions, any thread.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "engine/bout/instant.h"

namespace honbu {

// Whole seconds, rounded down: "0:07", "16:41".
std::string clock_text(Duration d);

// "m:ss", at most 99:59. Nothing if it is anything else.
std::optional<Duration> clock_time(std::string_view text);

}  // namespace honbu

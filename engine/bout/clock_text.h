// Clock times as people write them: "4:00", "16:41". Pure functions, any thread.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "engine/bout/instant.h"

namespace honbu {

// What a clock that counts up shows: whole seconds, rounded down: "0:07", "16:41". So do a hold and
// golden score.
std::string clock_text(Duration d);

// What a clock that counts down shows: rounded up, so that 0:00 comes only with the signal.
std::string remaining_text(Duration d);

// "m:ss", at most 99:59. Nothing if it is anything else.
std::optional<Duration> clock_time(std::string_view text);

}  // namespace honbu

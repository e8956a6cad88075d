// What a client reads: a ToClient's bytes as values. Any thread.
#pragma once

#include <string>
#include <variant>

#include "hub/core/message.h"

namespace honbu::simulation {

struct Unreadable {};
using Heard = std::variant<Unreadable, Welcome, ClockAnswer, Allotment, VerdictGiven, Refusal,
                           MatLost, Heartbeat, Goodbye, MatView, Finished>;

Heard heard(const std::string& bytes);

}  // namespace honbu::simulation

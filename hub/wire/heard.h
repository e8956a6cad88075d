// What a client hears: a ToClient's bytes as values. For C++ clients: the simulator, clients/sim.
//
// Trusts its hub further than from_wire trusts a client: what can't be read is Unreadable, without
// a sentence. Pure, any thread.
#pragma once

#include <string>
#include <variant>

#include "hub/core/message.h"

namespace honbu {

struct Unreadable {};
using Heard = std::variant<Unreadable, Welcome, ClockAnswer, Allotment, VerdictGiven, Refusal,
                           MatLost, Heartbeat, Goodbye, MatView, Finished>;

Heard heard(const std::string& bytes);

}  // namespace honbu

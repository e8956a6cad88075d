// What leaves the hub, told to the checker as it leaves: read from the bytes, as a client does.
//
// One thread.
#pragma once

#include <optional>
#include <string>

#include "hub/core/message.h"
#include "tests/simulation/checker.h"

namespace honbu::simulation {

// Whom it goes to.
struct Addressed {
    Who session = 0;
    Hello hello;
    std::optional<Call> last_submitted;
};

void tell_checker(Checker& checker, const Addressed& to, const std::string& bytes);

}  // namespace honbu::simulation

// The hub's messages in the checker's own terms. One thread.
#pragma once

#include "hub/core/message.h"
#include "hub/core/ports.h"
#include "hub/core/sheet.h"
#include "tests/simulation/checker.h"

namespace honbu::simulation {

Item as_told(const Finished& item);
Item as_told(const Reopened& item);
Item as_told(const Renamed& item);
WelcomeTold as_told(const Welcome& welcome);
std::string as_told(const CallList& list);
std::string as_told(const SetAside& waiting);
std::string as_told(const Tables& tables);
SheetTold as_told(const BoutSheet& sheet);
Refused as_told(Cause reason);

// What the journal keeps beside a call of a bout in no plan; nothing: it is about something else.
std::optional<std::string> typed_beside(const std::vector<Beside>& beside);
// The keys of what it erases there.
std::vector<std::string> erased_beside(const std::vector<Beside>& beside);

}  // namespace honbu::simulation

// The parts of the canonical encoding that records and calls share. Internal to engine/record.
// Layout: docs/journal.md. Any thread.
#pragma once

#include "engine/record/bytes.h"
#include "engine/record/canon.h"

namespace honbu {

void put(Writer& w, const Call& call);
void put(Writer& w, const RuleSet& rules);
Call call_of(Reader& r);
RuleSet rules_of(Reader& r);

}  // namespace honbu

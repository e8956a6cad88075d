// The parts of the canonical encoding that records, calls and states share. Internal to
// engine/record and the hub's checkpoint. Layout: docs/journal.md.
//
// What has many fields is taken apart with a structured binding before it is written, so that a
// field added in its header does not compile until it stands here too. Any thread.
#pragma once

#include "engine/record/bytes.h"
#include "engine/record/canon.h"

namespace honbu {

void put(Writer& w, const Call& call);
void put(Writer& w, const RuleSet& rules);
void put(Writer& w, CallId id);
void put(Writer& w, const Joint& joint);
void put(Writer& w, const Result& result);
Call call_of(Reader& r);
CallId call_id_of(Reader& r);
Joint joint_of(Reader& r);
Result result_of(Reader& r);
RuleSet rules_of(Reader& r);

template<class Enum> void put_choice(Writer& w, Enum value) {
    w.u8(static_cast<std::uint8_t>(value));
}

}  // namespace honbu

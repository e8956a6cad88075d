// What a client hears: a ToClient's bytes as values. For C++ clients: the simulator, clients/sim.
//
// Trusts its hub further than from_wire trusts a client: what can't be read is Unreadable, without
// a sentence. Pure, any thread.
#pragma once

#include <optional>
#include <string>
#include <variant>

#include "hub/core/message.h"
#include "hub/core/sheet.h"

namespace honbu {

struct Unreadable {};
// An item of the audit stream: one record of the journal.
struct HeardRecord {
    RecordNumber number;
    Instant received;
    DeviceId device;
    std::string hand;
    Verdict verdict = Verdict::none;
    std::string words;
    std::optional<Call> call;
    std::string bytes;       // the canonical encoding
    std::uint64_t hash = 0;  // first 8 bytes of its SHA-256
};
using Heard = std::variant<Unreadable, Welcome, ClockAnswer, Allotment, VerdictGiven, Refusal,
                           MatLost, Heartbeat, Goodbye, MatView, Finished, Asked, AskAnswered, Done,
                           Reopened, CallList, BoutSheet, Tables, SetAside, HeardRecord, AtTheDoor,
                           Door, Renamed, PeopleFound>;

Heard heard(const std::string& bytes);

}  // namespace honbu

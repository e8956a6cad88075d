// Bytes to commands, replies and facts to bytes. The only folder that knows generated protobuf.
//
// from_wire never trusts its input: anything unreadable, of an unknown kind or with a value out of
// range is a WireFault with a sentence for people. Pure functions, any thread.
#pragma once

#include <string>
#include <string_view>
#include <variant>

#include "hub/core/message.h"
#include "hub/core/sheet.h"

namespace honbu {

struct WireFault {
    std::string words;
};

std::variant<Command, WireFault> from_wire(std::string_view bytes);

std::string to_wire(const Reply& reply);
std::string to_wire(const MatView& view);
std::string to_wire(const Finished& item);
std::string to_wire(const Reopened& item);
std::string to_wire(const Renamed& item);
std::string to_wire(const CallList& list);
std::string to_wire(const BoutSheet& sheet);
std::string to_wire(const Tables& tables);
std::string to_wire(const SetAside& waiting);
std::string to_wire(const Door& door);
// An item of the audit stream; `canonical_bytes` are encode(record).
std::string record_to_wire(const Record& record, std::string_view canonical_bytes,
                           std::string_view words);

// The reverse directions, for C++ clients: the simulator, the tests and the bench.
std::string to_wire(const Command& command);

}  // namespace honbu

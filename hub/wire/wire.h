// Bytes to commands, replies and facts to bytes. The only folder that knows generated protobuf.
//
// from_wire never trusts its input: anything unreadable, of an unknown kind or with a value out of
// range is a WireFault with a sentence for people. Pure functions, any thread.
#pragma once

#include <string>
#include <string_view>
#include <variant>

#include "hub/core/message.h"

namespace honbu {

struct WireFault {
    std::string words;
};

std::variant<Command, WireFault> from_wire(std::string_view bytes);

std::string to_wire(const Reply& reply);
std::string to_wire(const MatView& view);
std::string to_wire(const Finished& item);

// The reverse directions, for C++ clients: the simulator, the tests and the bench.
std::string to_wire(const Command& command);

}  // namespace honbu

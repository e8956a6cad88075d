// What a session says when it ends a connection, in words for whoever sits there.
//
// Each is short enough for a close frame as well, whole. Any thread.
#pragma once

#include <cstddef>
#include <cstdint>

#include "hub/core/message.h"
#include "hub/wire/flavour.h"

namespace honbu {

Goodbye too_slow_farewell();
Goodbye silent_farewell();
Goodbye no_hello_farewell();
Goodbye too_big_farewell(std::size_t bytes_max);
Goodbye other_kind_farewell(Flavour spoken);  // text where binary is spoken, or the reverse
// By the close code (RFC 6455, 7.4.1).
Goodbye broken_farewell(std::uint16_t code, std::size_t bytes_max);

}  // namespace honbu

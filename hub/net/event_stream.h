// One HTTP connection that has become a stream of server-sent events.
//
// Like a WebSocket session without the way in: a writer coroutine alone writes to the socket, what
// waits is one slot for each view and a position in the results, a sign of life goes out when
// nothing else does, and whoever stops reading is let go. A reader only notices the end. The two
// own the stream together. Hub thread.
#pragma once

#include <string>

#include "hub/net/asio.h"
#include "hub/net/switchboard.h"

namespace honbu {

// The wish has been found good; `head` is the answer's, as it goes out.
void start_event_stream(Socket socket, std::string head, const EventsWish& wish, Counted counted,
                        Switchboard& board);

}  // namespace honbu

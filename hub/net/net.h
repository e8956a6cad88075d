// The hub's thread and its sockets: listens, lets connections in, carries words in and out.
//
// One io_context that one thread runs: everything but the journal happens on it. Knows no judo and
// no disk; the Doors lead to the rest. Made first, so that the core and the feed can be given it;
// let_in() opens the doors. Beast stays inside session.cpp and http.cpp. post() may be called from
// any thread, everything else from the hub's.
#pragma once

#include <functional>
#include <memory>
#include <string>
#include <string_view>

#include "hub/core/ports.h"
#include "hub/fault.h"
#include "hub/feed/feed.h"
#include "hub/net/switchboard.h"

namespace honbu {

// "192.0.2.7:8080", "[::1]:8080"; port 0 lets the system choose.
struct ListenAddress {
    std::string ip;
    std::uint16_t port = 0;
};
[[nodiscard]] OrFault<ListenAddress> parse_listen(std::string_view text);

class Net final : public OutletPort, public Bell {
public:
    explicit Net(Doors doors);
    ~Net() override;

    // Takes the port; nobody is let in yet. Returns the address with the port it got.
    [[nodiscard]] OrFault<ListenAddress> listen(const ListenAddress& address);
    // Runs until SIGINT or SIGTERM, then says goodbye to everybody.
    void run();
    // Lets connections in; until then they wait at the door. Once, while it runs.
    void let_in();
    struct Counts {
        std::size_t connections = 0;    // of any kind
        std::size_t sessions = 0;       // of them: WebSocket and server-sent events
        std::size_t event_streams = 0;  // of these
        std::size_t waiting_bytes = 0;  // for the sessions
    };
    Counts counts() const;
    // Runs `work` on the hub's thread, in order.
    void post(std::function<void()> work);

    void reply(SessionId to, const Reply& reply) override;
    void close(SessionId session, const Goodbye& goodbye) override;
    void ring(SessionId session) override;

private:
    struct Inside;
    std::unique_ptr<Inside> in_;
};

}  // namespace honbu

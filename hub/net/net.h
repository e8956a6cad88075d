// The hub's thread and its sockets: listens, lets connections in, carries words in and out.
//
// One io_context that one thread runs: everything but the journal and TLS happens on it. Knows no
// judo and no disk; the Doors lead to the rest. Made first, so that the core and the feed can be
// given it; let_in() opens the doors. Two entrances lead in: the hall's, for whoever scores and for
// screens, plain or through the TLS gate; and the crowd's, which is only looked through. Beast
// stays inside session.cpp and http.cpp. post() may be called from any thread, everything else
// from the hub's.
#pragma once

#include <functional>
#include <memory>
#include <string>
#include <string_view>

#include "hub/certificates/identity.h"
#include "hub/core/ports.h"
#include "hub/fault.h"
#include "hub/feed/feed.h"
#include "hub/net/listen_address.h"
#include "hub/net/switchboard.h"

namespace honbu {

class Net final : public OutletPort, public Bell {
public:
    explicit Net(Doors doors);
    ~Net() override;

    // Before anything listens: the names by which the hall's entrance is asked for, and what the
    // page /trust shows. `look` is called now and then, and logged when it says something new.
    void introduce(HubNames names, const Identity& identity, std::function<std::string()> look);
    // And that so many files may be open.
    void share(std::size_t descriptors, bool encrypted);
    // Takes the port; nobody is let in yet. Returns the address with the port it got. Plain, or
    // encrypted with what the hub shows of itself. Once for each entrance.
    [[nodiscard]] OrFault<ListenAddress> listen(const ListenAddress& address, Entrance entrance);
    [[nodiscard]] OrFault<ListenAddress> listen_encrypted(const ListenAddress& address,
                                                          const Identity& identity);
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

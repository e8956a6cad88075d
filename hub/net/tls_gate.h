// Where the hall comes in: takes connections, speaks TLS with them, and carries what they say to
// the hub's thread and back, over a local pair of sockets for each.
//
// It has a thread of its own, so that no handshake's arithmetic holds up the hub's; behind it
// everything is as with a plain connection. Nothing is kept here: a passage reads on only when what
// it has read is on its way, so whoever reads slowly is as slow to the hub as without the gate.
// A half-close is carried over, and the end of either side ends the other. TLS 1.2 and 1.3 (RFC
// 5246, 8446), no compression, no renegotiation. docs/decisions/0022 says why not in the session.
//
// Made, asked and closed on the hub's thread; `arrived` and `log` are called on the gate's.
#pragma once

#include <cstddef>
#include <functional>
#include <memory>
#include <string>
#include <utility>

#include "hub/certificates/identity.h"
#include "hub/net/listen_address.h"

namespace honbu {

// An open file of the system's, closed by whoever has it last.
class Descriptor {
public:
    explicit Descriptor(int number) : number_(number) {}
    Descriptor(Descriptor&& other) noexcept : number_(other.release()) {}
    Descriptor& operator=(Descriptor&&) = delete;
    ~Descriptor();
    int number() const { return number_; }
    int release() { return std::exchange(number_, -1); }

private:
    int number_;
};

class TlsGate {
public:
    struct Parts {
        std::function<void(Descriptor)> arrived;  // a stream socket with a device behind it
        std::function<void(const std::string&)> log;
        std::size_t passages_max = 1'000;
        // Not done yet, beside those. Of more the one that has taken longest is ended: whoever
        // leaves theirs lying about.
        std::size_t handshakes_max = 512;
    };
    [[nodiscard]] static OrFault<std::unique_ptr<TlsGate>> make(const Identity& identity,
                                                                Parts parts);
    virtual ~TlsGate() = default;  // ends whatever is still open

    // Takes the port; who comes waits until let_in().
    [[nodiscard]] virtual OrFault<ListenAddress> listen(const ListenAddress& address) = 0;
    virtual void let_in() = 0;
    virtual void shut() = 0;  // nobody comes in any more
    // The hub has said its last: carries it out, for a second at most, and ends.
    virtual void finish() = 0;
    virtual std::size_t passages() const = 0;
};

}  // namespace honbu

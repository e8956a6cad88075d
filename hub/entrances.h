// Which doors `honbu serve` opens, and what it shows there of itself: from the options and from the
// certificates that lie in the --data folder.
//
// What carries secrets is encrypted, or stays on this machine, or somebody has said in so many
// words that it need not be. Before the hub's thread has any work.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "hub/certificates/identity.h"
#include "hub/fault.h"
#include "hub/net/net.h"
#include "hub/serve.h"

namespace honbu {

struct Entrances {
    ListenAddress hall;
    std::optional<ListenAddress> crowd;  // nothing: there is none
    Identity identity;                   // not given(): the hall's entrance is plain
    HubNames names;                      // under which pages of the hall's entrance are asked for
    std::vector<std::string> warnings;
};
// What can be said from the options alone, before anything is made.
[[nodiscard]] OrFault<void> check_entrances(const ServeOptions& options);
[[nodiscard]] OrFault<Entrances> entrances(const ServeOptions& options, std::int64_t now_unix_s);

// Opens them; the addresses are then those that were got: port 0 lets the system choose. `at` stays
// where it is as long as `net` runs.
[[nodiscard]] OrFault<void> take_ports(Net& net, Entrances& at);

// For the log and the desk; empty: there is time enough, or no certificate.
std::string ends_soon(const Identity& identity, std::int64_t now_unix_s);

}  // namespace honbu

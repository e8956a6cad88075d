#include "hub/greeting.h"

#include <set>
#include <vector>

#include "hub/clock.h"
#include "hub/words/how_many.h"

namespace honbu {
namespace {

std::string url(bool encrypted, const std::string& host, std::uint16_t port) {
    const bool ipv6 = host.find(':') != std::string::npos;
    return (encrypted ? "https://" : "http://") + (ipv6 ? "[" + host + "]" : host) + ":" +
           std::to_string(port);
}

std::string places(const std::string& address) {
    std::string out;
    for (const std::string page : {"table", "board", "hall", "desk"}) {
        out += "    " + page + std::string(8 - page.size(), ' ') + address + "/" + page + "\n";
    }
    return out;
}

bool only_ipv4(const std::string& address) { return address.find(':') == std::string::npos; }

// Under what others reach this machine: with certificates what those are for, else its addresses.
std::vector<std::string> hosts(const Entrances& entrances) {
    std::vector<std::string> found;
    const Identity& identity = entrances.identity;
    for (const std::string& address : hall_addresses()) {
        if (only_ipv4(address) && (!identity.given() || identity.names.cover(address))) {
            found.push_back(address);
        }
    }
    if (!found.empty() || !identity.given()) return found;
    for (const std::string& name : identity.names.names) {
        if (name != "localhost") found.push_back(name);
    }
    return found;
}

std::string hall_places(const Entrances& entrances) {
    const ListenAddress& hall = entrances.hall;
    const bool encrypted = entrances.identity.given();
    std::string out;
    const bool here = hall.every_network() || hall.only_this_machine();
    if (here && (!encrypted || entrances.identity.names.cover("localhost"))) {
        out += "\n  On this machine:\n" + places(url(encrypted, "localhost", hall.port));
    }
    if (hall.every_network()) {
        const auto others = hosts(entrances);
        for (const std::string& other : others) {
            out += "\n  On other machines in the hall:\n" +
                   places(url(encrypted, other, hall.port));
        }
        if (others.empty())
            out += "\n  This machine is in no network now, so no other reaches it.\n";
    } else if (!hall.only_this_machine()) {
        out += "\n  On every machine in the hall:\n" + places(url(encrypted, hall.ip, hall.port));
    }
    return out;
}

std::vector<std::string> crowd_hosts(const ListenAddress& crowd) {
    std::vector<std::string> at{crowd.ip};
    if (!crowd.every_network()) return at;
    at = hall_addresses();
    std::erase_if(at, [](const std::string& one) { return !only_ipv4(one); });
    if (at.empty()) at.emplace_back("localhost");
    return at;
}

// Spectators have one address to type.
std::string crowd_places(const ListenAddress& crowd) {
    std::string out = "\n  For spectators, only to watch:\n";
    for (const std::string& one : crowd_hosts(crowd))
        out += "    " + url(false, one, crowd.port) + "/\n";
    return out;
}

// Best by the entrance where no warning comes first.
std::string trust_url(const Entrances& entrances) {
    if (entrances.crowd) {
        return url(false, crowd_hosts(*entrances.crowd).front(), entrances.crowd->port) + "/trust";
    }
    const ListenAddress& hall = entrances.hall;
    std::vector<std::string> at{hall.ip};
    if (hall.every_network()) at = hosts(entrances);
    return url(true, at.empty() ? "localhost" : at.front(), hall.port) + "/trust";
}

std::string trust(const Entrances& entrances) {
    const Identity& identity = entrances.identity;
    if (identity.fingerprint.empty()) return {};
    const std::size_t half = identity.fingerprint.size() / 2;
    return "\nA device that does not trust this hub, or the one it goes on from, has to once: "
           "open " +
           trust_url(entrances) +
           " there.\nCompare the fingerprint that the device shows with this one (SHA-256), read "
           "aloud from here:\n    " +
           identity.fingerprint.substr(0, half) + "\n    " + identity.fingerprint.substr(half + 1) +
           "\nIt is good until " +
           wall_text(static_cast<std::uint64_t>(identity.until_unix_s) * 1'000) + ".\n";
}

std::string loaded(const Greeting& greeting) {
    if (greeting.competition == nullptr) {
        return "No competition is loaded yet. Stop the hub and start it with --competition "
               "FILE.csv.\n";
    }
    std::set<MatId> mats;
    for (const BoutEntry& bout : greeting.competition->bouts)
        mats.insert(bout.mat);
    return greeting.competition->title + ": " +
           how_many(greeting.competition->bouts.size(), "bout", "bouts") + " on " +
           how_many(mats.size(), "mat", "mats") + ".\n";
}

}  // namespace

std::string text(const Greeting& greeting) {
    const Entrances& entrances = *greeting.entrances;
    std::string out = "\n" + loaded(greeting);
    out += "Everything is kept in " + greeting.data.string() + ": " +
           how_many(greeting.kept.value, "record", "records") + " so far.\n";
    if (greeting.rehearsal_rate > 1) {
        out += "This is a REHEARSAL: all clocks run " + std::to_string(greeting.rehearsal_rate) +
               " times as fast.\n";
    }

    out += hall_places(entrances);
    if (entrances.crowd) out += crowd_places(*entrances.crowd);
    out += trust(entrances);
    if (entrances.hall.only_this_machine()) {
        out +=
            "\nOnly this machine can score. To score on others: `honbu certificates`, then start "
            "again.\n";
    } else if (!entrances.identity.given()) {
        out += "\nNOT ENCRYPTED: everybody in the network can read and change what tables and desk "
               "send. Every page says so.\n";
    }
    if (greeting.anyone) {
        out += entrances.hall.only_this_machine()
                   ? "\nOnly this machine can reach the hub. Whoever uses it can score.\n"
                   : "\nANYONE who reaches this address can score and decide "
                     "(--anyone-may-score). Use a network of your own.\n";
    } else if (greeting.desk_code.empty()) {
        out += "\nThe desk lets tables in. To make a desk: honbu code --data " +
               greeting.data.string() + "\n";
    } else {
        out += "\nThe desk lets tables in. To make the first desk, open the desk page and type "
               "this code, once:\n\n    " +
               greeting.desk_code + "\n\n";
    }
    out += "Ctrl-C stops the hub; everything acknowledged is kept.\n\n";
    return out;
}

}  // namespace honbu

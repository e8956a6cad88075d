#include "hub/greeting.h"

#include <array>
#include <set>
#include <vector>

#include <arpa/inet.h>
#include <ifaddrs.h>
#include <net/if.h>

#include "hub/words/how_many.h"

namespace honbu {
namespace {

// This machine's own IPv4 addresses in the networks it is in.
std::vector<std::string> hall_addresses() {
    std::vector<std::string> found;
    ifaddrs* all = nullptr;
    if (getifaddrs(&all) != 0) return found;
    for (const ifaddrs* one = all; one != nullptr; one = one->ifa_next) {
        if (one->ifa_addr == nullptr || one->ifa_addr->sa_family != AF_INET) continue;
        if ((one->ifa_flags & IFF_UP) == 0 || (one->ifa_flags & IFF_LOOPBACK) != 0) continue;
        std::array<char, INET_ADDRSTRLEN> text{};
        const auto* address = reinterpret_cast<const sockaddr_in*>(one->ifa_addr);
        if (inet_ntop(AF_INET, &address->sin_addr, text.data(), text.size()) != nullptr) {
            found.emplace_back(text.data());
        }
    }
    freeifaddrs(all);
    return found;
}

std::string url(const std::string& host, std::uint16_t port) {
    const bool ipv6 = host.find(':') != std::string::npos;
    return "http://" + (ipv6 ? "[" + host + "]" : host) + ":" + std::to_string(port);
}

std::string places(const std::string& base) {
    std::string out;
    for (const std::string page : {"table", "board", "hall", "desk"}) {
        out += "    " + page + std::string(8 - page.size(), ' ') + base + "/" + page + "\n";
    }
    return out;
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
    const std::string& ip = greeting.address.ip;
    const std::uint16_t port = greeting.address.port;
    std::string out = "\n" + loaded(greeting);
    out += "Everything is kept in " + greeting.data.string() + ": " +
           how_many(greeting.kept.value, "record", "records") + " so far.\n";
    if (greeting.rehearsal_rate > 1) {
        out += "This is a REHEARSAL: all clocks run " + std::to_string(greeting.rehearsal_rate) +
               " times as fast.\n";
    }

    const bool all = ip == "0.0.0.0" || ip == "::";
    const bool only_here = ip == "127.0.0.1" || ip == "::1";
    if (all || only_here) out += "\n  On this machine:\n" + places(url("localhost", port));
    if (all) {
        const auto others = hall_addresses();
        for (const std::string& other : others) {
            out += "\n  On other machines in the hall:\n" + places(url(other, port));
        }
        if (others.empty())
            out += "\n  This machine is in no network now, so no other reaches it.\n";
    } else if (!only_here) {
        out += "\n  On every machine in the hall:\n" + places(url(ip, port));
    }
    if (greeting.anyone) {
        out += only_here ? "\nOnly this machine can reach the hub. Whoever uses it can score.\n"
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

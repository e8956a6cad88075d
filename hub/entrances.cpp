#include "hub/entrances.h"

#include <algorithm>
#include <filesystem>
#include <utility>

#include <spdlog/spdlog.h>
#include <sys/resource.h>

#include "hub/certificates/folder.h"
#include "hub/clock.h"

namespace honbu {
namespace {

constexpr const char* encrypted_listen = "0.0.0.0:8443";
constexpr const char* plain_listen = "127.0.0.1:8080";
constexpr std::int64_t soon_s = 24 * 3'600;

std::string day(std::int64_t unix_s) {
    return wall_text(static_cast<std::uint64_t>(unix_s) * 1'000);
}

// Every device holds one descriptor, or three through the TLS gate; the usual limit of 1,024 is for
// interactive programs.
std::size_t raised_descriptor_limit() {
    rlimit limit{};
    if (getrlimit(RLIMIT_NOFILE, &limit) != 0) return 1'024;
    const rlim_t before = limit.rlim_cur;
    limit.rlim_cur = limit.rlim_max;
    if (setrlimit(RLIMIT_NOFILE, &limit) != 0) {
        spdlog::warn("The descriptor limit stays as it is.");
        limit.rlim_cur = before;
    }
    return static_cast<std::size_t>(limit.rlim_cur);
}

// Own ones, those in the folder, or none.
OrFault<Identity> identity_of(const ServeOptions& options, std::int64_t now_unix_s) {
    if (options.plain) return Identity();
    if (!options.certificate.empty()) {
        return read_identity({options.certificate, options.key, {}}, now_unix_s);
    }
    const IdentityFiles kept = hub_files(options.data);
    std::error_code none;
    if (!std::filesystem::exists(certificates_in(options.data), none)) return Identity();
    return read_identity(kept, now_unix_s);
}

// Somebody who was given an address must find the certificate to be for it.
std::optional<std::string> names_miss(const Identity& identity, const ListenAddress& hall) {
    std::vector<std::string> reached{hall.ip};
    if (hall.every_network()) reached = hall_addresses();
    if (reached.empty()) return std::nullopt;
    const bool any = std::any_of(
        reached.begin(), reached.end(),
        [&identity](const std::string& one) { return identity.names.cover(one); });
    if (any) return std::nullopt;
    HubNames now;
    now.addresses = reached;
    return "The hub's certificate is for " + identity.names.in_words() +
           ", and this machine's addresses now are " + now.in_words() +
           ": by these no device trusts it. Open it by one of the names it is for. (New ones, "
           "`honbu certificates --again`, would have to be trusted anew on every device.)";
}

Fault plain_refused(const ListenAddress& hall) {
    return Fault{
        "On " + hall.host() + ":" + std::to_string(hall.port) +
        " everybody in the network could read and change what tables and desk send, since there "
        "are no certificates. Make some with `honbu certificates`; or listen on 127.0.0.1; or, if "
        "that may be, say --plain-http-secrets-readable."};
}

}  // namespace

OrFault<void> check_entrances(const ServeOptions& options) {
    if (!options.listen.empty()) {
        if (const auto read = parse_listen(options.listen); !read) return read.error();
    }
    if (!options.public_listen.empty()) {
        if (const auto read = parse_listen(options.public_listen); !read) return read.error();
    }
    if (options.certificate.empty() != options.key.empty()) {
        return Fault{"A certificate and its key belong together: give --certificate and --key, or "
                     "neither."};
    }
    const auto names = hub_names(options.names, {});
    if (!names) return names.error();
    return {};
}

OrFault<Entrances> entrances(const ServeOptions& options, std::int64_t now_unix_s) {
    if (const auto checked = check_entrances(options); !checked) return checked.error();
    Entrances found;
    auto identity = identity_of(options, now_unix_s);
    if (!identity) return identity.error();
    found.identity = std::move(*identity);
    const bool encrypted = found.identity.given();
    const char* const usual = encrypted ? encrypted_listen : plain_listen;
    auto hall = parse_listen(options.listen.empty() ? usual : options.listen);
    if (!hall) return hall.error();
    found.hall = std::move(*hall);
    if (!encrypted && !options.plain && !found.hall.only_this_machine()) {
        return plain_refused(found.hall);
    }
    if (!options.public_listen.empty()) {
        auto crowd = parse_listen(options.public_listen);
        if (!crowd) return crowd.error();
        found.crowd = std::move(*crowd);
    }
    found.names = this_machines();
    auto given = hub_names(options.names, {});
    if (!given) return given.error();
    std::vector<std::string>& all = found.names.names;
    all.insert(all.end(), found.identity.names.names.begin(), found.identity.names.names.end());
    all.insert(all.end(), given->names.begin(), given->names.end());
    if (encrypted) {
        if (auto miss = names_miss(found.identity, found.hall)) found.warnings.push_back(*miss);
        if (auto soon = ends_soon(found.identity, now_unix_s); !soon.empty()) {
            found.warnings.push_back(std::move(soon));
        }
    }
    return found;
}

OrFault<void> take_ports(Net& net, Entrances& at) {
    net.introduce(at.names, at.identity, [&at] {
        return ends_soon(at.identity, static_cast<std::int64_t>(wall_ms() / 1'000));
    });
    net.share(raised_descriptor_limit(), at.identity.given());
    const auto hall = at.identity.given() ? net.listen_encrypted(at.hall, at.identity)
                                          : net.listen(at.hall, Entrance::hall);
    if (!hall) return hall.error();
    at.hall = *hall;
    if (at.crowd) {
        const auto crowd = net.listen(*at.crowd, Entrance::crowd);
        if (!crowd) return crowd.error();
        at.crowd = *crowd;
    }
    for (const std::string& warning : at.warnings)
        spdlog::warn(warning);
    return {};
}

std::string ends_soon(const Identity& identity, std::int64_t now_unix_s) {
    if (!identity.given() || identity.until_unix_s - now_unix_s > soon_s) return {};
    return "The hub's certificate ends on " + day(identity.until_unix_s) +
           ": from then on no device lets its pages in. In a pause stop the hub, make new ones "
           "with `honbu certificates --again`, and start it again; every device has to trust them "
           "anew.";
}

}  // namespace honbu

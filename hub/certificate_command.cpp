#include "hub/certificate_command.h"

#include <iostream>

#include "hub/certificates/folder.h"
#include "hub/clock.h"

namespace honbu {
namespace {

std::string day(std::int64_t unix_s) {
    return wall_text(static_cast<std::uint64_t>(unix_s) * 1'000);
}

int fail(const std::string& words) {
    std::cerr << words << "\n";
    return 1;
}

// The fingerprint in two halves, so that it can be read aloud.
std::string in_two_lines(const std::string& fingerprint) {
    const std::size_t half = fingerprint.size() / 2;
    return "    " + fingerprint.substr(0, half) + "\n    " + fingerprint.substr(half + 1) + "\n";
}

}  // namespace

int make_certificates_in(const CertificateOptions& options) {
    const auto now = static_cast<std::int64_t>(wall_ms() / 1'000);
    auto names = hub_names(options.names, options.addresses);
    if (!names) return fail(names.error().words);
    if (names->empty()) *names = this_machines();
    const std::filesystem::path folder = certificates_in(options.data);
    const auto before = read_identity(hub_files(options.data), now);
    if (before && !options.again) {
        return fail("There are certificates in " + folder.string() + " already, for " +
                    before->names.in_words() + ", until " + day(before->until_unix_s) +
                    ". Nothing was changed. Should new ones take their place, say --again, with "
                    "the hub stopped before and started again after: then every device has to "
                    "trust them anew, and a spare in an older copy no longer "
                    "counts.");
    }
    CertificateWish wish;
    wish.names = *names;
    wish.days = options.days;
    wish.now_unix_s = now;
    const auto made = make_certificates(wish);
    if (!made) return fail(made.error().words);
    if (const auto kept = keep_certificates(options.data, *made); !kept) {
        return fail(kept.error().words);
    }
    const auto read = read_identity(hub_files(options.data), now);
    if (!read) return fail(read.error().words);
    std::cout << "Made in " << folder.string()
              << ", for this hub and for its spare:\n  names: " << read->names.in_words()
              << "\n  until: " << day(read->until_unix_s) << " (this machine's clock says "
              << day(now) << ")\n\n"
              << "The authority that devices are to trust can vouch for these names only, until "
                 "then; its key is gone.\nIts fingerprint (SHA-256), to be read aloud to whoever "
                 "sets a device up:\n"
              << in_two_lines(read->fingerprint)
              << "\nNext: start the hub with `honbu serve`, open /trust there on each device that "
                 "scores or shows,\nand do what it says. Should the names or addresses be wrong, "
                 "stop the hub, make new ones before any device trusts these, and start it "
                 "again:\n  honbu certificates --again "
                 "--name hub.example --address 192.0.2.7\n";
    return 0;
}

}  // namespace honbu

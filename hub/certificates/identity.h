// What a hub shows to prove who it is: a certificate, its key, and who vouches for them.
//
// Read once at the start and checked as far as can be: a key that does not fit, a day that is over
// or not there yet and a file that can't be read are faults in words. Any thread.
#pragma once

#include <cstdint>
#include <filesystem>
#include <string>
#include <string_view>

#include "hub/certificates/make.h"

namespace honbu {

struct Identity {
    KeyPair pair;             // certificate: with those between it and its authority, if any
    std::string authority;    // PEM; empty: another's, which devices know or are told of elsewhere
    std::string fingerprint;  // of the authority, for people to compare; empty: none of ours
    HubNames names;           // that the certificate is for
    std::int64_t until_unix_s = 0;

    bool given() const { return !pair.certificate.empty(); }
};

struct IdentityFiles {
    std::filesystem::path certificate;
    std::filesystem::path key;
    std::filesystem::path authority;  // empty: none of ours
};
[[nodiscard]] OrFault<Identity> read_identity(const IdentityFiles& files, std::int64_t now_unix_s);

// The same, from what has just been made.
[[nodiscard]] OrFault<Identity> checked_identity(Identity given, std::int64_t now_unix_s);

// SHA-256 of a certificate as devices show it: "3A:0F:...", 32 pairs. Empty: it is none.
std::string fingerprint_of(std::string_view certificate);
// As a device downloads it: DER (RFC 5280), from PEM.
std::string der_of(std::string_view certificate);

}  // namespace honbu

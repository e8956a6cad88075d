// Makes the certificates of one event: an authority that can vouch for this hub's names only and
// for some days only, what it vouches for, and then no authority's key any more.
//
// So whoever has trusted it this morning risks nothing by it tomorrow: nobody can sign anything
// with it again, and even a stolen key of the hub is good for these names until that day only.
// RFC 5280; the keys are EC on P-256, signed with SHA-256. Any thread; `now` is an argument.
#pragma once

#include <cstdint>
#include <string>

#include "hub/certificates/names.h"
#include "hub/fault.h"

namespace honbu {

struct CertificateWish {
    HubNames names;          // not empty
    std::uint32_t days = 8;  // from now
    std::int64_t now_unix_s = 0;
};
inline constexpr std::uint32_t certificate_days_max = 90;
// A tablet's clock may be wrong by so much before it finds the certificate too young.
inline constexpr std::int64_t backdated_s = 24 * 3'600;

// A certificate and its private key as PEM text (RFC 7468). The key's bytes are wiped at the end.
struct KeyPair {
    std::string certificate;
    std::string key;

    KeyPair() = default;
    KeyPair(KeyPair&& other) noexcept = default;
    KeyPair& operator=(KeyPair&& other) noexcept = default;
    ~KeyPair();
};
struct CertificateSet {
    std::string authority;  // its certificate; its key is gone
    KeyPair hub;
    KeyPair spare;
};
[[nodiscard]] OrFault<CertificateSet> make_certificates(const CertificateWish& wish);

}  // namespace honbu

#include "hub/certificates/identity.h"

#include <array>
#include <memory>
#include <utility>
#include <vector>

#include "hub/certificates/openssl.h"
#include "hub/clock.h"
#include "hub/text_file.h"

namespace honbu {
namespace {

constexpr const char* how_to_make = " `honbu certificates` makes new ones.";

Certificate certificate_in(std::string_view pem) {
    const Bytes in = reading(pem);
    return Certificate(in ? PEM_read_bio_X509(in.get(), nullptr, nullptr, nullptr) : nullptr);
}

// A key with a password would ask for it at the terminal, and a hub starts without anybody there.
int no_password(char*, int, int, void*) { return -1; }

std::int64_t unix_s(const ASN1_TIME* time) {
    const std::unique_ptr<ASN1_TIME, FreedBy<&ASN1_TIME_free>> zero(ASN1_TIME_set(nullptr, 0));
    int days = 0;
    int seconds = 0;
    if (!zero || ASN1_TIME_diff(&days, &seconds, zero.get(), time) != 1) return 0;
    return std::int64_t{days} * 24 * 3'600 + seconds;
}

HubNames names_in(X509* certificate) {
    HubNames found;
    const NameList all(static_cast<GENERAL_NAMES*>(
        X509_get_ext_d2i(certificate, NID_subject_alt_name, nullptr, nullptr)));
    std::vector<std::string> names;
    std::vector<std::string> addresses;
    for (int i = 0; all && i < sk_GENERAL_NAME_num(all.get()); ++i) {
        int kind = 0;
        const void* const value = GENERAL_NAME_get0_value(sk_GENERAL_NAME_value(all.get(), i),
                                                          &kind);
        if (kind != GEN_DNS && kind != GEN_IPADD) continue;
        const auto* const text = static_cast<const ASN1_STRING*>(value);
        const std::string bytes(reinterpret_cast<const char*>(ASN1_STRING_get0_data(text)),
                                static_cast<std::size_t>(ASN1_STRING_length(text)));
        if (kind == GEN_DNS) {
            names.push_back(bytes);
        } else {
            addresses.push_back(address_text(bytes));
        }
    }
    for (const std::string& name : names) {
        // What this house does not write itself, as a wildcard, stays as it is.
        const auto read = hub_names({name}, {});
        found.names.push_back(read ? read->names.front() : name);
    }
    for (const std::string& address : addresses) {
        if (!address.empty()) found.addresses.push_back(address);
    }
    return found;
}

std::string day(std::int64_t unix_s) {
    return wall_text(static_cast<std::uint64_t>(unix_s) * 1'000);
}

}  // namespace

OrFault<Identity> checked_identity(Identity given, std::int64_t now_unix_s) {
    const Certificate own = certificate_in(given.pair.certificate);
    if (!own) {
        return Fault{"The hub's certificate is not in PEM form (" + openssl_says() + ")." +
                     how_to_make};
    }
    const Bytes in = reading(given.pair.key);
    const PrivateKey key(in ? PEM_read_bio_PrivateKey(in.get(), nullptr, &no_password, nullptr)
                            : nullptr);
    if (!key) {
        return Fault{"The hub's key can't be used (" + openssl_says() +
                     "). It must be in PEM form and have no password."};
    }
    if (X509_check_private_key(own.get(), key.get()) != 1) {
        ERR_clear_error();
        return Fault{std::string("The hub's key does not belong to its certificate. Give the key "
                                 "that it was made with.") +
                     how_to_make};
    }
    const std::int64_t from = unix_s(X509_get0_notBefore(own.get()));
    given.until_unix_s = unix_s(X509_get0_notAfter(own.get()));
    if (now_unix_s < from) {
        return Fault{"This machine's clock says it is " + day(now_unix_s) +
                     ", and the hub's certificate begins on " + day(from) +
                     ": is the clock right? Set it, then start again."};
    }
    if (now_unix_s >= given.until_unix_s) {
        return Fault{"The hub's certificate ended on " + day(given.until_unix_s) +
                     ", and this machine's clock says it is " + day(now_unix_s) +
                     ". If the clock is right, make new ones: `honbu certificates`. Every device "
                     "has to trust them anew."};
    }
    given.names = names_in(own.get());
    if (!given.authority.empty()) {
        given.fingerprint = fingerprint_of(given.authority);
        const Certificate authority = certificate_in(given.authority);
        if (!authority || X509_verify(own.get(), X509_get0_pubkey(authority.get())) != 1) {
            ERR_clear_error();
            return Fault{std::string("The hub's certificate was not made by the authority beside "
                                     "it.") +
                         how_to_make};
        }
    }
    return given;
}

OrFault<Identity> read_identity(const IdentityFiles& files, std::int64_t now_unix_s) {
    Identity given;
    auto certificate = read_text(files.certificate);
    if (!certificate) return certificate.error();
    given.pair.certificate = std::move(*certificate);
    auto key = read_text(files.key);
    if (!key) return key.error();
    given.pair.key = std::move(*key);
    if (!files.authority.empty()) {
        auto authority = read_text(files.authority);
        if (!authority) return authority.error();
        given.authority = std::move(*authority);
    }
    return checked_identity(std::move(given), now_unix_s);
}

std::string fingerprint_of(std::string_view certificate) {
    const Certificate read = certificate_in(certificate);
    std::array<unsigned char, EVP_MAX_MD_SIZE> digest{};
    unsigned int size = 0;
    if (!read || X509_digest(read.get(), EVP_sha256(), digest.data(), &size) != 1) return {};
    constexpr std::string_view digits = "0123456789ABCDEF";
    std::string out;
    for (unsigned int i = 0; i < size; ++i) {
        if (i > 0) out += ':';
        out += digits[digest[i] >> 4];
        out += digits[digest[i] & 0xF];
    }
    return out;
}

std::string der_of(std::string_view certificate) {
    const Certificate read = certificate_in(certificate);
    unsigned char* bytes = nullptr;
    const int size = read ? i2d_X509(read.get(), &bytes) : 0;
    if (size <= 0) return {};
    std::string out(reinterpret_cast<const char*>(bytes), static_cast<std::size_t>(size));
    OPENSSL_free(bytes);
    return out;
}

}  // namespace honbu

#include "hub/certificates/make.h"

#include <array>
#include <ctime>
#include <memory>
#include <utility>

#include <openssl/rand.h>

#include "hub/certificates/openssl.h"

namespace honbu {
namespace {

constexpr const char* nowhere = "nothing.invalid";  // RFC 6761, 6.4

using Subtrees = STACK_OF(GENERAL_SUBTREE) *;

Fault failed(const std::string& what) {
    return Fault{"The certificates could not be made: " + what + " (" + openssl_says() +
                 "). Nothing was written."};
}

std::int64_t end_of(const CertificateWish& wish) {
    return wish.now_unix_s + std::int64_t{wish.days} * 24 * 3'600;
}

PrivateKey new_key() { return PrivateKey(EVP_EC_gen("P-256")); }

// 16 random bytes, the first bit 0: a positive number (RFC 5280, 4.1.2.2).
bool number(X509* certificate) {
    std::array<unsigned char, 16> bytes{};
    constexpr int size = static_cast<int>(bytes.size());
    if (RAND_bytes(bytes.data(), size) != 1) return false;
    bytes[0] = static_cast<unsigned char>((bytes[0] & 0x7F) | 0x40);
    const std::unique_ptr<BIGNUM, FreedBy<&BN_free>> value(BN_bin2bn(bytes.data(), size, nullptr));
    return value && BN_to_ASN1_INTEGER(value.get(), X509_get_serialNumber(certificate)) != nullptr;
}

bool subject(X509* certificate, const std::string& words) {
    X509_NAME* const name = X509_get_subject_name(certificate);
    const auto* const text = reinterpret_cast<const unsigned char*>(words.c_str());
    return X509_NAME_add_entry_by_txt(name, "CN", MBSTRING_UTF8, text, -1, -1, 0) == 1;
}

bool extension(X509* certificate, X509* issuer, int kind, const char* value) {
    X509V3_CTX context;
    X509V3_set_ctx_nodb(&context);
    X509V3_set_ctx(&context, issuer, certificate, nullptr, nullptr, 0);
    const std::unique_ptr<X509_EXTENSION, FreedBy<&X509_EXTENSION_free>> made(
        X509V3_EXT_conf_nid(nullptr, &context, kind, value));
    return made && X509_add_ext(certificate, made.get(), -1) == 1;
}

// One name or address, as a name to vouch for or as a part of the world (RFC 5280, 4.2.1.6, .10).
GENERAL_NAME* general(int kind, const std::string& bytes) {
    std::unique_ptr<GENERAL_NAME, FreedBy<&GENERAL_NAME_free>> one(GENERAL_NAME_new());
    std::unique_ptr<ASN1_STRING, FreedBy<&ASN1_STRING_free>> text(
        ASN1_STRING_type_new(kind == GEN_IPADD ? V_ASN1_OCTET_STRING : V_ASN1_IA5STRING));
    if (!one || !text) return nullptr;
    if (ASN1_STRING_set(text.get(), bytes.data(), static_cast<int>(bytes.size())) != 1) {
        return nullptr;
    }
    GENERAL_NAME_set0_value(one.get(), kind, text.release());
    return one.release();
}

bool add_subtree(Subtrees& to, int kind, const std::string& bytes) {
    if (to == nullptr) to = sk_GENERAL_SUBTREE_new_null();
    std::unique_ptr<GENERAL_SUBTREE, FreedBy<&GENERAL_SUBTREE_free>> one(GENERAL_SUBTREE_new());
    if (to == nullptr || !one) return false;
    GENERAL_NAME_free(one->base);
    one->base = general(kind, bytes);
    if (one->base == nullptr || sk_GENERAL_SUBTREE_push(to, one.get()) == 0) return false;
    one.release();
    return true;
}

// A constraint counts for its own form of name only, and a form without one is free. So a form of
// which nothing is given is shut as a whole: "" is every DNS name, a mask of noughts every address.
// E-mail addresses and URIs are never given, and allowed of a host that there will never be: to
// exclude "" would say the same, but OpenSSL takes that for no host at all.
bool constrain(X509* authority, const HubNames& names) {
    const Constraints made(NAME_CONSTRAINTS_new());
    if (!made) return false;
    Subtrees& permitted = made->permittedSubtrees;
    Subtrees& excluded = made->excludedSubtrees;
    bool done = true;
    for (const std::string& name : names.names)
        done = done && add_subtree(permitted, GEN_DNS, name);
    for (const std::string& address : names.addresses) {
        const std::string bytes = address_bytes(address);
        const std::string whole_mask(bytes.size(), '\xFF');
        done = done && add_subtree(permitted, GEN_IPADD, bytes + whole_mask);
    }
    if (names.names.empty()) done = done && add_subtree(excluded, GEN_DNS, "");
    if (names.addresses.empty()) {
        done = done && add_subtree(excluded, GEN_IPADD, std::string(8, '\0')) &&
               add_subtree(excluded, GEN_IPADD, std::string(32, '\0'));
    }
    for (const int form : {GEN_EMAIL, GEN_URI})
        done = done && add_subtree(permitted, form, nowhere);
    constexpr int critical = 1;
    return done && X509_add1_ext_i2d(authority, NID_name_constraints, made.get(), critical,
                                     X509V3_ADD_DEFAULT) == 1;
}

bool vouch_for(X509* certificate, const HubNames& names) {
    const NameList all(GENERAL_NAMES_new());
    if (!all) return false;
    const auto add = [&all](int kind, const std::string& bytes) {
        GENERAL_NAME* const one = general(kind, bytes);
        if (one != nullptr && sk_GENERAL_NAME_push(all.get(), one) != 0) return true;
        GENERAL_NAME_free(one);
        return false;
    };
    bool done = true;
    for (const std::string& name : names.names)
        done = done && add(GEN_DNS, name);
    for (const std::string& address : names.addresses)
        done = done && add(GEN_IPADD, address_bytes(address));
    return done && X509_add1_ext_i2d(certificate, NID_subject_alt_name, all.get(), 0,
                                     X509V3_ADD_DEFAULT) == 1;
}

// What all certificates have: version 3, a number, from when until when, whose key.
Certificate blank(const CertificateWish& wish, const std::string& words, EVP_PKEY* key) {
    Certificate made(X509_new());
    constexpr long version_3 = 2;
    const std::int64_t begin = wish.now_unix_s - backdated_s;
    const bool done = made && X509_set_version(made.get(), version_3) == 1 && number(made.get()) &&
                      ASN1_TIME_set(X509_getm_notBefore(made.get()), begin) != nullptr &&
                      ASN1_TIME_set(X509_getm_notAfter(made.get()), end_of(wish)) != nullptr &&
                      X509_set_pubkey(made.get(), key) == 1 && subject(made.get(), words);
    return done ? std::move(made) : nullptr;
}

bool sign(X509* certificate, X509* issuer, EVP_PKEY* key) {
    return X509_set_issuer_name(certificate, X509_get_subject_name(issuer)) == 1 &&
           X509_sign(certificate, key, EVP_sha256()) > 0;
}

// The end's date is part of the authority's name, so that two events' can be told apart in a list
// of what a device trusts.
std::string authority_words(const CertificateWish& wish) {
    const std::unique_ptr<ASN1_TIME, FreedBy<&ASN1_TIME_free>> end(
        ASN1_TIME_set(nullptr, end_of(wish)));
    std::tm parts{};
    if (!end || ASN1_TIME_to_tm(end.get(), &parts) != 1) return "Honbu hub";
    std::array<char, 16> date{};
    std::strftime(date.data(), date.size(), "%Y-%m-%d", &parts);
    return std::string("Honbu hub until ") + date.data();
}

Certificate make_authority(const CertificateWish& wish, EVP_PKEY* key) {
    Certificate made = blank(wish, authority_words(wish), key);
    if (!made) return nullptr;
    X509* const own = made.get();
    const bool done = X509_set_issuer_name(own, X509_get_subject_name(own)) == 1 &&
                      extension(own, own, NID_basic_constraints, "critical,CA:TRUE,pathlen:0") &&
                      extension(own, own, NID_key_usage, "critical,keyCertSign") &&
                      extension(own, own, NID_ext_key_usage, "serverAuth") &&
                      extension(own, own, NID_subject_key_identifier, "hash") &&
                      constrain(own, wish.names) && sign(own, own, key);
    return done ? std::move(made) : nullptr;
}

Certificate make_leaf(const CertificateWish& wish, EVP_PKEY* key, X509* authority,
                      EVP_PKEY* authority_key) {
    Certificate made = blank(wish, "Honbu hub", key);
    if (!made) return nullptr;
    X509* const own = made.get();
    const bool done = extension(own, authority, NID_basic_constraints, "critical,CA:FALSE") &&
                      extension(own, authority, NID_key_usage, "critical,digitalSignature") &&
                      extension(own, authority, NID_ext_key_usage, "serverAuth") &&
                      extension(own, authority, NID_subject_key_identifier, "hash") &&
                      extension(own, authority, NID_authority_key_identifier, "keyid:always") &&
                      vouch_for(own, wish.names) && sign(own, authority, authority_key);
    return done ? std::move(made) : nullptr;
}

std::string text_of(BIO* bytes) {
    char* first = nullptr;
    const long size = BIO_get_mem_data(bytes, &first);
    return size > 0 ? std::string(first, static_cast<std::size_t>(size)) : std::string();
}

std::string pem(X509* certificate) {
    const Bytes out(BIO_new(BIO_s_mem()));
    if (!out || PEM_write_bio_X509(out.get(), certificate) != 1) return {};
    return text_of(out.get());
}

// In memory that OpenSSL wipes when it frees it.
std::string pem(EVP_PKEY* key) {
    const Bytes out(BIO_new(BIO_s_secmem()));
    if (!out) return {};
    if (PEM_write_bio_PrivateKey(out.get(), key, nullptr, nullptr, 0, nullptr, nullptr) != 1) {
        return {};
    }
    return text_of(out.get());
}

bool make_pair(const CertificateWish& wish, X509* authority, EVP_PKEY* authority_key,
               KeyPair& into) {
    const PrivateKey key = new_key();
    if (!key) return false;
    const Certificate made = make_leaf(wish, key.get(), authority, authority_key);
    if (!made) return false;
    into.certificate = pem(made.get());
    into.key = pem(key.get());
    return !into.certificate.empty() && !into.key.empty();
}

}  // namespace

KeyPair::~KeyPair() { OPENSSL_cleanse(key.data(), key.size()); }

OrFault<CertificateSet> make_certificates(const CertificateWish& wish) {
    const PrivateKey key = new_key();
    if (!key) return failed("there is no new key");
    const Certificate authority = make_authority(wish, key.get());
    if (!authority) return failed("the authority's own");
    CertificateSet made;
    made.authority = pem(authority.get());
    if (made.authority.empty()) return failed("the authority's own");
    for (KeyPair* const pair : {&made.hub, &made.spare}) {
        if (!make_pair(wish, authority.get(), key.get(), *pair)) return failed("the hub's");
    }
    return made;
}

}  // namespace honbu

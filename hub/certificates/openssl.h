// OpenSSL's objects as values that free themselves, and its complaints as words.
//
// OpenSSL clears the numbers of a private key when it frees it. Any thread, one object by one at a
// time. Included by the .cpp files here and by hub/net/tls_gate.cpp only.
#pragma once

#include <memory>
#include <string>
#include <string_view>

#include <openssl/bio.h>
#include <openssl/err.h>
#include <openssl/evp.h>
#include <openssl/pem.h>
#include <openssl/ssl.h>
#include <openssl/x509.h>
#include <openssl/x509v3.h>

namespace honbu {

template<auto free> struct FreedBy {
    template<class T> void operator()(T* object) const { free(object); }
};
using Certificate = std::unique_ptr<X509, FreedBy<&X509_free>>;
using PrivateKey = std::unique_ptr<EVP_PKEY, FreedBy<&EVP_PKEY_free>>;
using Bytes = std::unique_ptr<BIO, FreedBy<&BIO_free_all>>;
using NameList = std::unique_ptr<GENERAL_NAMES, FreedBy<&GENERAL_NAMES_free>>;
using Constraints = std::unique_ptr<NAME_CONSTRAINTS, FreedBy<&NAME_CONSTRAINTS_free>>;

inline Bytes reading(std::string_view text) {
    return Bytes(BIO_new_mem_buf(text.data(), static_cast<int>(text.size())));
}

// What went wrong last, for whoever has to look further; the queue is empty afterwards.
inline std::string openssl_says() {
    const unsigned long code = ERR_peek_last_error();
    const char* const reason = code == 0 ? nullptr : ERR_reason_error_string(code);
    ERR_clear_error();
    return reason == nullptr ? "no reason given" : reason;
}

}  // namespace honbu

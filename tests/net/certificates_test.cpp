// The certificates of one event: for which names an authority can vouch, and what is refused.
//
// Sources: RFC 5280 (certificates; section numbers beside the checks), read back by OpenSSL's own
// verifier. The key of the authority is gone when they are made, so nothing can be signed with it
// for other names; what a verifier would say to that is asked of NAME_CONSTRAINTS_check.
#include <filesystem>
#include <fstream>
#include <string>

#include <gtest/gtest.h>
#include <sys/stat.h>
#include <unistd.h>

#include "hub/certificates/folder.h"
#include "hub/certificates/openssl.h"

namespace honbu {
namespace {

namespace fs = std::filesystem;

constexpr std::int64_t noon = 1'778'328'000;  // 2026-05-09 12:00:00 UTC
constexpr std::int64_t day_s = 24 * 3'600;

CertificateWish wish_for(const std::vector<std::string>& names,
                         const std::vector<std::string>& addresses) {
    CertificateWish wish;
    wish.names = *hub_names(names, addresses);
    wish.now_unix_s = noon;
    return wish;
}

Certificate read(const std::string& pem) {
    const Bytes in = reading(pem);
    return Certificate(PEM_read_bio_X509(in.get(), nullptr, nullptr, nullptr));
}

// What a device that trusts this authority says at that moment.
int verified(const CertificateSet& set, std::int64_t when, const std::string& host) {
    const Certificate authority = read(set.authority);
    const Certificate own = read(set.hub.certificate);
    const std::unique_ptr<X509_STORE, FreedBy<&X509_STORE_free>> store(X509_STORE_new());
    X509_STORE_add_cert(store.get(), authority.get());
    const std::unique_ptr<X509_STORE_CTX, FreedBy<&X509_STORE_CTX_free>> check(
        X509_STORE_CTX_new());
    X509_STORE_CTX_init(check.get(), store.get(), own.get(), nullptr);
    X509_VERIFY_PARAM* const how = X509_STORE_CTX_get0_param(check.get());
    X509_VERIFY_PARAM_set_time(how, when);
    X509_VERIFY_PARAM_set_purpose(how, X509_PURPOSE_SSL_SERVER);
    if (X509_VERIFY_PARAM_set1_ip_asc(how, host.c_str()) != 1) {
        X509_VERIFY_PARAM_set1_host(how, host.c_str(), host.size());
    }
    X509_verify_cert(check.get());
    return X509_STORE_CTX_get_error(check.get());
}

// Could this authority vouch for that certificate, if its key were still there?
int constrained(const CertificateSet& ours, X509* leaf) {
    const Certificate authority = read(ours.authority);
    int critical = 0;
    const Constraints limits(static_cast<NAME_CONSTRAINTS*>(
        X509_get_ext_d2i(authority.get(), NID_name_constraints, &critical, nullptr)));
    EXPECT_EQ(critical, 1);           // 4.2.1.10: MUST be marked critical
    X509_check_purpose(leaf, -1, 0);  // reads the names, which the check then looks at
    return NAME_CONSTRAINTS_check(leaf, limits.get());
}
int constrained(const CertificateSet& ours, const CertificateSet& others) {
    return constrained(ours, read(others.hub.certificate).get());
}

// A certificate with nothing but this as its name, as OpenSSL's configuration files write it.
Certificate named(const char* name) {
    Certificate made(X509_new());
    const std::unique_ptr<X509_EXTENSION, FreedBy<&X509_EXTENSION_free>> extension(
        X509V3_EXT_conf_nid(nullptr, nullptr, NID_subject_alt_name, name));
    X509_add_ext(made.get(), extension.get(), -1);
    return made;
}

struct Folder {
    Folder() {
        std::string made = (fs::temp_directory_path() / "honbu-net-XXXXXX").string();
        path = mkdtemp(made.data());
    }
    ~Folder() { fs::remove_all(path); }
    fs::path path;
};

std::string content(const fs::path& file) {
    std::ifstream in(file, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), {}};
}

bool has(const std::string& text, std::string_view part) {
    return text.find(part) != std::string::npos;
}

TEST(Certificates, AreGoodForTheirNamesAndDaysOnly) {
    const auto made = make_certificates(wish_for({"Hub.Example"}, {"192.0.2.7", "2001:db8::7"}));
    ASSERT_TRUE(made);
    for (const char* const host : {"hub.example", "192.0.2.7", "2001:db8::7"}) {
        EXPECT_EQ(verified(*made, noon, host), X509_V_OK) << host;
    }
    EXPECT_EQ(verified(*made, noon, "other.example"), X509_V_ERR_HOSTNAME_MISMATCH);
    EXPECT_EQ(verified(*made, noon, "192.0.2.8"), X509_V_ERR_IP_ADDRESS_MISMATCH);
    EXPECT_EQ(verified(*made, noon + 8 * day_s + 1, "hub.example"), X509_V_ERR_CERT_HAS_EXPIRED);
    EXPECT_EQ(verified(*made, noon - 2 * day_s, "hub.example"), X509_V_ERR_CERT_NOT_YET_VALID);
}

// 4.2.1.10: a form of name that is not constrained would be free.
TEST(Certificates, AnAuthorityCouldVouchForNothingElse) {
    const auto both = make_certificates(wish_for({"hub.example"}, {"192.0.2.7"}));
    const auto name = make_certificates(wish_for({"hub.example"}, {}));
    const auto address = make_certificates(wish_for({}, {"192.0.2.7"}));
    const auto other_name = make_certificates(wish_for({"bank.example"}, {}));
    const auto other_address = make_certificates(wish_for({}, {"192.0.2.8"}));
    const auto other_family = make_certificates(wish_for({}, {"2001:db8::7"}));
    ASSERT_TRUE(both && name && address && other_name && other_address && other_family);
    EXPECT_EQ(constrained(*both, *name), X509_V_OK);
    EXPECT_EQ(constrained(*both, *address), X509_V_OK);
    for (const auto* const other : {&*other_name, &*other_address, &*other_family}) {
        EXPECT_NE(constrained(*both, *other), X509_V_OK);
        EXPECT_NE(constrained(*name, *other), X509_V_OK);
        EXPECT_NE(constrained(*address, *other), X509_V_OK);
    }
    EXPECT_NE(constrained(*name, *address), X509_V_OK);
    EXPECT_NE(constrained(*address, *name), X509_V_OK);
}

// 4.2.1.10: what is allowed of a DNS name is so of every name under it; other forms are shut.
TEST(Certificates, NamesUnderAHubsAreItsOwnAndOtherFormsNobodys) {
    const auto made = make_certificates(wish_for({"hub.example"}, {"192.0.2.7"}));
    ASSERT_TRUE(made);
    for (const char* const name : {"DNS:hub.example", "DNS:mat-1.hub.example", "IP:192.0.2.7"}) {
        EXPECT_EQ(constrained(*made, named(name).get()), X509_V_OK) << name;
    }
    for (const char* const name :
         {"email:wanda@hub.example", "email:wanda@bank.example", "URI:https://hub.example/",
          "URI:https://bank.example/", "DNS:nothub.example", "DNS:example"}) {
        EXPECT_EQ(constrained(*made, named(name).get()), X509_V_ERR_PERMITTED_VIOLATION) << name;
    }
}

// 4.2.1.9, 4.2.1.3, 4.2.1.12: it signs certificates and none that could sign further.
TEST(Certificates, TheAuthoritySignsAndNoMore) {
    const auto made = make_certificates(wish_for({"hub.example"}, {}));
    ASSERT_TRUE(made);
    const Certificate authority = read(made->authority);
    EXPECT_EQ(X509_check_ca(authority.get()), 1);
    EXPECT_EQ(X509_get_pathlen(authority.get()), 0);
    EXPECT_EQ(X509_get_key_usage(authority.get()), static_cast<std::uint32_t>(KU_KEY_CERT_SIGN));
    EXPECT_EQ(X509_get_extended_key_usage(authority.get()),
              static_cast<std::uint32_t>(XKU_SSL_SERVER));
    const Certificate hub = read(made->hub.certificate);
    EXPECT_EQ(X509_check_ca(hub.get()), 0);
    EXPECT_EQ(X509_get_extended_key_usage(hub.get()), static_cast<std::uint32_t>(XKU_SSL_SERVER));
    EXPECT_NE(made->hub.key, made->spare.key);
    EXPECT_NE(made->hub.certificate, made->spare.certificate);
}

TEST(Certificates, NamesAreCheckedAndWrittenTheOneWay) {
    const auto names = hub_names({"Hub.Example", "hub.example"}, {"2001:0db8:0::7", "2001:db8::7"});
    ASSERT_TRUE(names);
    EXPECT_EQ(names->in_words(), "hub.example, 2001:db8::7");
    EXPECT_TRUE(names->cover("HUB.example"));
    EXPECT_TRUE(names->cover("2001:DB8::7"));
    EXPECT_FALSE(names->cover("example"));
    for (const char* const wrong : {"", ".", "a..b", "-a", "a-", "a_b", "*.example", "192.0.2.7",
                                    "hub.example:8443", "a.123", "hub example"}) {
        EXPECT_FALSE(hub_names({wrong}, {})) << wrong;
    }
    for (const char* const wrong : {"", "hub", "192.0.2", "192.0.2.7:80", "[::1]", "1.2.3.4/8"}) {
        EXPECT_FALSE(hub_names({}, {wrong})) << wrong;
    }
}

TEST(Certificates, AreKeptWholeAndReadByTheirOwnerOnly) {
    const Folder data;
    const auto made = make_certificates(wish_for({"hub.example"}, {"192.0.2.7"}));
    ASSERT_TRUE(made);
    ASSERT_TRUE(keep_certificates(data.path, *made));
    for (const char* const name : {"hub.key", "spare.key"}) {
        struct stat about {};
        ASSERT_EQ(stat((certificates_in(data.path) / name).c_str(), &about), 0) << name;
        EXPECT_EQ(about.st_mode & 0777, 0600U) << name;
    }
    const auto read = read_identity(hub_files(data.path), noon);
    ASSERT_TRUE(read) << read.error().words;
    EXPECT_EQ(read->names, made ? *hub_names({"hub.example"}, {"192.0.2.7"}) : HubNames());
    EXPECT_EQ(read->until_unix_s, noon + 8 * day_s);
    EXPECT_EQ(read->fingerprint.size(), 95U);  // 32 pairs and 31 colons

    // Others in their place: all of them, and nothing beside them.
    const auto others = make_certificates(wish_for({"hub.example"}, {}));
    ASSERT_TRUE(keep_certificates(data.path, *others));
    EXPECT_EQ(content(certificates_in(data.path) / "spare.key"), others->spare.key);
    EXPECT_EQ(std::distance(fs::directory_iterator(data.path), fs::directory_iterator()), 1);
}

// A folder that can't be written stays as it was, with no key lying about.
TEST(Certificates, AreNotKeptByHalves) {
    const Folder data;
    const auto made = make_certificates(wish_for({"hub.example"}, {}));
    std::ofstream(certificates_in(data.path)) << "a file in the way";
    EXPECT_FALSE(keep_certificates(data.path, *made));
    EXPECT_EQ(content(certificates_in(data.path)), "a file in the way");
    EXPECT_EQ(std::distance(fs::directory_iterator(data.path), fs::directory_iterator()), 1);
}

TEST(Certificates, ACopyHasTheSparesPairAndTheSpareShowsIt) {
    const Folder data;
    const Folder copy;
    const Folder spare;
    const Folder second_copy;
    const auto made = make_certificates(wish_for({"hub.example"}, {}));
    ASSERT_TRUE(keep_certificates(data.path, *made));
    ASSERT_TRUE(copy_certificates(data.path, copy.path));
    for (const auto& file : fs::directory_iterator(certificates_in(copy.path))) {
        EXPECT_NE(content(file.path()), made->hub.key) << file.path();
    }
    EXPECT_FALSE(fs::exists(certificates_in(copy.path) / "hub.key"));
    ASSERT_TRUE(take_certificates(copy.path, spare.path));
    const auto shown = read_identity(hub_files(spare.path), noon);
    ASSERT_TRUE(shown) << shown.error().words;
    EXPECT_EQ(shown->pair.key, made->spare.key);
    // Those of a hub that has gone on already stay.
    const auto others = make_certificates(wish_for({"other.example"}, {}));
    ASSERT_TRUE(keep_certificates(data.path, *others));
    ASSERT_TRUE(copy_certificates(data.path, copy.path));
    ASSERT_TRUE(take_certificates(copy.path, spare.path));
    EXPECT_EQ(read_identity(hub_files(spare.path), noon)->pair.key, made->spare.key);
    // And the spare has a spare.
    ASSERT_TRUE(copy_certificates(spare.path, second_copy.path));
    EXPECT_EQ(content(certificates_in(second_copy.path) / "spare.key"), made->spare.key);
    // Where there are none, nothing is done.
    const Folder bare;
    const Folder nothing;
    ASSERT_TRUE(copy_certificates(bare.path, nothing.path));
    EXPECT_TRUE(fs::is_empty(nothing.path));
}

struct Wrong {
    const char* what;
    std::string pem;
    std::string key;
    std::int64_t now;
    const char* words;
};

TEST(Certificates, WhatIsWrongWithThemIsSaid) {
    const auto made = make_certificates(wish_for({"hub.example"}, {}));
    const auto others = make_certificates(wish_for({"hub.example"}, {}));
    ASSERT_TRUE(made && others);
    const std::string& pem = made->hub.certificate;
    const std::string& key = made->hub.key;
    const std::vector<Wrong> all{
        {"another's key", pem, made->spare.key, noon, "does not belong to its certificate"},
        {"ended", pem, key, noon + 9 * day_s, "ended on"},
        {"too young", pem, key, noon - 2 * day_s, "is the clock right?"},
        {"no certificate", "hello", key, noon, "not in PEM form"},
        {"no key", pem, pem, noon, "The hub's key can't be used"},
        {"cut off", pem.substr(0, pem.size() / 2), key, noon, "not in PEM form"},
        {"of another authority", others->hub.certificate, others->hub.key, noon,
         "not made by the authority beside it"},
    };
    for (const Wrong& wrong : all) {
        Identity given;
        given.pair.certificate = wrong.pem;
        given.pair.key = wrong.key;
        given.authority = made->authority;
        const auto checked = checked_identity(std::move(given), wrong.now);
        ASSERT_FALSE(checked) << wrong.what;
        EXPECT_TRUE(has(checked.error().words, wrong.words))
            << wrong.what << ": " << checked.error().words;
    }
    const Folder nothing;
    const auto missing = read_identity(hub_files(nothing.path), noon);
    ASSERT_FALSE(missing);
    EXPECT_TRUE(has(missing.error().words, "hub.pem"));
}

}  // namespace
}  // namespace honbu

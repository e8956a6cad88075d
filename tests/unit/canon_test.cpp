#include <gtest/gtest.h>

#include "engine/record/canon.h"
#include "tests/unit/bouts.h"
#include "tests/unit/dice.h"

namespace honbu {
namespace {

// Source: NIST, "Examples with Intermediate Values" for SHA-256 (FIPS 180-4), and the CAVP vector
// for the empty message.
TEST(Sha256, PublishedVectors) {
    EXPECT_EQ(hex(sha256("")), "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
    EXPECT_EQ(hex(sha256("abc")),
              "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    EXPECT_EQ(hex(sha256("abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq")),
              "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
    EXPECT_EQ(hex(sha256(std::string(1'000'000, 'a'))),
              "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0");
}

Record record_of(Fact fact) {
    Record r;
    r.number = RecordNumber{3};
    r.previous[0] = 0xab;
    r.received = Instant{123456};
    r.device = DeviceId{0x0102030405060708};
    r.hand = "Renske";
    r.verdict = Verdict::applied;
    r.fact = std::move(fact);
    return r;
}

TEST(Canon, EveryKindOfCallComesBackAsTheSameBytes) {
    for (std::uint32_t seed = 0; seed < 200; ++seed) {
        Dice dice(seed);
        const std::vector<What> kinds = dice.whats();
        ASSERT_EQ(kinds.size(), std::variant_size_v<What>);
        for (std::size_t kind = 0; kind < kinds.size(); ++kind) {
            ASSERT_EQ(kinds[kind].index(), kind);
            const Call call = dice.call(kinds[kind]);
            const std::string bytes = encode(call);
            const auto again = decode_call(bytes);
            ASSERT_TRUE(again) << word(call.what);
            EXPECT_EQ(again->what.index(), kind);
            EXPECT_EQ(encode(*again), bytes);

            const std::string record = encode(record_of(call));
            const auto record_again = decode_record(record);
            ASSERT_TRUE(record_again);
            EXPECT_EQ(encode(*record_again), record);
        }
    }
}

// A confirmed result is the fact: every one of its fields has to come back.
TEST(Canon, ResultsComeBackWhole) {
    for (std::uint32_t seed = 0; seed < 500; ++seed) {
        Dice dice(seed);
        const Result result = dice.result();
        const auto again = decode_call(encode(dice.call(Confirm{result})));
        ASSERT_TRUE(again);
        EXPECT_EQ(std::get<Confirm>(again->what).result, result);
    }
}

CompetitionLoaded small_competition() {
    CompetitionLoaded c;
    c.title = "Lantern Cup";
    c.rules = {rules_named("2025")};
    c.categories = {{"women -57 kg", 0, seconds(240), seconds(180)}};
    c.bouts = {{BoutId{1}, MatId{1}, 0, "round 1", Slot{Slot::From::person, 1},
                Slot{Slot::From::person, 2}},
               {BoutId{2}, MatId{1}, 0, "final", Slot{Slot::From::winner_of, 1},
                Slot{Slot::From::loser_of, 1}}};
    return c;
}

TEST(Canon, EveryKindOfFactComesBackAsTheSameBytes) {
    for (const Fact& fact : {Fact{EpochBegan{Epoch{9}, 1, 20}}, Fact{small_competition()},
                             Fact{MatTaken{MatId{2}, Term{5}}}}) {
        const std::string bytes = encode(record_of(fact));
        const auto again = decode_record(bytes);
        ASSERT_TRUE(again);
        EXPECT_EQ(again->fact.index(), fact.index());
        EXPECT_EQ(encode(*again), bytes);
    }
}

// A cut or a longer record is never taken for another one: every prefix fails, and so does a
// suffix.
TEST(Canon, NoPrefixOfARecordIsARecord) {
    for (const Fact& fact : {Fact{small_competition()}, Fact{EpochBegan{Epoch{9}, 1, 1}}}) {
        const std::string bytes = encode(record_of(fact));
        for (std::size_t n = 0; n < bytes.size(); ++n) {
            EXPECT_FALSE(decode_record(std::string_view(bytes).substr(0, n))) << n;
        }
        EXPECT_FALSE(decode_record(bytes + '\0'));
    }
}

// No byte sequence does harm: each byte of a good record set to each value either fails or gives a
// record that encodes to those same bytes (docs/architecture.md, promise 11).
TEST(Canon, AnyFlippedByteFailsOrIsAnotherRecord) {
    const std::string good = encode(record_of(small_competition()));
    for (std::size_t at = 0; at < good.size(); ++at) {
        for (int value = 0; value < 256; value += 5) {
            std::string bytes = good;
            bytes[at] = static_cast<char>(value);
            const auto record = decode_record(bytes);
            if (record) {
                EXPECT_EQ(encode(*record), bytes);
            }
        }
    }
}

// The worked examples of docs/journal.md, byte by byte. Their hashes were made with another SHA-256
// (Python's hashlib).
TEST(Canon, WorkedExampleOfTheJournalPage) {
    Record r;
    r.number = RecordNumber{1};
    r.received = Instant{0};
    r.fact = EpochBegan{Epoch{0x0123456789abcdef}, 2, 1};
    EXPECT_EQ(hex(encode(r)), "01000000"
                              "0000000000000000000000000000000000000000000000000000000000000000"
                              "00000000"
                              "0000000000000000"
                              "0000"
                              "00"
                              "01"
                              "efcdab8967452301"
                              "02000000"
                              "01000000");
    EXPECT_EQ(hex(sha256(encode(r))),
              "a35303a210cf3d2ad1bdbcdfe2d48a6e807e49d50477bf4095cc17d12182d9c9");
}

TEST(Canon, WorkedExampleOfACorrection) {
    Call call;
    const RunId run{0x5d0c7a91e2b84f36};
    call.id = {run, CallNumber{9}};
    call.term = Term{1};
    call.mat = MatId{1};
    call.bout = BoutId{1};
    call.entered = Instant{91'250};
    call.what = Replace{CallId{run, CallNumber{7}}, Score{only(Side::blue), Level::waza_ari}};
    EXPECT_EQ(hex(encode(call)), "364fb8e2917a0c5d"
                                 "09000000"
                                 "01000000"
                                 "0100"
                                 "01000000"
                                 "72640100"
                                 "00000000"
                                 "00000000"
                                 "22"
                                 "364fb8e2917a0c5d"
                                 "07000000"
                                 "08"
                                 "02"
                                 "03");
    EXPECT_EQ(hex(sha256(encode(call))),
              "438af0d0cddab19fa88c128a91328c5584f9f03a6462b22369172a9c584dbb08");
}

TEST(Canon, RuleSetsComeBack) {
    for (const char* name : {"2009", "2018", "2025"}) {
        const auto again = decode_rules(encode(rules_named(name)));
        ASSERT_TRUE(again);
        EXPECT_EQ(*again, rules_named(name));
    }
    for (std::uint32_t seed = 0; seed < 500; ++seed) {
        Dice dice(seed);
        const RuleSet rules = dice.rules();
        const auto again = decode_rules(encode(rules));
        ASSERT_TRUE(again) << seed;
        EXPECT_EQ(*again, rules) << seed;
    }
}

}  // namespace
}  // namespace honbu

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

SetAsideDecided some_decision(Dice& dice) {
    SetAsideDecided decided;
    decided.how = dice.among(SetAsideDecided::How::dismissed, SetAsideDecided::How::taken);
    decided.into = BoutId{dice.u32()};
    for (std::uint32_t left = dice.from_to(1, 5); left > 0; --left)
        decided.calls.push_back(dice.call_id());
    for (std::uint32_t left = dice.from_to(0, 2); left > 0; --left)
        decided.joined.push_back({RunId{dice.name()}, dice.joint()});
    decided.reason = "the cable of mat 2 was out";
    return decided;
}
ResultEntered some_result(Dice& dice) {
    return ResultEntered{BoutId{dice.u32()},
                         dice.among(ResultEntered::From::paper, ResultEntered::From::desk),
                         RecordNumber{dice.u32()}, dice.result(), "Ōtautahi's paper"};
}
// One of each kind but the call, in the order of the variant.
std::vector<Fact> facts(std::uint32_t seed) {
    Dice dice(seed);
    return {
        EpochBegan{Epoch{dice.name()}, dice.u32(), dice.u32(), Epoch{dice.name()}},
        small_competition(),
        MatTaken{MatId{2}, Term{dice.u32()}},
        MatFreed{MatId{2}, Term{dice.u32()}},
        some_decision(dice),
        some_result(dice),
        RecordMoved{BoutId{dice.u32()}, BoutId{dice.u32()}, "the wrong pair was called"},
        BoutGivenBack{BoutId{dice.u32()}},
        DeviceLetIn{DeviceId{dice.name()}, dice.among(Right::table, Right::display), MatId{3},
                    Instant{dice.u32()}},
        DeviceShutOut{DeviceId{dice.name()}, "left in the café"},
        PersonErased{PersonId{dice.u32()}, BoutId{dice.u32()}, "asked for by the club"},
        CallsHandedIn{DeviceId{dice.name()}, "Renske", {dice.call(Hajime{}), dice.call(Mate{})}}};
}

TEST(Canon, EveryKindOfFactComesBackAsTheSameBytes) {
    ASSERT_EQ(facts(0).size() + 1, std::variant_size_v<Fact>) << "a kind of fact is not tested";
    for (std::uint32_t seed = 0; seed < 100; ++seed) {
        for (const Fact& fact : facts(seed)) {
            const std::string bytes = encode(record_of(fact));
            const auto again = decode_record(bytes);
            ASSERT_TRUE(again) << fact.index();
            EXPECT_EQ(again->fact.index(), fact.index());
            EXPECT_EQ(encode(*again), bytes);
        }
    }
}

// Equal bytes alone could hide a field that neither way knows.
TEST(Canon, WhatTheDeskDecidedComesBackWhole) {
    for (std::uint32_t seed = 0; seed < 100; ++seed) {
        Dice dice(seed);
        const SetAsideDecided decided = some_decision(dice);
        const auto one = decode_record(encode(record_of(decided)));
        ASSERT_TRUE(one);
        const auto& got = std::get<SetAsideDecided>(one->fact);
        EXPECT_EQ(got.how, decided.how);
        EXPECT_EQ(got.into, decided.into);
        EXPECT_EQ(got.calls, decided.calls);
        ASSERT_EQ(got.joined.size(), decided.joined.size());
        for (std::size_t i = 0; i < got.joined.size(); ++i) {
            EXPECT_EQ(got.joined[i].run, decided.joined[i].run);
            EXPECT_EQ(got.joined[i].joint.earlier, decided.joined[i].joint.earlier);
            EXPECT_EQ(got.joined[i].joint.there, decided.joined[i].joint.there);
            EXPECT_EQ(got.joined[i].joint.here, decided.joined[i].joint.here);
            EXPECT_EQ(got.joined[i].joint.source, decided.joined[i].joint.source);
        }
        EXPECT_EQ(got.reason, decided.reason);

        const ResultEntered entered = some_result(dice);
        const auto two = decode_record(encode(record_of(entered)));
        ASSERT_TRUE(two);
        const auto& result = std::get<ResultEntered>(two->fact);
        EXPECT_EQ(result.bout, entered.bout);
        EXPECT_EQ(result.from, entered.from);
        EXPECT_EQ(result.replaces, entered.replaces);
        EXPECT_EQ(result.result, entered.result);
        EXPECT_EQ(result.reason, entered.reason);
    }
    const auto moved = decode_record(encode(record_of(RecordMoved{BoutId{3}, BoutId{4}, "so"})));
    ASSERT_TRUE(moved);
    EXPECT_EQ(std::get<RecordMoved>(moved->fact).from, BoutId{3});
    EXPECT_EQ(std::get<RecordMoved>(moved->fact).to, BoutId{4});
    EXPECT_EQ(std::get<RecordMoved>(moved->fact).reason, "so");
    const auto epoch = decode_record(encode(record_of(EpochBegan{Epoch{9}, 2, 1, Epoch{8}})));
    ASSERT_TRUE(epoch);
    EXPECT_EQ(std::get<EpochBegan>(epoch->fact).parent, Epoch{8});
    const auto freed = decode_record(encode(record_of(MatFreed{MatId{3}, Term{7}})));
    ASSERT_TRUE(freed);
    EXPECT_EQ(std::get<MatFreed>(freed->fact).mat, MatId{3});
    EXPECT_EQ(std::get<MatFreed>(freed->fact).term, Term{7});
}

// A cut or a longer record is never taken for another one: every prefix fails, and so does a
// suffix.
TEST(Canon, NoPrefixOfARecordIsARecord) {
    for (const Fact& fact : facts(5)) {
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
    for (const Fact& fact : facts(6)) {
        const std::string good = encode(record_of(fact));
        for (std::size_t at = 0; at < good.size(); ++at) {
            for (int value = 0; value < 256; value += 5) {
                std::string bytes = good;
                bytes[at] = static_cast<char>(value);
                const auto record = decode_record(bytes);
                if (record) {
                    ASSERT_EQ(encode(*record), bytes) << fact.index() << " at " << at;
                }
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
                              "01000000"
                              "0000000000000000");
    EXPECT_EQ(hex(sha256(encode(r))),
              "9e68791c609b86c970e8e588c5e445f05057c5c31a6ede09da53e72b0160b94b");
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

TEST(Canon, WorkedExampleOfADecision) {
    const RunId run{0x5d0c7a91e2b84f36};
    SetAsideDecided decided;
    decided.how = SetAsideDecided::How::taken;
    decided.into = BoutId{7};
    decided.calls = {CallId{run, CallNumber{3}}, CallId{run, CallNumber{4}}};
    decided.joined = {{run, Joint{RunId{0xa86bd54e3f2c1970}, Instant{61'250}, Instant{0},
                                  Joint::Source::assumed}}};
    decided.reason = "cable out";
    Record r;
    r.fact = decided;
    constexpr std::size_t before_fact = 4 + 32 + 4 + 8 + 2 + 1;  // no hand
    const std::string bytes = encode(r).substr(before_fact);
    EXPECT_EQ(hex(bytes), "06"
                          "02"
                          "07000000"
                          "02000000"
                          "364fb8e2917a0c5d"
                          "03000000"
                          "364fb8e2917a0c5d"
                          "04000000"
                          "01000000"
                          "364fb8e2917a0c5d"
                          "70192c3f4ed56ba8"
                          "42ef0000"
                          "00000000"
                          "04"
                          "0900"
                          "6361626c65206f7574");
    EXPECT_EQ(hex(sha256(bytes)),
              "398ea547dbd2df9865f27db3fca4c9a18edae7104c79185c8617dd662284577f");
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

// The wire: what must not get through.
//
// If a strange value got past, the core would meet something it was never written for; if a fault
// did not say where it is, nobody could write a client. So every field is given what it must not
// have.
#include <gtest/gtest.h>

#include <random>

#include "tests/unit/wire_words.h"

namespace honbu {
namespace {

constexpr const char* run_name = "00f3a1b2c3d4e5f6";

v1::ToHub good_hello() {
    v1::ToHub message;
    v1::Hello& hello = *message.mutable_hello();
    hello.set_schema(wire_schema);
    hello.set_role(v1::ROLE_TABLE);
    hello.set_device("0123456789abcdef");
    hello.set_run(run_name);
    return message;
}
v1::ToHub good_submit() {
    v1::ToHub message;
    v1::Call& call = *message.mutable_submit()->mutable_call();
    call.mutable_id()->set_run(run_name);
    call.mutable_id()->set_number(1);
    call.set_mat(2);
    call.set_plain(v1::PLAIN_HAJIME);
    return message;
}
v1::Result good_result() {
    v1::Result result;
    result.set_winner(v1::WINNER_WHITE);
    result.set_way(v1::WAY_IPPON);
    result.set_rules_hash(std::string(32, 'h'));
    return result;
}

TEST(Wire, TheGoodOnesOfTheseTestsAreTaken) {
    EXPECT_EQ(fault_words(good_hello()), "");
    EXPECT_EQ(fault_words(good_submit()), "");
    v1::ToHub confirm = good_submit();
    *confirm.mutable_submit()->mutable_call()->mutable_confirm() = good_result();
    EXPECT_EQ(fault_words(confirm), "");
}

TEST(Wire, NoiseIsAFault) {
    EXPECT_NE(fault_words(""), "");                                   // a frame without a message
    EXPECT_NE(fault_words("hajime"), "");                             // not protobuf
    EXPECT_NE(fault_words(std::string_view("\x12\x7f\x08", 3)), "");  // longer than the frame
    EXPECT_NE(fault_words(std::string_view("\xa2\x06\x00", 3)),
              "");  // a kind of tomorrow, field 100
    EXPECT_NE(fault_words(std::string_view("\x0b\x0b\x0b\x0b", 4)), "");  // groups without an end
    std::mt19937 noise(1);
    for (int round = 0; round < 20000; ++round) {
        std::string bytes(noise() % 40, '\0');
        for (char& c : bytes)
            c = static_cast<char>(noise());
        from_wire(bytes);  // anything, as long as it comes back
    }
}

// Every message of these tests, with every one of its bits turned and every tail cut off.
TEST(Wire, DamageNeverBreaksTheReader) {
    v1::ToHub confirm = good_submit();
    *confirm.mutable_submit()->mutable_call()->mutable_confirm() = good_result();
    for (const v1::ToHub& message : {good_hello(), good_submit(), confirm}) {
        const std::string whole = message.SerializeAsString();
        for (std::size_t bit = 0; bit < whole.size() * 8; ++bit) {
            std::string damaged = whole;
            damaged[bit / 8] = static_cast<char>(damaged[bit / 8] ^ (1 << (bit % 8)));
            from_wire(damaged);
        }
        for (std::size_t size = 0; size < whole.size(); ++size) {
            from_wire(std::string_view(whole).substr(0, size));
        }
    }
}

TEST(Wire, NamesAreSixteenHexDigits) {
    for (const char* bad :
         {"", "0", "00f3a1b2c3d4e5f", "00f3a1b2c3d4e5f67", "00f3a1b2c3d4e5fg", "00F3A1B2C3D4E5F6",
          " 0f3a1b2c3d4e5f6", "0x00f3a1b2c3d4e5", "0000000000000000"}) {
        SCOPED_TRACE(bad);
        v1::ToHub message = good_hello();
        message.mutable_hello()->set_device(bad);
        expect_fault(message, "hello.device");
        message = good_hello();
        message.mutable_hello()->set_run(bad);
        expect_fault(message, "hello.run");
        message = good_submit();
        message.mutable_submit()->mutable_call()->mutable_id()->set_run(bad);
        expect_fault(message, "call.id.run");
        message = good_submit();
        v1::CallRef& strike = *message.mutable_submit()->mutable_call()->mutable_strike();
        strike.set_number(3);
        strike.set_run(bad);
        expect_fault(message, "call.strike.run");
        message = good_submit();
        v1::Joint& joint = *message.mutable_submit()->mutable_call()->mutable_joint();
        joint.set_source(v1::Joint::SOURCE_TYPED);
        joint.set_earlier(bad);
        expect_fault(message, "call.joint.earlier");
        message = v1::ToHub{};
        message.mutable_run_clock()->set_run(bad);
        expect_fault(message, "run_clock.run");
    }
    v1::ToHub message = good_hello();
    message.mutable_hello()->set_seen_epoch("yesterday");
    expect_fault(message, "hello.seen_epoch");
    message = good_hello();
    message.mutable_hello()->set_role(v1::ROLE_BOARD);
    message.mutable_hello()->set_device("nobody");
    expect_fault(message, "hello.device");
}

TEST(Wire, RolesAreOnesTheHubKnows) {
    for (const int bad : {0, 6, -1, 1000}) {
        v1::ToHub message = good_hello();
        message.mutable_hello()->set_role(static_cast<v1::Role>(bad));
        expect_fault(message, "hello.role");
    }
}

TEST(Wire, AHandIsAShortPlainText) {
    v1::ToHub message = good_hello();
    message.mutable_hello()->set_hand(std::string(40, 'm'));
    EXPECT_EQ(fault_words(message), "");
    message.mutable_hello()->set_hand(std::string(41, 'm'));
    expect_fault(message, "hello.hand");
    for (const char* bad : {"two\nlines", "bell\x07", "\x7f"}) {
        message.mutable_hello()->set_hand(bad);
        expect_fault(message, "hello.hand");
    }
    // Not UTF-8: a stray continuation byte, put in where protobuf can't object while writing.
    message.mutable_hello()->set_hand("hand");
    std::string bytes = message.SerializeAsString();
    bytes[bytes.find("hand")] = '\x80';
    EXPECT_NE(fault_words(bytes), "");
}

TEST(Wire, APageIsAShortPlainText) {
    v1::ToHub message = good_hello();
    message.mutable_hello()->set_page(std::string(80, 'p'));
    EXPECT_EQ(fault_words(message), "");
    message.mutable_hello()->set_page(std::string(81, 'p'));
    expect_fault(message, "hello.page");
    message.mutable_hello()->set_page("a page\nof two lines");
    expect_fault(message, "hello.page");
}

// Hashes of FIPS 180-4 begin with any digits, zeros as well.
TEST(Wire, AHashIsSixteenHexDigitsOrNothing) {
    v1::ToHub message = good_hello();
    for (const char* good : {"", "0000000000000000", "e3b0c44298fc1c14"}) {
        message.mutable_hello()->set_seen_hash(good);
        EXPECT_EQ(fault_words(message), "");
    }
    for (const char* bad : {"0", "e3b0c44298fc1c1", "e3b0c44298fc1c149", "E3B0C44298FC1C14",
                            "0xe3b0c44298fc1c", "e3b0c44298fc1c1 "}) {
        message.mutable_hello()->set_seen_hash(bad);
        expect_fault(message, "hello.seen_hash");
    }
}

TEST(Wire, NamesTypedAtTheTableAreShortPlainTexts) {
    v1::ToHub message = good_submit();
    v1::Typed& typed = *message.mutable_submit()->mutable_typed();
    typed.set_white(std::string(80, 'w'));
    typed.set_blue(std::string(80, 'b'));
    typed.set_note(std::string(120, 'n'));
    EXPECT_EQ(fault_words(message), "");
    typed.set_white(std::string(81, 'w'));
    expect_fault(message, "submit.typed.white");
    typed.set_white("tab\tin it");
    expect_fault(message, "submit.typed.white");
    typed.clear_white();
    typed.set_blue(std::string(81, 'b'));
    expect_fault(message, "submit.typed.blue");
    typed.set_blue("\x1b[2J");
    expect_fault(message, "submit.typed.blue");
    typed.clear_blue();
    typed.set_note(std::string(121, 'n'));
    expect_fault(message, "submit.typed.note");
    typed.set_note("two\nlines");
    expect_fault(message, "submit.typed.note");
}

// It would hold up a call for ever if it were refused: UAX #9 for what turns the direction.
TEST(Wire, WhatCantBeSeenIsTakenOutOfTexts) {
    v1::ToHub message = good_submit();
    v1::Typed& typed = *message.mutable_submit()->mutable_typed();
    typed.set_white("A\u202Elice\u2069");
    typed.set_blue("\u200BHana Lund");
    typed.set_note("-57\u00AD kg");
    const auto read = [](const v1::ToHub& in) {
        return std::get<Command>(from_wire(in.SerializeAsString()));
    };
    const Typed got = *std::get<Submit>(read(message)).typed;
    EXPECT_EQ(got.white, "Alice");
    EXPECT_EQ(got.blue, "Hana Lund");
    EXPECT_EQ(got.note, "-57 kg");
    message = good_hello();
    message.mutable_hello()->set_hand("table 2\u200F");
    EXPECT_EQ(std::get<Hello>(read(message)).hand, "table 2");
    message = v1::ToHub{};
    message.mutable_take_mat()->set_mat(1);
    message.mutable_take_mat()->set_hand("\u2066Runa");
    EXPECT_EQ(std::get<TakeMat>(read(message)).hand, "Runa");
    message = v1::ToHub{};
    message.mutable_ask()->set_mat(1);
    message.mutable_ask()->set_to(v1::Ask::TO_DESK);
    message.mutable_ask()->set_about(v1::ABOUT_OTHER);
    message.mutable_ask()->set_words("come\u061C");
    EXPECT_EQ(std::get<Ask>(read(message)).words, "come");
    message = v1::ToHub{};
    message.mutable_erase_person()->set_person(1);
    message.mutable_erase_person()->set_reason("\u200B");
    expect_fault(message, "erase_person.reason");
}

TEST(Wire, MatsAreOneTo65535) {
    for (const std::uint32_t bad : {0U, 65536U, 65537U, 0xffffffffU}) {
        v1::ToHub message = good_submit();
        message.mutable_submit()->mutable_call()->set_mat(bad);
        expect_fault(message, "call.mat");
        message = v1::ToHub{};
        message.mutable_take_mat()->set_mat(bad);
        expect_fault(message, "take_mat.mat");
        message = v1::ToHub{};
        message.mutable_leave_mat()->set_mat(bad);
        expect_fault(message, "leave_mat.mat");
        message = v1::ToHub{};
        message.mutable_ask()->set_to(v1::Ask::TO_DESK);
        message.mutable_ask()->set_about(v1::ABOUT_COME);
        message.mutable_ask()->set_mat(bad);
        expect_fault(message, "ask.mat");
        message = v1::ToHub{};
        message.mutable_subscribe()->add_mats(1);
        message.mutable_subscribe()->add_mats(bad);
        expect_fault(message, "subscribe.mats");
    }
}

TEST(Wire, ASubscriptionNamesAtMost64Mats) {
    v1::ToHub message;
    for (std::uint32_t mat = 1; mat <= 64; ++mat)
        message.mutable_subscribe()->add_mats(mat);
    EXPECT_EQ(fault_words(message), "");
    message.mutable_subscribe()->add_mats(65);
    expect_fault(message, "subscribe.mats");
}

TEST(Wire, ASubscriptionNamesAtMost64SheetsOfBoutsThatCanBe) {
    v1::ToHub message;
    for (std::uint32_t bout = 1; bout <= 64; ++bout)
        message.mutable_subscribe()->add_sheets(bout);
    EXPECT_EQ(fault_words(message), "");
    message.mutable_subscribe()->add_sheets(65);
    expect_fault(message, "subscribe.sheets");
    message = v1::ToHub{};
    message.mutable_subscribe()->add_sheets(0);
    expect_fault(message, "subscribe.sheets");
}

TEST(Wire, ACallNeedsItsIdAndItsKind) {
    v1::ToHub message;
    message.mutable_submit();
    expect_fault(message, "submit.call");
    message = good_submit();
    message.mutable_submit()->mutable_call()->clear_id();
    expect_fault(message, "call.id");
    message = good_submit();
    message.mutable_submit()->mutable_call()->mutable_id()->set_number(0);
    expect_fault(message, "call.id.number");
    message = good_submit();
    message.mutable_submit()->mutable_call()->clear_what();
    expect_fault(message, "call.what");
    message = good_submit();
    message.mutable_submit()->mutable_call()->mutable_strike()->set_run(run_name);
    expect_fault(message, "call.strike.number");
}

TEST(Wire, APlainCallIsOneOfThoseThatAre) {
    for (const int bad : {0, 18, -1, 255}) {
        v1::ToHub message = good_submit();
        message.mutable_submit()->mutable_call()->set_plain(static_cast<v1::Plain>(bad));
        expect_fault(message, "call.plain");
    }
}

TEST(Wire, SidesAreThoseTheCallCanHave) {
    const auto with = [](auto fill, int side) {
        v1::ToHub message = good_submit();
        fill(*message.mutable_submit()->mutable_call(), static_cast<v1::Side>(side));
        return message;
    };
    const auto osaekomi = [](v1::Call& call, v1::Side side) { call.set_osaekomi(side); };
    const auto submission = [](v1::Call& call, v1::Side side) { call.set_submission(side); };
    const auto score = [](v1::Call& call, v1::Side side) {
        call.mutable_score()->set_to(side);
        call.mutable_score()->set_level(v1::LEVEL_YUKO);
    };
    const auto award = [](v1::Call& call, v1::Side side) {
        call.mutable_award()->set_to(side);
        call.mutable_award()->set_way(v1::WAY_HANTEI);
    };
    const auto shido = [](v1::Call& call, v1::Side side) { call.set_shido(side); };
    const auto hansoku_make = [](v1::Call& call, v1::Side side) { call.set_hansoku_make(side); };

    for (const int one : {1, 2}) {
        EXPECT_EQ(fault_words(with(osaekomi, one)), "");
        EXPECT_EQ(fault_words(with(submission, one)), "");
        EXPECT_EQ(fault_words(with(award, one)), "");
    }
    for (const int any : {1, 2, 3}) {
        EXPECT_EQ(fault_words(with(score, any)), "");
        EXPECT_EQ(fault_words(with(shido, any)), "");
        EXPECT_EQ(fault_words(with(hansoku_make, any)), "");
    }
    for (const int bad : {0, 3, 4, -1}) {
        expect_fault(with(osaekomi, bad), "call.osaekomi");
        expect_fault(with(submission, bad), "call.submission");
        expect_fault(with(award, bad), "call.award.to");
    }
    for (const int bad : {0, 4, -1}) {
        expect_fault(with(score, bad), "call.score.to");
        expect_fault(with(shido, bad), "call.shido");
        expect_fault(with(hansoku_make, bad), "call.hansoku_make");
    }
}

TEST(Wire, LevelsWaysAndSourcesAreInRange) {
    for (const int bad : {0, 5, -1}) {
        v1::ToHub message = good_submit();
        v1::Score& score = *message.mutable_submit()->mutable_call()->mutable_score();
        score.set_to(v1::SIDE_WHITE);
        score.set_level(static_cast<v1::Level>(bad));
        expect_fault(message, "call.score.level");
    }
    for (int way = -1; way <= 15; ++way) {
        v1::ToHub message = good_submit();
        v1::Award& award = *message.mutable_submit()->mutable_call()->mutable_award();
        award.set_to(v1::SIDE_BLUE);
        award.set_way(static_cast<v1::Way>(way));
        if (way == v1::WAY_HANTEI || way == v1::WAY_KIKEN_GACHI || way == v1::WAY_FUSEN_GACHI ||
            way == v1::WAY_SOGO_GACHI) {
            EXPECT_EQ(fault_words(message), "");
        } else {
            expect_fault(message, "call.award.way");
        }
    }
    for (const int bad : {0, 5, -1}) {
        v1::ToHub message = good_submit();
        v1::Joint& joint = *message.mutable_submit()->mutable_call()->mutable_joint();
        joint.set_earlier("0123456789abcdef");
        joint.set_source(static_cast<v1::Joint::Source>(bad));
        expect_fault(message, "call.joint.source");
    }
}

TEST(Wire, AResultIsWholeAndInRange) {
    const auto with = [](auto change) {
        v1::ToHub message = good_submit();
        v1::Result& result = *message.mutable_submit()->mutable_call()->mutable_confirm();
        result = good_result();
        change(result);
        return message;
    };
    for (const int size : {0, 31, 33, 64}) {
        expect_fault(with([&](v1::Result& r) {
                         r.set_rules_hash(std::string(static_cast<std::size_t>(size), 'h'));
                     }),
                     "call.confirm.rules_hash");
    }
    for (const int bad : {5, -1}) {
        expect_fault(with([&](v1::Result& r) { r.set_winner(static_cast<v1::Winner>(bad)); }),
                     "call.confirm.winner");
    }
    for (const int bad : {15, -1}) {
        expect_fault(with([&](v1::Result& r) { r.set_way(static_cast<v1::Way>(bad)); }),
                     "call.confirm.way");
    }
    for (const int bad : {5, -1}) {
        expect_fault(with([&](v1::Result& r) { r.set_means(static_cast<v1::Means>(bad)); }),
                     "call.confirm.means");
    }
    for (const std::uint32_t bad : {1U, 4U, 258U}) {
        expect_fault(with([&](v1::Result& r) {
                         r.set_way(v1::WAY_HANTEI);
                         r.set_flags(bad);
                     }),
                     "call.confirm.flags");
    }
    expect_fault(with([](v1::Result& r) { r.set_flags(2); }), "call.confirm.flags");
    expect_fault(with([](v1::Result& r) { r.set_points(256); }), "call.confirm.points");
    expect_fault(with([](v1::Result& r) { r.mutable_white()->set_ippon(256); }),
                 "call.confirm.white.ippon");
    expect_fault(with([](v1::Result& r) { r.mutable_white()->set_waza_ari(256); }),
                 "call.confirm.white.waza_ari");
    expect_fault(with([](v1::Result& r) { r.mutable_blue()->set_yuko(0xffffffffU); }),
                 "call.confirm.blue.yuko");
    expect_fault(with([](v1::Result& r) { r.mutable_blue()->set_koka(256); }),
                 "call.confirm.blue.koka");
    expect_fault(with([](v1::Result& r) { r.mutable_blue()->set_shido(256); }),
                 "call.confirm.blue.shido");
}

}  // namespace
}  // namespace honbu

// The wire: who may come in.
//
// A secret that is too short, or is repeated in a complaint, is none; and a field that is lost
// would let the wrong device in. base64url without padding: RFC 4648, 5; 128 bits: NIST SP 800-63B,
// 5.1.2.2, from memory.
#include "tests/unit/wire_samples.h"
#include "tests/unit/wire_words.h"

namespace honbu {
namespace {

v1::ToHub hello_with(const std::string& token) {
    v1::ToHub message;
    message.mutable_hello()->set_schema(wire_schema);
    message.mutable_hello()->set_role(v1::ROLE_DESK);
    message.mutable_hello()->set_token(token);
    return message;
}

TEST(WireDoor, ASecretHas128BitsInBase64url) {
    EXPECT_EQ(fault_words(hello_with("")), "");
    EXPECT_EQ(fault_words(hello_with("AZaz09-_AZaz09-_AZaz09")), "");
    EXPECT_EQ(fault_words(hello_with(std::string(200, 'k'))), "");
    for (const std::string& bad :
         {std::string(21, 'k'), std::string(201, 'k'), "secret-with-a-pad=" + std::string(10, 'k'),
          "secret+of+plain/base64" + std::string(10, 'k')}) {
        const std::string words = fault_words(hello_with(bad));
        EXPECT_NE(words.find("hello.token"), std::string::npos) << words;
        EXPECT_EQ(words.find(bad.substr(0, 10)), std::string::npos) << "it repeats a secret";
    }
}

TEST(WireDoor, WhatIsWishedAtTheDoorComesAsItWent) {
    const UseCode code = read_back<UseCode>(UseCode{"k7qd 3m2x"});
    EXPECT_EQ(code.code, "k7qd 3m2x");
    for (const Right right : {Right::table, Right::desk, Right::set_up, Right::display}) {
        const MatId mat = right == Right::table ? MatId{65535} : MatId{};
        const LetIn got = read_back<LetIn>(LetIn{8, DeviceId{0xfedc}, "012345", right, mat});
        EXPECT_EQ(got.request, 8U);
        EXPECT_EQ(got.device, DeviceId{0xfedc});
        EXPECT_EQ(got.code, "012345");
        EXPECT_EQ(got.right, right);
        EXPECT_EQ(got.mat, mat);
    }
    const ShutOut out = read_back<ShutOut>(ShutOut{9, DeviceId{7}, "left in the café"});
    EXPECT_EQ(out.request, 9U);
    EXPECT_EQ(out.device, DeviceId{7});
    EXPECT_EQ(out.reason, "left in the café");
}

TEST(WireDoor, WhatCannotStandThereIsNamed) {
    v1::ToHub message;
    v1::LetIn& wish = *message.mutable_let_in();
    wish.set_device("00000000000000e1");
    wish.set_right(v1::RIGHT_TABLE);
    expect_fault(message, "let_in.mat");
    wish.set_mat(3);
    EXPECT_EQ(fault_words(message), "");
    wish.set_right(v1::RIGHT_DESK);
    expect_fault(message, "let_in.mat");
    wish.set_mat(0);
    for (const int bad : {0, 5, -1}) {
        wish.set_right(static_cast<v1::Right>(bad));
        expect_fault(message, "let_in.right");
    }
    wish.set_right(v1::RIGHT_DESK);
    wish.set_device("nobody");
    expect_fault(message, "let_in.device");
    message.mutable_shut_out()->set_device("00000000000000e1");
    expect_fault(message, "shut_out.reason");
    message.mutable_use_code()->set_code(std::string(41, 'K'));
    expect_fault(message, "use_code.code");
}

TEST(WireDoor, TheDoorSaysAllOfIt) {
    const v1::ToClient message = parsed(to_wire(a_door()));
    ASSERT_EQ(message.kind_case(), v1::ToClient::kDoor);
    const v1::Door& got = message.door();
    EXPECT_EQ(got.number(), 140U);
    EXPECT_TRUE(got.anyone());
    ASSERT_EQ(got.waiting_size(), 2);
    EXPECT_EQ(got.waiting(0).device(), "0000000000000007");
    EXPECT_EQ(got.waiting(0).code(), "012345");
    EXPECT_EQ(got.waiting(0).role(), v1::ROLE_SET_UP);
    EXPECT_EQ(got.waiting(0).hand(), "Ngaio");
    EXPECT_EQ(got.waiting(0).page(), "table 0.2.0");
    EXPECT_EQ(got.waiting(0).since(), 9000U);
    EXPECT_TRUE(got.waiting(0).shut_out());
    ASSERT_EQ(got.inside_size(), 2);
    EXPECT_EQ(got.inside(0).device(), "0000000000000009");
    EXPECT_EQ(got.inside(0).right(), v1::RIGHT_TABLE);
    EXPECT_EQ(got.inside(0).mat(), 2U);
    EXPECT_EQ(got.inside(0).until(), 4294967295U);
    EXPECT_EQ(got.inside(0).hand(), "Renske");
    EXPECT_EQ(got.inside(0).connected(), 3U);
    EXPECT_EQ(got.inside(1).right(), v1::RIGHT_DESK);
}

}  // namespace
}  // namespace honbu

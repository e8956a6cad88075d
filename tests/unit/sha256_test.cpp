// SHA-256 block by block: the processor's instructions and the plain C++ give the same, and that of
// the standard. The vectors are those of FIPS 180-4's examples (NIST, "SHA256.pdf" of its example
// values) and, for a million letters, of RFC 6234, section 8.5.
#include "engine/record/sha256.h"

#include <gtest/gtest.h>

#include "engine/record/canon.h"

namespace honbu {
namespace {

std::vector<Sha256Blocks> ways() {
    std::vector<Sha256Blocks> out{&sha256_blocks};
    if (sha256_blocks_of_processor() != nullptr) out.push_back(sha256_blocks_of_processor());
    return out;
}

TEST(Sha256, IsThatOfTheStandardEitherWay) {
    for (const Sha256Blocks blocks : ways()) {
        EXPECT_EQ(hex(sha256_by(blocks, "abc")),
                  "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
        EXPECT_EQ(
            hex(sha256_by(blocks, "abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq")),
            "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
        EXPECT_EQ(hex(sha256_by(blocks, std::string(1'000'000, 'a'))),
                  "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0");
    }
}

TEST(Sha256, OfEveryLengthIsTheSameEitherWay) {
    std::string bytes;
    for (int length = 0; length < 300; ++length) {
        const Hash plain = sha256_by(&sha256_blocks, bytes);
        for (const Sha256Blocks blocks : ways())
            EXPECT_EQ(sha256_by(blocks, bytes), plain) << length << " bytes";
        EXPECT_EQ(sha256(bytes), plain) << length << " bytes";
        bytes += static_cast<char>(length * 7 + 3);
    }
}

}  // namespace
}  // namespace honbu

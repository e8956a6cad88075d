// How SHA-256 takes its blocks: in plain C++, or with the processor's own instructions where it has
// them. Both give the same, which tests/unit/sha256_test.cpp checks; everybody else calls sha256().
// Internal to engine/record. Pure functions, any thread.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <string_view>

#include "engine/record/record.h"

namespace honbu {

using Sha256Words = std::array<std::uint32_t, 8>;
// Takes so many blocks of 64 bytes into the words.
using Sha256Blocks = void (*)(Sha256Words& h, const unsigned char* p, std::size_t count);

void sha256_blocks(Sha256Words& h, const unsigned char* p, std::size_t count);
Sha256Blocks sha256_blocks_of_processor();  // nothing: it has none of its own
Hash sha256_by(Sha256Blocks blocks, std::string_view bytes);

}  // namespace honbu

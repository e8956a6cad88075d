// SHA-256 as in FIPS 180-4, section 6.2. Our own because the engine links nothing and the browser's
// is asynchronous; checked against the standard's vectors in tests/unit/canon_test.cpp.
#include <bit>
#include <cstring>

#include "engine/record/canon.h"
#include "engine/record/sha256.h"

namespace honbu {
namespace {

constexpr std::array<std::uint32_t, 64> k = {
    0x428a2f98, 0x71374491, 0xb5c0fbcf, 0xe9b5dba5, 0x3956c25b, 0x59f111f1, 0x923f82a4, 0xab1c5ed5,
    0xd807aa98, 0x12835b01, 0x243185be, 0x550c7dc3, 0x72be5d74, 0x80deb1fe, 0x9bdc06a7, 0xc19bf174,
    0xe49b69c1, 0xefbe4786, 0x0fc19dc6, 0x240ca1cc, 0x2de92c6f, 0x4a7484aa, 0x5cb0a9dc, 0x76f988da,
    0x983e5152, 0xa831c66d, 0xb00327c8, 0xbf597fc7, 0xc6e00bf3, 0xd5a79147, 0x06ca6351, 0x14292967,
    0x27b70a85, 0x2e1b2138, 0x4d2c6dfc, 0x53380d13, 0x650a7354, 0x766a0abb, 0x81c2c92e, 0x92722c85,
    0xa2bfe8a1, 0xa81a664b, 0xc24b8b70, 0xc76c51a3, 0xd192e819, 0xd6990624, 0xf40e3585, 0x106aa070,
    0x19a4c116, 0x1e376c08, 0x2748774c, 0x34b0bcb5, 0x391c0cb3, 0x4ed8aa4a, 0x5b9cca4f, 0x682e6ff3,
    0x748f82ee, 0x78a5636f, 0x84c87814, 0x8cc70208, 0x90befffa, 0xa4506ceb, 0xbef9a3f7, 0xc67178f2};

std::uint32_t big_endian(const unsigned char* p) {
    return std::uint32_t{p[0]} << 24 | std::uint32_t{p[1]} << 16 | std::uint32_t{p[2]} << 8 |
           std::uint32_t{p[3]};
}

void block(Sha256Words& h, const unsigned char* p) {
    std::array<std::uint32_t, 64> w{};
    for (std::size_t t = 0; t < 16; ++t)
        w[t] = big_endian(p + 4 * t);
    for (std::size_t t = 16; t < 64; ++t) {
        const std::uint32_t a = w[t - 15];
        const std::uint32_t b = w[t - 2];
        const std::uint32_t s0 = std::rotr(a, 7) ^ std::rotr(a, 18) ^ (a >> 3);
        const std::uint32_t s1 = std::rotr(b, 17) ^ std::rotr(b, 19) ^ (b >> 10);
        w[t] = w[t - 16] + s0 + w[t - 7] + s1;
    }
    Sha256Words v = h;
    for (std::size_t t = 0; t < 64; ++t) {
        const std::uint32_t s1 = std::rotr(v[4], 6) ^ std::rotr(v[4], 11) ^ std::rotr(v[4], 25);
        const std::uint32_t choose = (v[4] & v[5]) ^ (~v[4] & v[6]);
        const std::uint32_t t1 = v[7] + s1 + choose + k[t] + w[t];
        const std::uint32_t s0 = std::rotr(v[0], 2) ^ std::rotr(v[0], 13) ^ std::rotr(v[0], 22);
        const std::uint32_t majority = (v[0] & v[1]) ^ (v[0] & v[2]) ^ (v[1] & v[2]);
        v = {t1 + s0 + majority, v[0], v[1], v[2], v[3] + t1, v[4], v[5], v[6]};
    }
    for (std::size_t i = 0; i < 8; ++i)
        h[i] += v[i];
}

}  // namespace

void sha256_blocks(Sha256Words& h, const unsigned char* p, std::size_t count) {
    for (; count > 0; --count, p += 64)
        block(h, p);
}

Hash sha256(std::string_view bytes) {
    const Sha256Blocks own = sha256_blocks_of_processor();
    return sha256_by(own != nullptr ? own : &sha256_blocks, bytes);
}

Hash sha256_by(Sha256Blocks blocks, std::string_view bytes) {
    Sha256Words h = {0x6a09e667, 0xbb67ae85, 0x3c6ef372, 0xa54ff53a,
                     0x510e527f, 0x9b05688c, 0x1f83d9ab, 0x5be0cd19};
    const auto* p = reinterpret_cast<const unsigned char*>(bytes.data());
    const std::size_t left = bytes.size() % 64;
    if (bytes.size() >= 64) blocks(h, p, bytes.size() / 64);
    p += bytes.size() - left;

    std::array<unsigned char, 128> tail{};
    if (left > 0) std::memcpy(tail.data(), p, left);
    tail[left] = 0x80;
    const std::size_t length = left < 56 ? 64 : 128;
    const std::uint64_t bits = std::uint64_t{bytes.size()} * 8;
    for (std::size_t i = 0; i < 8; ++i) {
        tail[length - 1 - i] = static_cast<unsigned char>(bits >> (8 * i));
    }
    blocks(h, tail.data(), length / 64);

    Hash out{};
    for (std::size_t i = 0; i < h.size(); ++i) {
        out[4 * i] = static_cast<std::uint8_t>(h[i] >> 24);
        out[4 * i + 1] = static_cast<std::uint8_t>(h[i] >> 16);
        out[4 * i + 2] = static_cast<std::uint8_t>(h[i] >> 8);
        out[4 * i + 3] = static_cast<std::uint8_t>(h[i]);
    }
    return out;
}

std::string hex(std::string_view bytes) {
    constexpr std::string_view digits = "0123456789abcdef";
    std::string out;
    out.reserve(bytes.size() * 2);
    for (const char c : bytes) {
        const auto b = static_cast<unsigned char>(c);
        out += digits[b >> 4];
        out += digits[b & 15U];
    }
    return out;
}

std::string hex(const Hash& hash) {
    return hex(std::string_view(reinterpret_cast<const char*>(hash.data()), hash.size()));
}

}  // namespace honbu

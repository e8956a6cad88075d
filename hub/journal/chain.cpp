#include "hub/journal/chain.h"

#include <cstring>

namespace honbu {
namespace {

constexpr std::size_t number_bytes = 4;
constexpr std::size_t links_bytes = number_bytes + sizeof(Hash);

std::string name(std::uint32_t number) { return "record " + std::to_string(number); }

std::uint32_t little_endian(std::string_view bytes) {
    std::uint32_t value = 0;
    for (std::size_t i = 0; i < number_bytes; ++i) {
        value |= std::uint32_t{static_cast<unsigned char>(bytes[i])} << (8 * i);
    }
    return value;
}

}  // namespace

std::string check_follows(const ChainEnd& before, RecordNumber number, std::string_view bytes) {
    const std::uint32_t expected = before.number.value + 1;
    if (number.value != expected) {
        return name(expected) + " is missing; the next one there is " + name(number.value);
    }
    if (bytes.size() < links_bytes) return name(expected) + " is cut short";
    if (little_endian(bytes) != expected) {
        return name(expected) + " says of itself that it is " + name(little_endian(bytes));
    }
    if (std::memcmp(bytes.data() + number_bytes, before.hash.data(), sizeof(Hash)) != 0) {
        return name(expected) + " does not carry the hash of the record before it";
    }
    return {};
}

std::string check_unchanged(RecordNumber number, const Hash& of_bytes, std::string_view kept_hash) {
    const bool same = kept_hash.size() == sizeof(Hash) &&
                      std::memcmp(kept_hash.data(), of_bytes.data(), sizeof(Hash)) == 0;
    return same
               ? std::string()
               : name(number.value) + " is damaged: its bytes do not match the hash kept with them";
}

}  // namespace honbu

#include "hub/tar.h"

#include <algorithm>
#include <array>

#include "hub/insist.h"

namespace honbu {
namespace {

constexpr std::size_t block = 512;
constexpr std::size_t name_max = 100;

// Fields of the header: where each begins, and how long it is.
struct Field {
    std::size_t at;
    std::size_t size;
};
constexpr Field name_field{0, 100};
constexpr Field mode_field{100, 8};
constexpr Field user_field{108, 8};
constexpr Field group_field{116, 8};
constexpr Field size_field{124, 12};
constexpr Field time_field{136, 12};
constexpr Field sum_field{148, 8};
constexpr Field kind_field{156, 1};
constexpr Field magic_field{257, 8};  // "ustar", a zero, and version "00"

void put(std::array<char, block>& header, Field field, std::string_view text) {
    std::copy(text.begin(), text.end(), header.begin() + static_cast<std::ptrdiff_t>(field.at));
}

// Octal digits, as many as there is room for beside a zero byte.
void put(std::array<char, block>& header, Field field, std::uint64_t value) {
    std::string digits(field.size - 1, '0');
    for (std::size_t i = digits.size(); i > 0; --i) {
        digits[i - 1] = static_cast<char>('0' + value % 8);
        value /= 8;
    }
    put(header, field, digits);
}

std::string header_of(const TarText& text, std::uint64_t unix_s) {
    INSIST(text.name.size() <= name_max);
    std::array<char, block> header{};
    put(header, name_field, std::string_view(text.name));
    put(header, mode_field, std::uint64_t{0640});
    put(header, user_field, std::uint64_t{0});
    put(header, group_field, std::uint64_t{0});
    put(header, size_field, std::uint64_t{text.text.size()});
    put(header, time_field, unix_s);
    put(header, sum_field, std::string_view("        "));
    put(header, kind_field, std::string_view("0"));
    put(header, magic_field,
        std::string_view("ustar\0"
                         "00",
                         magic_field.size));
    std::uint64_t sum = 0;
    for (const char byte : header)
        sum += static_cast<unsigned char>(byte);
    put(header, {sum_field.at, sum_field.size - 1}, sum);
    return {header.begin(), header.end()};
}

}  // namespace

std::string tar(const std::vector<TarText>& texts, std::uint64_t unix_s) {
    std::string all;
    for (const TarText& text : texts) {
        all += header_of(text, unix_s) + text.text;
        all.append((block - text.text.size() % block) % block, '\0');
    }
    all.append(2 * block, '\0');
    return all;
}

}  // namespace honbu

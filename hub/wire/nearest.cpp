#include "hub/wire/nearest.h"

#include <algorithm>
#include <numeric>
#include <utility>

namespace honbu {
namespace {

std::string as_a_name(std::string_view given) {
    std::string out(given);
    for (char& c : out) {
        if (c >= 'a' && c <= 'z') c = static_cast<char>(c - 'a' + 'A');
        if (c == ' ' || c == '-') c = '_';
    }
    return out;
}

// Up to the last _ of what all of them begin with.
std::size_t common_beginning(const std::vector<std::string>& names) {
    if (names.size() < 2) return 0;
    const std::string& first = names.front();
    std::size_t length = first.size();
    for (const std::string& name : names) {
        const auto apart = std::mismatch(first.begin(), first.end(), name.begin(), name.end());
        length = std::min(length, static_cast<std::size_t>(apart.first - first.begin()));
    }
    const std::size_t bar = length == 0 ? std::string::npos : first.rfind('_', length - 1);
    return bar == std::string::npos ? 0 : bar + 1;
}

}  // namespace

std::size_t letters_apart(std::string_view a, std::string_view b) {
    std::vector<std::size_t> row(b.size() + 1);
    std::iota(row.begin(), row.end(), std::size_t{0});
    for (std::size_t i = 1; i <= a.size(); ++i) {
        std::size_t diagonal = std::exchange(row[0], i);
        for (std::size_t j = 1; j <= b.size(); ++j) {
            const std::size_t changed = diagonal + (a[i - 1] == b[j - 1] ? 0U : 1U);
            diagonal = row[j];
            row[j] = std::min({changed, row[j] + 1, row[j - 1] + 1});
        }
    }
    return row.back();
}

std::vector<std::string> nearest(std::vector<std::string> known, std::string_view given,
                                 std::size_t count) {
    constexpr std::size_t letters_max = 80;  // of a name; more is no slip
    const std::string wish = as_a_name(given.substr(0, letters_max));
    const std::size_t beginning = common_beginning(known);
    const auto apart = [&](const std::string& name) {
        return std::min(letters_apart(wish, name), letters_apart(wish, name.substr(beginning)));
    };
    std::stable_sort(known.begin(), known.end(), [&](const std::string& a, const std::string& b) {
        return apart(a) < apart(b);
    });
    known.resize(std::min(known.size(), count));
    return known;
}

}  // namespace honbu

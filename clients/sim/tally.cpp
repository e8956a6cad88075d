#include "clients/sim/tally.h"

#include <algorithm>

namespace honbu::sim {
namespace {

constexpr std::size_t records_remembered = 10'000;  // a screen may be that far behind

template<class Map> void forget_oldest(Map& map) {
    while (map.size() > records_remembered)
        map.erase(map.begin());
}

}  // namespace

std::string wait_words(std::uint64_t us) {
    if (us < 1'000) return std::to_string(us) + " us";
    if (us < 1'000'000) return std::to_string((us + 500) / 1'000) + " ms";
    const std::uint64_t tenths = (us + 50'000) / 100'000;
    return std::to_string(tenths / 10) + "." + std::to_string(tenths % 10) + " s";
}

std::string grouped(std::uint64_t number) {
    const std::string digits = std::to_string(number);
    std::string out;
    for (std::size_t i = 0; i < digits.size(); ++i) {
        if (i > 0 && (digits.size() - i) % 3 == 0) out += ',';
        out += digits[i];
    }
    return out;
}

std::string counted(std::uint64_t number, const char* one, const char* many) {
    return grouped(number) + " " + (number == 1 ? one : many);
}

void Waits::add(std::uint64_t us) {
    all_.push_back(static_cast<std::uint32_t>(std::min<std::uint64_t>(us, 0xFFFF'FFFF)));
}

std::uint32_t Waits::longest_us() const {
    const auto longest = std::max_element(all_.begin(), all_.end());
    return longest == all_.end() ? 0 : *longest;
}

std::string Waits::words(std::size_t from) const {
    std::vector<std::uint32_t> some(all_.begin() + static_cast<std::ptrdiff_t>(from), all_.end());
    if (some.empty()) return "-";
    const auto at = [&some](std::size_t hundredths) {
        const std::size_t place = (some.size() - 1) * hundredths / 100;
        const auto found = some.begin() + static_cast<std::ptrdiff_t>(place);
        std::nth_element(some.begin(), found, some.end());
        return wait_words(*found);
    };
    const std::string median = at(50);  // before the other: each call puts them in another order
    return median + " (" + at(99) + ")";
}

void Tally::pressed(RecordNumber record, std::uint64_t at_us) {
    pressed_us_[record] = at_us;
    if (const auto early = early_us_.find(record); early != early_us_.end()) {
        for (const std::uint64_t shown : early->second)
            to_screen.add(shown - at_us);
        early_us_.erase(early);
    }
    forget_oldest(pressed_us_);
}

void Tally::shown(RecordNumber record, std::uint64_t at_us) {
    if (const auto found = pressed_us_.find(record); found != pressed_us_.end()) {
        to_screen.add(at_us - found->second);
        return;
    }
    early_us_[record].push_back(at_us);
    forget_oldest(early_us_);
}

}  // namespace honbu::sim

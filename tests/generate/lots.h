// Drawing lots from a seed, the same on every machine and with every library.
//
// Only the engine std::mt19937 is used, whose numbers the C++ standard lays down one by one; the
// standard's distributions differ between libraries and are not. Whole numbers only. One thread.
#pragma once

#include <cstdint>
#include <random>

#include "engine/bout/call.h"

namespace honbu::generate {

class Lots {
public:
    explicit Lots(std::uint32_t seed) : engine_(seed) {}
    std::uint32_t any() { return static_cast<std::uint32_t>(engine_()); }
    std::uint32_t below(std::uint32_t count) {
        return static_cast<std::uint32_t>((std::uint64_t{any()} * count) >> 32);
    }
    std::uint32_t from_to(std::uint32_t first, std::uint32_t last) {
        return first + below(last - first + 1);
    }
    bool in_hundred(std::uint32_t share) { return below(100) < share; }
    bool in_thousand(std::uint32_t share) { return below(1000) < share; }
    Side side() { return below(2) == 0 ? Side::white : Side::blue; }

private:
    std::mt19937 engine_;
};

}  // namespace honbu::generate

// Values made by dice, the same for the same seed: every kind of call, with numbers of every size.
#pragma once

#include <array>
#include <cstdint>
#include <random>
#include <vector>

#include "engine/bout/call.h"

namespace honbu {

class Dice {
public:
    explicit Dice(std::uint32_t seed) : engine_(seed) {}
    std::uint32_t u32() {
        // Small, large and edge numbers alike: varints of every length.
        switch (from_to(0, 3)) {
        case 0: return from_to(0, 3);
        case 1: return from_to(0, 100000);
        case 2: return from_to(0xfffffffdU, 0xffffffffU);
        }
        return static_cast<std::uint32_t>(engine_());
    }
    std::uint32_t from_to(std::uint32_t first, std::uint32_t last) {
        const std::uint64_t width = std::uint64_t{last} - first + 1;
        return first + static_cast<std::uint32_t>(engine_() % width);
    }
    bool coin() { return from_to(0, 1) == 0; }
    std::uint64_t name() {
        const std::uint64_t value = (std::uint64_t{u32()} << 32) | u32();
        return value == 0 ? 1 : value;
    }
    Side side() { return coin() ? Side::white : Side::blue; }
    Sides sides() { return Sides{static_cast<std::uint8_t>(from_to(1, 3))}; }
    CallId call_id() { return CallId{RunId{name()}, CallNumber{from_to(1, 0xffffffffU)}}; }
    BoardSide board_side() {
        BoardSide side;
        for (auto& count : side.score)
            count = static_cast<std::uint8_t>(from_to(0, 255));
        side.shido = static_cast<std::uint8_t>(from_to(0, 255));
        side.hansoku_make = coin();
        return side;
    }
    Result result() {
        Result result;
        result.winner = static_cast<Winner>(from_to(0, 4));
        result.way = static_cast<Way>(from_to(0, 14));
        result.golden_score = coin();
        result.regular = Duration{u32()};
        result.golden = Duration{u32()};
        result.white = board_side();
        result.blue = board_side();
        for (auto& byte : result.rules_hash)
            byte = static_cast<std::uint8_t>(from_to(0, 255));
        result.fold_version = u32();
        return result;
    }
    Joint joint() {
        return Joint{RunId{name()}, Instant{u32()}, Instant{u32()},
                     static_cast<Joint::Source>(from_to(1, 4))};
    }
    // One of each kind of call, in the order of the variant.
    std::vector<What> whats() {
        constexpr std::array ways{Way::hantei, Way::kiken_gachi, Way::fusen_gachi};
        return {Called{},
                Hajime{},
                Mate{},
                SonoMama{},
                Yoshi{},
                Osaekomi{side()},
                Toketa{},
                Score{side(), static_cast<Level>(from_to(1, 4))},
                Shido{sides()},
                HansokuMake{sides()},
                Submission{side()},
                Award{side(), ways[from_to(0, 2)]},
                SoreMade{},
                Kachi{},
                Confirm{result()},
                Strike{call_id()},
                joint()};
    }
    Call call(What what) {
        Call call;
        call.id = call_id();
        call.term = Term{u32()};
        call.mat = MatId{static_cast<std::uint16_t>(from_to(1, 65535))};
        call.bout = BoutId{u32()};
        call.entered = Instant{u32()};
        call.back = Duration{u32()};
        call.seen = u32();
        call.what = what;
        return call;
    }

private:
    std::mt19937 engine_;
};

}  // namespace honbu

// Memory in blocks: nothing overlaps, everything is aligned, and what is given back is used again.
#include "engine/wasm/blocks.h"

#include <gtest/gtest.h>

#include <cstring>
#include <deque>
#include <vector>

#include "tests/unit/dice.h"

namespace honbu {
namespace {

// Memory that counts, and ends after `left` bytes.
struct Counted {
    struct alignas(16) Unit {
        std::byte bytes[16];
    };
    std::deque<std::vector<Unit>>* given;
    std::size_t* left;

    void* operator()(std::size_t bytes) const {
        if (bytes > *left) return nullptr;
        *left -= bytes;
        return given->emplace_back((bytes + 15) / 16).data();
    }
};

struct World {
    std::deque<std::vector<Counted::Unit>> given;
    std::size_t left = std::size_t{1} << 30;
    Blocks<Counted> blocks{Counted{&given, &left}};
};

TEST(Blocks, AreAlignedAndKeepWhatIsWrittenWhileOthersComeAndGo) {
    World world;
    Dice dice(7);
    struct Held {
        unsigned char* at;
        std::size_t bytes;
        unsigned char mark;
    };
    std::vector<Held> held;
    for (int round = 0; round < 20'000; ++round) {
        if (held.size() < 50 || dice.from_to(0, 1) == 0) {
            const std::size_t bytes = dice.from_to(0, 9) == 0 ? dice.from_to(0, 99'999)
                                                              : dice.from_to(0, 199);
            auto* at = static_cast<unsigned char*>(world.blocks.take(bytes));
            ASSERT_NE(at, nullptr);
            ASSERT_EQ(reinterpret_cast<std::uintptr_t>(at) % 16, 0U);
            const auto mark = static_cast<unsigned char>(round);
            std::memset(at, mark, bytes);
            held.push_back({at, bytes, mark});
        } else {
            const std::size_t which = dice.from_to(0, static_cast<std::uint32_t>(held.size() - 1));
            const Held gone = held[which];
            for (std::size_t i = 0; i < gone.bytes; ++i)
                ASSERT_EQ(gone.at[i], gone.mark);
            world.blocks.give_back(gone.at);
            held[which] = held.back();
            held.pop_back();
        }
    }
}

TEST(Blocks, TheSameWorkAgainNeedsNoMoreMemory) {
    World world;
    std::size_t after_first = 0;
    for (int round = 0; round < 100; ++round) {
        std::vector<void*> held;
        for (std::size_t bytes = 0; bytes < 50'000; bytes = bytes * 2 + 1)
            held.push_back(world.blocks.take(bytes));
        for (void* at : held)
            world.blocks.give_back(at);
        if (round == 0) after_first = world.left;
    }
    EXPECT_EQ(world.left, after_first);
}

TEST(Blocks, GiveNothingWhereThereIsNoMoreMemory) {
    World world;
    world.left = 100;
    void* first = world.blocks.take(40);
    ASSERT_NE(first, nullptr);
    EXPECT_EQ(world.blocks.take(40), nullptr);
    EXPECT_EQ(world.blocks.take(std::size_t{1} << 31), nullptr);
    world.blocks.give_back(nullptr);
    world.blocks.give_back(first);
    EXPECT_EQ(world.blocks.take(33), first);
}

}  // namespace
}  // namespace honbu

// Memory in blocks: what new and delete are made of in honbu.wasm (engine/wasm/memory.cpp).
//
// Sizes are powers of two; a freed block waits in the list of its size for the next of that size
// and is never joined with another. So what is held stays below twice the most that was ever in use
// of each size, which a page that writes the same texts all day reaches in its first minute. The
// C library's own takes 9 KB and does nothing more for us. One owner, one thread.
#pragma once

#include <array>
#include <bit>
#include <cstddef>
#include <cstdint>
#include <new>

namespace honbu {

// `More` gives `bytes` more, aligned to 16, or nothing: void* more(std::size_t bytes).
template<class More> class Blocks {
public:
    explicit constexpr Blocks(More more) : more_(more) {}

    // Aligned to 16. Nothing if there is no more memory.
    void* take(std::size_t bytes) {
        if (bytes > largest) return nullptr;
        const auto size = static_cast<std::size_t>(std::bit_width((bytes + head - 1) | 31U));
        Free*& first = free_[size];
        void* block = first;
        if (first != nullptr) {
            first = first->next;
        } else {
            block = more_(std::size_t{1} << size);
            if (block == nullptr) return nullptr;
        }
        ::new (block) std::size_t(size);
        return static_cast<std::byte*>(block) + head;
    }

    // What take() gave, once; or nothing.
    void give_back(void* bytes) {
        if (bytes == nullptr) return;
        void* block = static_cast<std::byte*>(bytes) - head;
        Free*& first = free_[*static_cast<std::size_t*>(block)];
        first = ::new (block) Free{first};
    }

private:
    struct Free {
        Free* next;
    };
    static constexpr std::size_t head = 16;  // holds the size; keeps the alignment
    static constexpr std::size_t largest = std::size_t{1} << 30;

    More more_;
    std::array<Free*, 32> free_{};  // by size: 2^i bytes
};

}  // namespace honbu

// What the C library would bring along for memory, smaller: blocks, and the browser's own copying.
//
// Compiled without -flto (engine/CMakeLists.txt): these are functions that the compiler calls of
// its own accord after it has looked through everything else.
#include "engine/wasm/blocks.h"

extern "C" unsigned char __heap_base;  // the linker's: nothing lies behind it

namespace {

constexpr std::size_t page = 65536;

// From the end of what the linker has laid out; the browser is asked for whole pages.
struct More {
    std::uintptr_t next = 0;

    void* operator()(std::size_t bytes) {
        if (next == 0) next = (reinterpret_cast<std::uintptr_t>(&__heap_base) + 15) & ~15UL;
        const std::size_t have = __builtin_wasm_memory_size(0) * page;
        if (bytes > have - next) {
            const std::size_t pages = (bytes - (have - next) + page - 1) / page;
            if (__builtin_wasm_memory_grow(0, pages) == static_cast<std::size_t>(-1)) {
                return nullptr;
            }
        }
        void* block = reinterpret_cast<void*>(next);
        next += bytes;
        return block;
    }
};

constinit honbu::Blocks blocks{More{}};

}  // namespace

void* operator new(std::size_t bytes) {
    void* block = blocks.take(bytes);
    if (block == nullptr) __builtin_trap();  // the page says that the table has to be opened anew
    return block;
}
void operator delete(void* block) noexcept { blocks.give_back(block); }
void operator delete(void* block, std::size_t) noexcept { blocks.give_back(block); }

extern "C" {

void* memcpy(void* to, const void* from, std::size_t bytes) {
    return __builtin_memcpy(to, from, bytes);
}
void* memmove(void* to, const void* from, std::size_t bytes) {
    return __builtin_memmove(to, from, bytes);
}
void* memset(void* to, int value, std::size_t bytes) { return __builtin_memset(to, value, bytes); }

// The C library's are unrolled: fast on long texts, of which we have none.
void* memchr(const void* in, int value, std::size_t bytes) {
    for (const auto* at = static_cast<const unsigned char*>(in); bytes > 0; --bytes, ++at) {
        if (*at == static_cast<unsigned char>(value)) return const_cast<unsigned char*>(at);
    }
    return nullptr;
}
std::size_t strlen(const char* text) {
    const char* end = text;
    while (*end != '\0')
        ++end;
    return static_cast<std::size_t>(end - text);
}

}  // extern "C"

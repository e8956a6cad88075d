// Prints the digest over generated bouts: state_digest [COUNT]. Run by state_digest.mjs, which
// compares what g++, clang and wasm make of the same bouts.
#include <charconv>
#include <cstdio>
#include <string_view>

#include "tests/generate/digest.h"

int main(int argc, char** argv) {
    std::uint32_t count = 1000;
    if (argc > 1) {
        const std::string_view text = argv[1];
        const auto read = std::from_chars(text.data(), text.data() + text.size(), count);
        if (argc > 2 || read.ec != std::errc{} || read.ptr != text.data() + text.size()) {
            std::fprintf(stderr, "state_digest [COUNT]: '%s' is not a number of bouts.\n", argv[1]);
            return 2;
        }
    }
    std::puts(honbu::hex(honbu::generate::digest(0, count)).c_str());
    return 0;
}

// floor: how little a server can do that sends every event to everybody. Nothing is kept.
//
//     bench_floor FRAME_BYTES
//
// What it does and what not: plain_server.h. Figures for people, no test.
#include <cstdio>
#include <cstdlib>

#include "tests/bench/plain_server.h"

int main(int argc, char** argv) {
    using namespace honbu::bench;
    if (argc != 2) {
        std::fputs("bench_floor FRAME_BYTES\n", stderr);
        return 2;
    }
    allow_many_sockets();
    PlainServer server(std::strtoul(argv[1], nullptr, 10));
    server.run([](std::span<const PlainEvent>) {}, false);
}

#include "tests/bench/server_cost.h"

#include <ctime>
#include <fstream>
#include <string>

#include "tests/bench/line.h"

namespace honbu::bench {

std::int64_t cpu_ns(pid_t server) {
    clockid_t clock{};
    timespec used{};
    if (clock_getcpuclockid(server, &clock) != 0) give_up("the server's clock");
    if (clock_gettime(clock, &used) != 0) give_up("the server's processor time");
    return std::int64_t{used.tv_sec} * 1'000'000'000 + used.tv_nsec;
}

std::int64_t resident_bytes(pid_t server) {
    std::ifstream status("/proc/" + std::to_string(server) + "/status");
    for (std::string word; status >> word;) {
        std::int64_t kib = 0;
        if (word == "VmRSS:" && status >> kib) return kib * 1024;
    }
    give_up("the server's memory");
}

}  // namespace honbu::bench

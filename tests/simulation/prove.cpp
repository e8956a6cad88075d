// honbu_simulation [--seed S] [--seeds N] [--minutes M] [--trace]: runs seeds until one breaks a
// promise. Called by tests/prove and ctest.
#include <chrono>
#include <csignal>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <string>

#include "tests/simulation/evening.h"

namespace {

using honbu::simulation::Broken;
using honbu::simulation::Counts;
using honbu::simulation::Evening;

std::uint32_t running_seed = 0;

// The hub's own INSIST ends the process; then this still says which seed it was.
extern "C" void say_seed(int) {
    std::fprintf(stderr,
                 "seed %u: something that must hold did not (above)\n"
                 "  again: tests/prove --seed %u --trace\n",
                 running_seed, running_seed);
    std::_Exit(1);
}

void add(Counts& all, const Counts& one) {
    all.records += one.records;
    all.calls += one.calls;
    all.set_aside += one.set_aside;
    all.without_effect += one.without_effect;
    all.results += one.results;
    all.by_desk += one.by_desk;
    all.machines_lost += one.machines_lost;
    all.lies += one.lies;
    all.misled += one.misled;
    all.hub_lives += one.hub_lives;
    all.pages += one.pages;
    all.snaps += one.snaps;
    all.cuts += one.cuts;
    all.takeovers += one.takeovers;
    all.checks += one.checks;
    all.virtual_ms += one.virtual_ms;
}

unsigned long long u(std::uint64_t value) { return value; }

}  // namespace

int main(int count, char** arguments) {
    std::uint32_t seed = 1;
    std::uint32_t seeds = 0;
    long minutes = 0;
    bool traced = false;
    bool one = false;
    for (int i = 1; i < count; ++i) {
        const std::string argument = arguments[i];
        const auto number = [&] {
            if (++i >= count) {
                std::fprintf(stderr, "%s needs a number after it.\n", argument.c_str());
                std::exit(2);
            }
            return static_cast<std::uint32_t>(std::strtoul(arguments[i], nullptr, 10));
        };
        if (argument == "--seed") {
            seed = number();
            one = true;
        } else if (argument == "--seeds") {
            seeds = number();
        } else if (argument == "--minutes") {
            minutes = static_cast<long>(number());
        } else if (argument == "--trace") {
            traced = true;
        } else {
            std::fprintf(stderr, "'%s' is not known here.\n", argument.c_str());
            return 2;
        }
    }
    if (seeds == 0 && minutes == 0) seeds = one ? 1 : 100;
    std::signal(SIGABRT, say_seed);
    const auto begun = std::chrono::steady_clock::now();
    const auto over = [&](std::uint32_t done) {
        if (minutes == 0) return done >= seeds;
        return std::chrono::steady_clock::now() - begun >= std::chrono::minutes(minutes) ||
               (seeds > 0 && done >= seeds);
    };
    Counts all;
    std::uint32_t done = 0;
    for (; !over(done); ++done) {
        running_seed = seed + done;
        try {
            Evening evening(running_seed, traced);
            add(all, evening.run());
        } catch (const Broken& broken) {
            std::fflush(stdout);
            std::fprintf(stderr, "seed %u: %s\n  again: tests/prove --seed %u --trace\n",
                         running_seed, broken.what(), running_seed);
            return 1;
        }
    }
    std::printf("%u seeds from %u: every promise held, in %llu checks.\n"
                "  %llu virtual minutes, %llu records, %llu calls (%llu set aside, %llu without "
                "effect), %llu results, %llu commands of the desk,\n  %llu hub lives, %llu table "
                "pages, %llu broken lines, %llu cuts, %llu takeovers,\n  %llu machines lost, %llu "
                "times a disk had lied (%llu screens that nobody could tell of it)\n",
                done, seed, u(all.checks), u(all.virtual_ms / 60'000), u(all.records), u(all.calls),
                u(all.set_aside), u(all.without_effect), u(all.results), u(all.by_desk),
                u(all.hub_lives), u(all.pages), u(all.snaps), u(all.cuts), u(all.takeovers),
                u(all.machines_lost), u(all.lies), u(all.misled));
    return 0;
}

#include "clients/sim/promises.h"

#include <iostream>

namespace honbu::sim {
namespace {

constexpr std::uint64_t said_most = 20;  // what breaks once usually breaks often

void say(std::uint64_t count, const std::string& words) {
    if (count <= said_most) std::cerr << words << std::endl;
    if (count == said_most) std::cerr << "There is more of this; it is only counted now.\n";
}

}  // namespace

void Promises::broken(const std::string& sentence) {
    say(++broken_, "PROMISE BROKEN: " + sentence);
}

void Promises::trouble(const std::string& sentence) { say(++troubles_, sentence); }
void Promises::note(const std::string& sentence) { say(1, sentence); }

}  // namespace honbu::sim

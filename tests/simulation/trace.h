// What happened, one line each, and the end of a seed that went wrong. One thread.
#pragma once

#include <cstdio>
#include <stdexcept>
#include <string>

#include "tests/simulation/agenda.h"

namespace honbu::simulation {

// A promise was broken: what, where and by what it is known.
struct Broken : std::runtime_error {
    using std::runtime_error::runtime_error;
};

class Trace {
public:
    Trace(const Agenda& agenda, bool on) : agenda_(agenda), on_(on) {}
    bool on() const { return on_; }
    void line(const std::string& who, const std::string& what) const {
        if (!on_) return;
        const auto ms = static_cast<unsigned long long>(agenda_.now());
        std::printf("%6llu.%03llu  %-12s %s\n", ms / 1000, ms % 1000, who.c_str(), what.c_str());
    }

private:
    const Agenda& agenda_;
    bool on_;
};

}  // namespace honbu::simulation

// What can be expected of a bout at an instant: the facts of tests/conformance/README.md.
//
// A Seen looks at one played bout at one instant; it refers to the rules and to what was played,
// which must outlive it. A fact that can't be read throws. Single-threaded.
#pragma once

#include <string>
#include <vector>

#include "tests/conformance/scenario.h"

namespace honbu {

class Seen {
public:
    Seen(const Scenario& scenario, const Played& played, Instant at);
    bool holds(const std::string& fact) const;
    std::string described() const;  // the whole bout in a line, for a fault

private:
    using Words = std::vector<std::string>;
    std::optional<bool> about_result(const Words& w, const std::string& fact) const;
    std::optional<bool> about_clocks(const Words& w, const std::string& fact) const;
    std::optional<bool> about_athletes(const Words& w, const std::string& fact) const;
    std::optional<bool> about_table(const Words& w, const std::string& fact) const;
    bool board(const Words& w) const;
    bool offered(const Words& w) const;
    bool prompted(const std::string& part) const;

    const Played& played_;
    Conditions under_;
    Instant at_;
    State s_;
    std::map<std::uint32_t, Standing> standing_;  // by call line
};

}  // namespace honbu

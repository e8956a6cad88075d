// The columns of a replay for people: one row a step, at most 100 letters wide for the usual rule
// sets. The board comes before the words, so that no long word pushes it out of its place.
//
// Prints to standard output. One thread.
#pragma once

#include <string>

#include "engine/bout/fold.h"

namespace honbu {

class ReplayTable {
public:
    explicit ReplayTable(const Conditions& under)
        : rules_(under.rules), time_(under.time), golden_(under.golden) {}

    // Begins a table: its first row says all that is going on.
    void head();
    // `what` with what it led to behind it, if that is new.
    void row(const Frame& frame, const std::string& position, const std::string& what);
    // The same without what it led to: nothing came of it.
    void row_without_effect(const Frame& frame, const std::string& position,
                            const std::string& what) const;
    void note(const std::string& words) const;  // below a row, in the column of the words
    std::string clock(const Frame& frame) const;

private:
    std::string side(const State& state, Side which) const;
    std::string levels() const;
    std::string hold(const Frame& frame) const;
    std::size_t side_wide(Side which) const;
    std::size_t hold_wide() const;
    std::size_t before_words() const;
    void print(std::string before, const std::string& words) const;

    RuleSet rules_;
    Duration time_;
    Duration golden_;
    std::string known_;  // what is going on, as last said
};

// 'W' for waza-ari.
char letter(Level level);

}  // namespace honbu

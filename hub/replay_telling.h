// How a replayed bout is told: two ways to say the same facts. Internal to honbu replay.
//
// begin() comes first, then call() and came() in the order things happened, end() last. One thread.
#pragma once

#include <cstdint>
#include <memory>
#include <span>
#include <string>
#include <vector>

#include "engine/bout/fold.h"

namespace honbu {

struct Said {  // a call, and where it stood in the input
    Call call;
    std::uint32_t line = 0;
    std::uint32_t position = 0;  // among the calls of the input, from 1
};

struct Ended {
    std::span<const Call> calls;  // that were taken
    std::span<const Said> said;   // the same
    Instant until;
    std::uint32_t refused = 0;
};

class Telling {
public:
    virtual ~Telling() = default;
    virtual void begin(const Conditions& under) = 0;
    virtual void came(const Frame& frame) = 0;                     // by itself
    virtual void taken(const Said& said, const Frame& after) = 0;  // `after`: the board now
    virtual void refused(const Said& said, const Frame& still, const std::string& why) = 0;
    virtual void end(const Ended& ended) = 0;
};

// For people: a table, then the result in a few lines.
std::unique_ptr<Telling> telling_in_words();
// For programs: one JSON object a line.
std::unique_ptr<Telling> telling_in_json();

// "time is up", "hold: yuko"; what came by itself at the frame's instant.
std::string happening_words(const RuleSet& rules, const Frame& frame);

}  // namespace honbu

// How a replayed bout is told: two ways to say the same facts. Internal to honbu replay.
//
// begin() comes first, then taken(), refused() and came() in the order things happened, end() last.
// One thread.
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

struct Refused {
    Said said;
    std::string why;
};

struct Offered {  // and never taken
    Offer offer;
    std::uint32_t position = 0;  // of the call after which it first stood
    Instant at;                  // of that call
};

struct Ended {
    std::span<const Call> calls;  // that were taken
    std::span<const Said> said;   // the same
    Instant until;
    std::span<const Refused> refused;
    std::span<const Offered> passed_by;  // offers that stood once and were not taken
};

class Telling {
public:
    virtual ~Telling() = default;
    virtual void begin(const Conditions& under) = 0;
    virtual void came(const Frame& frame) = 0;  // by itself
    // `after`: the board now. `fresh`: what is offered from here on.
    virtual void taken(const Said& said, const Frame& after, std::span<const Offer> fresh) = 0;
    virtual void refused(const Said& said, const Frame& still, const std::string& why) = 0;
    virtual void end(const Ended& ended) = 0;
};

// For people: a table, then the result in a few lines.
std::unique_ptr<Telling> telling_in_words();
// For programs: one JSON object a line.
std::unique_ptr<Telling> telling_in_json();

// "time is up", "hold: yuko for blue"; what came by itself at the frame's instant.
std::string happening_words(const RuleSet& rules, const Frame& frame);

}  // namespace honbu

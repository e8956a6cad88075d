// A bout folded call by call: what fold.h says of all its calls, kept from one call to the next.
//
// Most calls come behind all others and change none: they are taken where the last one left off.
// What changes earlier ones (a correction, a joint, a call put in at an earlier moment) has the
// bout folded from its beginning. So it is always what fold() and frames() say; a property test
// compares them. The calls and conditions given are those of one bout, each time. One thread.
#pragma once

#include "engine/bout/fold.h"

namespace honbu {

class SoFar {
public:
    // Takes those behind the calls that it has: `calls` are all of the bout, and only grow.
    void go_on(const Conditions& under, std::span<const Call> calls);
    std::size_t taken() const { return taken_; }

    // From here on `calls` are those that were taken.
    State before(const Conditions& under, std::span<const Call> calls, const Call& call) const;
    std::optional<std::string> no_entry(const Conditions& under, std::span<const Call> calls,
                                        const Call& call) const;
    std::vector<Frame> frames(const Conditions& under) const;
    State last(const Conditions& under) const;  // from the last entered call on

private:
    void from_the_beginning(const Conditions& under, std::span<const Call> calls);

    State state_;  // after the last call, before anything comes by itself
    Timeline timeline_{std::span<const Call>()};
    Instant last_at_;       // where the last of them took effect
    Instant last_entered_;  // on the timeline, as they
    std::size_t taken_ = 0;
};

}  // namespace honbu

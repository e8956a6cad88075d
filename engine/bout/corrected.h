// The calls of a bout as its corrections leave them, in the order of the timeline. Internal to
// engine/bout.
//
// Strike, replace and move are looked up once, before anything is folded; where there are none, as
// in most bouts, nothing is copied. Valid as long as the calls it was made from. One thread.
#pragma once

#include <vector>

#include "engine/bout/fold.h"

namespace honbu {

class Machine;

struct Placed {
    Instant at;                  // where it takes effect
    const What* what = nullptr;  // as replaced
    std::size_t index = 0;       // among the calls as entered
    bool gone = false;           // struck
};

class Corrected {
public:
    explicit Corrected(std::span<const Call> calls);
    Corrected(const Corrected&) = delete;  // it points into itself
    Corrected& operator=(const Corrected&) = delete;

    std::vector<Placed> order;
    Instant last_entered;  // on the timeline

private:
    void correct(std::span<const Call> calls, const Timeline& timeline);
    std::vector<What> replaced_;
};

// One call, at its place. `why_not` is filled if it is impossible there.
Place take(Machine& machine, const Placed& call, std::optional<std::string>* why_not);
std::string not_at_that_instant(const std::string& why);
// And what comes by itself once all calls are taken.
std::vector<Frame> frames_of(Machine& machine, Instant last_entered);

}  // namespace honbu

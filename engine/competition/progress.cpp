#include "engine/competition/progress.h"

namespace honbu {

void Progress::add(const BoutEntry& bout) { bouts_[bout.bout] = Bout{bout.white, bout.blue, {}}; }

void Progress::confirm(BoutId bout, Winner winner) {
    const auto found = bouts_.find(bout);
    if (found != bouts_.end()) found->second.winner = winner;
}

std::optional<PersonId> Progress::person_in(const Slot& slot) const {
    Slot at = slot;
    // A draw has no cycles, so following it takes at most one step a bout.
    for (std::size_t steps = 0; steps <= bouts_.size(); ++steps) {
        if (at.from == Slot::From::person) return PersonId{at.value};
        const auto found = bouts_.find(BoutId{at.value});
        if (found == bouts_.end()) return std::nullopt;
        const Bout& bout = found->second;
        if (bout.winner != Winner::white && bout.winner != Winner::blue) return std::nullopt;
        const bool want_winner = at.from == Slot::From::winner_of;
        at = (bout.winner == Winner::white) == want_winner ? bout.white : bout.blue;
    }
    return std::nullopt;
}

}  // namespace honbu

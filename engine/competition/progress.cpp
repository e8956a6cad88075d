#include "engine/competition/progress.h"

namespace honbu {

void Progress::add(const BoutEntry& bout) {
    bouts_[bout.bout] = Bout{bout.white, bout.blue, {}, {}};
}

void Progress::confirm(BoutId bout, const Result& result) {
    const auto found = bouts_.find(bout);
    if (found == bouts_.end()) return;
    found->second.winner = result.winner;
    found->second.names_exchanged = result.names_exchanged;
}

void Progress::reopen(BoutId bout) {
    const auto found = bouts_.find(bout);
    if (found != bouts_.end()) found->second.winner = Winner::undecided;
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
        const bool as_white = (bout.winner == Winner::white) == want_winner;
        at = as_white != bout.names_exchanged ? bout.white : bout.blue;
    }
    return std::nullopt;
}

}  // namespace honbu

#include "engine/competition/progress.h"

namespace honbu {

void Progress::add(const BoutEntry& bout) { bouts_[bout.bout] = Bout{bout.white, bout.blue, {}}; }

void Progress::confirm(BoutId bout, const Result& result) {
    const auto found = bouts_.find(bout);
    if (found == bouts_.end()) return;
    found->second.known = {result.winner, result.names_exchanged};
}

void Progress::reopen(BoutId bout) {
    const auto found = bouts_.find(bout);
    if (found != bouts_.end()) found->second.known.winner = Winner::undecided;
}

std::map<BoutId, Progress::Known> Progress::known() const {
    std::map<BoutId, Known> out;
    for (const auto& [id, bout] : bouts_) {
        if (bout.known.winner != Winner::undecided || bout.known.names_exchanged) {
            out[id] = bout.known;
        }
    }
    return out;
}

void Progress::set(BoutId bout, Known known) {
    const auto found = bouts_.find(bout);
    if (found != bouts_.end()) found->second.known = known;
}

std::optional<PersonId> Progress::person_in(const Slot& slot) const {
    Slot at = slot;
    // A draw has no cycles, so following it takes at most one step a bout.
    for (std::size_t steps = 0; steps <= bouts_.size(); ++steps) {
        if (at.from == Slot::From::person) return PersonId{at.value};
        const auto found = bouts_.find(BoutId{at.value});
        if (found == bouts_.end()) return std::nullopt;
        const Bout& bout = found->second;
        const auto [winner, exchanged] = bout.known;
        if (winner != Winner::white && winner != Winner::blue) return std::nullopt;
        const bool want_winner = at.from == Slot::From::winner_of;
        const bool as_white = (winner == Winner::white) == want_winner;
        at = as_white != exchanged ? bout.white : bout.blue;
    }
    return std::nullopt;
}

}  // namespace honbu

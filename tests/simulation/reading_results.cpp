// Who has a result, who stands where because of it, and what the stream tells of it.
#include <algorithm>

#include "tests/simulation/reading.h"

namespace honbu::simulation {

void Reading::fold_again(Bout& bout) {
    bout.state = bout.calls.empty() ? State{} : frames(under(bout), bout.calls).front().state;
}

// After calls that count now, of which one may have confirmed the bout.
void Reading::note_results(const Record& record, Bout& bout, bool confirms) {
    const bool confirmed = bout.state.phase == Phase::confirmed ||
                           bout.state.phase == Phase::accepted;
    if (!confirmed && !bout.confirmed) return;
    if (confirmed && bout.confirmed && !confirms) return;
    const bool before = bout.confirmed;
    const bool had = bout.standing.has_value();
    bout.confirmed = confirmed;
    Item item{record.number, {}, {}, {}};
    if (confirmed) {
        const auto last = std::find_if(
            bout.calls.rbegin(), bout.calls.rend(),
            [](const Call& call) { return std::holds_alternative<Confirm>(call.what); });
        const Result& result = std::get<Confirm>(last->what).result;
        if (before && result == bout.standing) return;  // nothing new about it
        const bool as_folded = confirmed_as_folded(bout, result);
        bout.by_calls = as_folded ? std::optional(result) : std::nullopt;
        stand(bout, result);
        item.results.push_back(told(record, bout, Came::table));
        item.results.back().unlike_calls = !as_folded;
    } else {
        if (!had) return;
        stand(bout, std::nullopt);
        item.opened.push_back(opened(bout));
    }
    results_.push_back(std::move(item));
}

// Another result brings other names, also where the bout that waits for them has begun. Without a
// result such a bout keeps its names: people say what becomes of it.
void Reading::stand(Bout& bout, const std::optional<Result>& result) {
    const BoutId id = bout.entry.bout;
    bout.standing = result;
    bout.standing_since = result ? number_ : RecordNumber{};
    if (result) {
        names_from_[id] = *result;
    } else if (!begun_after(id)) {
        names_from_.erase(id);
    }
}

// What was kept for a bout goes when that has not begun any more.
void Reading::settle_names() {
    for (const auto& [id, bout] : bouts_) {
        if (!bout.standing && !begun_after(id)) names_from_.erase(id);
    }
}

// Who won and how, the boards, the names and the rules; times may differ where two clocks meet.
bool Reading::confirmed_as_folded(const Bout& bout, const Result& confirmed) const {
    const Result folded = result_of(under(bout), bout.calls,
                                    Timeline(bout.calls).place(bout.calls.back()));
    Result as_said = folded;
    as_said.winner = confirmed.winner;
    as_said.way = confirmed.way;
    as_said.white = confirmed.white;
    as_said.blue = confirmed.blue;
    as_said.names_exchanged = confirmed.names_exchanged;
    if (confirmed.rules_hash != Hash{}) as_said.rules_hash = confirmed.rules_hash;
    return as_said == folded;
}

// What counts is what was called, and not what the desk has put right or taken away.
bool Reading::as_called(const Bout& bout) const {
    if (!bout.standing) return !bout.confirmed;
    return bout.confirmed && bout.standing == bout.by_calls;
}

bool Reading::begun_after(BoutId id) const {
    return std::any_of(bouts_.begin(), bouts_.end(), [id](const auto& other) {
        const BoutEntry& entry = other.second.entry;
        const auto from_it = [id](const Slot& slot) {
            return slot.from != Slot::From::person && slot.value == id.value;
        };
        const bool begun = !other.second.calls.empty() || other.second.standing;
        return begun && (from_it(entry.white) || from_it(entry.blue));
    });
}

ResultTold Reading::told(const Record& record, Bout& bout, Came from) {
    const Result& result = *bout.standing;
    ResultTold out{bout.entry.mat,  seated(listed(bout.entry.bout), result.names_exchanged),
                   result,          words(under(bout).rules, result),
                   record.received, from,
                   bout.told,       false};
    bout.told = record.number;
    return out;
}

OpenedTold Reading::opened(const Bout& bout) const {
    return {bout.entry.mat, bout.entry.bout, bout.told};
}

// The person in a slot, through the results that stand.
std::optional<PersonId> Reading::person_in(const Slot& slot) const {
    if (slot.from == Slot::From::person) return PersonId{slot.value};
    const Bout* source = bout(BoutId{slot.value});
    const auto stands = names_from_.find(BoutId{slot.value});
    if (source == nullptr || stands == names_from_.end()) return std::nullopt;
    const Result& result = stands->second;
    if (result.winner != Winner::white && result.winner != Winner::blue) return std::nullopt;
    const bool want_winner = slot.from == Slot::From::winner_of;
    const bool white = (result.winner == Winner::white) == want_winner;
    const BoutEntry& entry = source->entry;
    return person_in(white != result.names_exchanged ? entry.white : entry.blue);
}

bool Reading::both_known(const Bout& bout) const {
    return person_in(bout.entry.white) && person_in(bout.entry.blue);
}

}  // namespace honbu::simulation

// Who has a result, who stands where because of it, and what the stream tells of it.
#include <algorithm>

#include "tests/simulation/reading.h"

namespace honbu::simulation {

void Reading::fold_again(Bout& bout) {
    bout.state = bout.calls.empty() ? State{} : frames(under(bout), bout.calls).front().state;
}

// After calls that count now, of which one may have confirmed the bout.
void Reading::note_results(const Record& record, Bout& bout, bool confirms,
                           const std::string& reason) {
    const bool confirmed = bout.state.phase == Phase::confirmed ||
                           bout.state.phase == Phase::accepted;
    if (!confirmed && !bout.confirmed) return;
    if (confirmed && bout.confirmed && !confirms) return;
    const bool had = bout.standing.has_value();
    bout.confirmed = confirmed;
    Item item{record.number, {}, {}};
    if (confirmed) {
        const auto last = std::find_if(
            bout.calls.rbegin(), bout.calls.rend(),
            [](const Call& call) { return std::holds_alternative<Confirm>(call.what); });
        const Result& result = std::get<Confirm>(last->what).result;
        if (confirms && result == bout.standing) return;  // nothing new about it
        stand(bout, result);
        bout.by_calls = true;
        item.results.push_back(told(record, bout, Came::table, reason));
    } else {
        if (!had) return;
        stand(bout, std::nullopt);
        item.opened.push_back(opened(bout, reason));
    }
    results_.push_back(std::move(item));
}

// Where a bout that waits for this one has begun its names stay: people say what becomes of it.
void Reading::stand(Bout& bout, const std::optional<Result>& result) {
    const bool had = bout.standing.has_value();
    const BoutId id = bout.entry.bout;
    bout.standing = result;
    bout.standing_since = result ? number_ : RecordNumber{};
    bout.by_calls = false;
    if (result) {
        names_from_[id] = *result;
    } else if (had && !begun_after(id)) {
        names_from_.erase(id);
    }
}

bool Reading::begun_after(BoutId id) const {
    return std::any_of(bouts_.begin(), bouts_.end(), [id](const auto& other) {
        const BoutEntry& entry = other.second.entry;
        const auto from_it = [id](const Slot& slot) {
            return slot.from != Slot::From::person && slot.value == id.value;
        };
        return !other.second.calls.empty() && (from_it(entry.white) || from_it(entry.blue));
    });
}

ResultTold Reading::told(const Record& record, Bout& bout, Came from, const std::string& reason) {
    const Result& result = *bout.standing;
    ResultTold out{bout.entry.mat,  seated(listed(bout.entry.bout), result.names_exchanged),
                   result,          words(under(bout).rules, result),
                   record.received, from,
                   bout.told,       reason};
    bout.told = record.number;
    return out;
}

OpenedTold Reading::opened(const Bout& bout, const std::string& reason) const {
    return {bout.entry.mat, bout.entry.bout, bout.told, reason};
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

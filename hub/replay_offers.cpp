#include "hub/replay_offers.h"

#include <algorithm>
#include <variant>

#include "hub/wire/call_json.h"

namespace honbu {
namespace {

// The same offer, though words and moment may have moved on with the clock.
bool same(const Offer& a, const Offer& b) {
    return to_proto_json(a.what) == to_proto_json(b.what) &&
           (a.at == b.at || std::holds_alternative<Strike>(a.what));
}

// A missing call is taken by one put in for an earlier moment, a correction by that correction.
bool takes(const Call& call, const Offer& offer) {
    if (call.what.index() != offer.what.index()) return false;
    const CallId* meant = refers_to(offer.what);
    return meant == nullptr ? call.back.ms > 0 : *refers_to(call.what) == *meant;
}

}  // namespace

std::vector<Offer> OffersMade::fresh(const Said& said, Instant at, std::span<const Offer> stand) {
    const auto stands = [stand](const Offered& known) {
        return std::any_of(stand.begin(), stand.end(),
                           [&](const Offer& offer) { return same(offer, known.offer); });
    };
    for (const Offered& known : standing_) {
        if (!stands(known) && !takes(said.call, known.offer)) passed_by_.push_back(known);
    }
    std::erase_if(standing_, [&](const Offered& known) { return !stands(known); });
    std::vector<Offer> fresh;
    for (const Offer& offer : stand) {
        const auto is_it = [&offer](const Offered& known) { return same(offer, known.offer); };
        if (std::any_of(standing_.begin(), standing_.end(), is_it)) continue;
        const bool again = std::erase_if(passed_by_, is_it) > 0;  // the bout was opened again
        standing_.push_back({offer, said.position, at});
        if (!again) fresh.push_back(offer);
    }
    return fresh;
}

}  // namespace honbu

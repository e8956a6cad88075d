// What became of the offers of a replayed bout: nobody presses anything here, so each is told once,
// where it first stood, and those that were never taken are told again at the end.
//
// fresh() after each call that was taken, in order. One thread.
#pragma once

#include <span>
#include <vector>

#include "hub/replay_telling.h"

namespace honbu {

class OffersMade {
public:
    // `stand`: all offers after this call. Returns those that were not there before.
    std::vector<Offer> fresh(const Said& said, Instant at, std::span<const Offer> stand);
    // Those that no longer stand, and were not taken.
    std::span<const Offered> passed_by() const { return passed_by_; }

private:
    std::vector<Offered> standing_;
    std::vector<Offered> passed_by_;
};

}  // namespace honbu

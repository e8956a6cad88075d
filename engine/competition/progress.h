// Who stands where: slots of the draw resolved through confirmed results.
//
// Folds result records only (a confirmed result is a fact). Pure, any thread.
#pragma once

#include <functional>
#include <map>
#include <optional>

#include "engine/record/record.h"

namespace honbu {

class Progress {
public:
    void add(const BoutEntry& bout);
    // Where the names were exchanged, white is who was listed as blue. A later result of the same
    // bout replaces the earlier.
    void confirm(BoutId bout, const Result& result);
    void reopen(BoutId bout);  // has no result until it is confirmed again

    // The person in a slot, or nothing: not known yet, or nobody comes (a bout both lost).
    std::optional<PersonId> person_in(const Slot& slot) const;

    // What is known of each bout that has had a result, to keep it and to go on from it.
    struct Known {
        Winner winner = Winner::undecided;
        bool names_exchanged = false;
    };
    std::map<BoutId, Known> known() const;
    void set(BoutId bout, Known known);

private:
    struct Bout {
        Slot white;
        Slot blue;
        Known known;
    };
    std::map<BoutId, Bout> bouts_;
};

}  // namespace honbu

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
    void confirm(BoutId bout, Winner winner);

    // The person in a slot, or nothing: not known yet, or nobody comes (a bout both lost).
    std::optional<PersonId> person_in(const Slot& slot) const;

private:
    struct Bout {
        Slot white;
        Slot blue;
        Winner winner = Winner::undecided;
    };
    std::map<BoutId, Bout> bouts_;
};

}  // namespace honbu

// The checker's own reading of a journal's bytes: what is true, worked out without the hub.
//
// Record by record: it refuses one that does not follow, that gives a number twice or leaves one
// out, that has another verdict than the rules of this house give it, or that raises a term wrong.
// Uses the engine's decoding and fold; includes nothing of the hub. One thread.
#pragma once

#include <map>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "engine/record/canon.h"
#include "engine/view/mat_view.h"

namespace honbu::simulation {

struct Named {
    std::string name;
    std::string club;
};

// A view in words, with instants counted from its first frame: what all screens must agree on.
std::string described(const MatView& view);
std::string described(const BoutHead& head);

class Reading {
public:
    struct CallRead {
        Call call;
        std::string bytes;
        DeviceId device;
        Verdict verdict = Verdict::none;
        RecordNumber record;
        bool state_differs = false;
    };
    struct Item {  // of the results stream
        RecordNumber number;
        MatId mat;
        std::string bout;  // described
        Result result;
        std::string words;
        Instant confirmed;
    };
    struct Mat {
        std::vector<BoutId> order;
        Term term;
        DeviceId holder;
        std::optional<BoutId> current;
        std::string shown;           // described
        RecordNumber changed_shown;  // the last record after which that was another text
    };

    explicit Reading(std::map<PersonId, Named> people) : people_(std::move(people)) {}

    // Empty: taken. Else what is wrong with it.
    std::string take(const std::string& bytes);

    RecordNumber number() const { return number_; }
    bool has_competition() const { return competition_.has_value(); }
    const std::map<RunId, std::vector<CallRead>>& runs() const { return runs_; }
    const std::map<MatId, Mat>& mats() const { return mats_; }
    const std::vector<Item>& results() const { return results_; }
    const CallRead* call(CallId id) const;
    bool confirmed(BoutId bout) const { return bouts_.at(bout).confirmed; }
    const std::vector<Call>& applied(BoutId bout) const { return bouts_.at(bout).calls; }
    bool knows(BoutId bout) const { return bouts_.contains(bout); }
    // What the frames of this bout are, with instants counted from the first.
    std::string frames_of(BoutId bout) const;
    BoutHead listed(BoutId bout) const;
    std::string state_bytes() const;  // in the order and form of Hub::state_bytes

private:
    struct Bout {
        BoutEntry entry;
        std::vector<Call> calls;
        bool confirmed = false;
        std::optional<Result> standing;
        RecordNumber standing_since;
        State state;  // from the last call on
    };
    std::string take_call(const Record& record, const Call& call);
    void note_results(const Record& record, Bout& bout);
    void note_shown();
    Conditions under(const Bout& bout) const;
    std::optional<PersonId> person_in(const Slot& slot) const;
    Seat seat(const Slot& slot) const;
    BoutHead head(const Bout& bout) const;
    MatView view(MatId id) const;

    std::map<PersonId, Named> people_;
    RecordNumber number_;
    Hash last_hash_{};
    Instant last_received_;
    std::optional<CompetitionLoaded> competition_;
    std::map<BoutId, Bout> bouts_;
    std::map<MatId, Mat> mats_;
    std::map<RunId, std::vector<CallRead>> runs_;
    std::map<BoutId, Result> standing_;  // what names come from
    std::vector<Item> results_;
};

}  // namespace honbu::simulation

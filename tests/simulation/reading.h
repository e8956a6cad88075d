// The checker's own reading of a journal's bytes: what is true, worked out without the hub.
//
// Record by record: it refuses one that does not follow, that gives a number twice or leaves one
// out, that has another verdict than the rules of this house give it, that raises a term wrong, or
// that the desk had no right to. Uses the engine's decoding and fold; includes nothing of the hub.
// One thread.
#pragma once

#include <map>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "engine/record/canon.h"
#include "tests/simulation/told.h"

namespace honbu::simulation {

struct Named {
    std::string name;
    std::string club;
};

// The names that the simulator gives to its desks' devices: a journal does not say who is a desk.
constexpr DeviceId first_desk{0xd000};
constexpr bool is_desk(DeviceId device) { return device.value >> 12 == first_desk.value >> 12; }

// One row of a journal: the record's bytes; whom a bout that is in no plan is between; the keys of
// what goes from beside the chain.
struct Row {
    std::string bytes;
    std::optional<std::string> typed;
    std::vector<std::string> erased{};
};

class Reading {
public:
    struct CallRead {
        Call call;
        std::string bytes;
        DeviceId device;
        std::string hand;
        Verdict verdict = Verdict::none;
        RecordNumber record;
        bool state_differs = false;
    };
    struct Mat {
        std::vector<BoutId> order;
        Term term;
        Term before_epoch;  // the last one that this epoch has not given
        DeviceId holder;
        std::string hand;
        Instant taken;
        RecordNumber taken_by;  // the record
        bool differs = false;
        std::optional<BoutId> current;
        std::string shown;           // described
        RecordNumber changed_shown;  // the last record after which that was another text
    };
    struct Bout {
        BoutEntry entry;
        std::vector<Call> calls;
        State state;             // from the last call on
        bool confirmed = false;  // by its calls
        bool at_desk = false;
        bool given_back = false;  // the desk has had it once
        std::optional<Result> standing;
        RecordNumber standing_since;
        std::optional<Result> by_calls;  // confirmed last, if its own calls come to that
        RecordNumber told;               // the item that last told a result of it
        RecordNumber changed;
    };
    struct Span {
        Epoch epoch;
        RecordNumber first;
    };

    explicit Reading(std::map<PersonId, Named> people) : people_(std::move(people)) {}

    // Empty: taken. Else what is wrong with it.
    std::string take(const Row& row);

    RecordNumber number() const { return number_; }
    bool has_competition() const { return competition_.has_value(); }
    const std::vector<Span>& epochs() const { return epochs_; }
    std::uint64_t hash(RecordNumber number) const;  // its first 8 bytes; 0: there is none
    const std::map<RunId, std::vector<CallRead>>& runs() const { return runs_; }
    const std::map<MatId, Mat>& mats() const { return mats_; }
    const std::map<BoutId, Bout>& bouts() const { return bouts_; }
    const std::vector<Item>& results() const { return results_; }
    const CallRead* call(CallId id) const;
    const Bout* bout(BoutId id) const;
    bool desk_may_write(const Bout& bout) const;
    bool waits_for_decision(CallId call) const { return aside_.contains(call); }
    RecordNumber aside_changed() const { return aside_changed_; }
    // Somebody is there whose name can be erased, or names that were typed.
    bool can_erase(const PersonErased& erased) const;
    // As it would be told now: an item on its way keeps a name that was erased since.
    Item with_names_of_now(Item item) const;
    // A slot's person is known.
    bool both_known(const Bout& bout) const;

    // -- what people should be told (reading_shown.cpp)
    std::string frames_of(BoutId bout) const;  // instants counted from the first
    BoutHead listed(BoutId bout) const;
    std::vector<CalledTold> call_list() const;
    std::string set_aside() const;  // described
    std::vector<TableTold> tables() const;
    SheetTold sheet(BoutId bout) const;  // its lines are all that may be on it
    std::string state_bytes() const;     // in the order and form of Hub::state_bytes

private:
    std::string take_fact(const Record& record, const Row& row);
    std::string take_epoch(const Record& record, const EpochBegan& began);
    std::string take_competition(const Record& record, const CompetitionLoaded& loaded);
    std::string take_taken(const Record& record, const MatTaken& taken);
    std::string take_freed(const Record& record, const MatFreed& freed);
    std::string take_call(const Record& record, const Call& call);
    // -- the desk (reading_desk.cpp)
    std::string take_decision(const Record& record, const SetAsideDecided& decision);
    std::string take_result(const Record& record, const ResultEntered& entered);
    std::string take_moved(const Record& record, const RecordMoved& moved);
    std::string take_given_back(const Record& record, const BoutGivenBack& given);
    std::string take_erased(const Record& record, const PersonErased& erased, const Row& row);
    std::string not_for_desk(const Record& record, BoutId bout) const;
    std::string joints_problem(const Bout& bout, const SetAsideDecided& decision) const;
    std::string count_in(Bout& bout, const SetAsideDecided& decision, bool& confirms);
    std::string result_problem(const Bout& bout, const Result& result) const;
    // -- results (reading_results.cpp)
    void fold_again(Bout& bout);
    void note_results(const Record& record, Bout& bout, bool confirms);
    void stand(Bout& bout, const std::optional<Result>& result);
    void settle_names();
    bool as_called(const Bout& bout) const;
    bool confirmed_as_folded(const Bout& bout, const Result& confirmed) const;
    ResultTold told(const Record& record, Bout& bout, Came from);
    OpenedTold opened(const Bout& bout) const;
    std::optional<PersonId> person_in(const Slot& slot) const;
    bool begun_after(BoutId bout) const;

    void note_shown();
    Conditions under(const Bout& bout) const;
    Seat seat(const Slot& slot) const;
    BoutHead head(const Bout& bout) const;
    std::vector<FrameShown> frames_shown(const Bout& bout) const;
    MatView view(MatId id) const;
    bool waits_its_turn(const Bout& bout) const;

    std::map<PersonId, Named> people_;
    RecordNumber number_;
    Hash last_hash_{};
    std::vector<std::uint64_t> hashes_;
    Instant last_received_;
    std::vector<Span> epochs_;
    std::uint32_t rate_ = 0;
    std::optional<CompetitionLoaded> competition_;
    std::map<BoutId, Bout> bouts_;
    std::map<MatId, Mat> mats_;
    std::map<RunId, std::vector<CallRead>> runs_;
    std::set<CallId> aside_;  // recorded, not counting, and nobody has decided
    RecordNumber aside_changed_;
    std::map<BoutId, std::string> typed_;
    std::set<PersonId> erased_;
    std::set<BoutId> typed_erased_;
    std::map<BoutId, Result> names_from_;  // the results that names come from
    std::vector<Item> results_;
};

}  // namespace honbu::simulation

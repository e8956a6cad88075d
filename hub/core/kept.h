// What the journal's records have made: all of it that a start must know, and no more.
//
// Each bout has two states in one vector of calls: all of them are *decided* (they order what comes
// next and are shown to nobody), the first `committed` are on the disk and are all that anyone
// sees. What else has two states says which it is. A checkpoint holds all of this and nothing
// besides, so names of people are not here; checkpoint_parts.h takes each of these apart, so that
// what is added does not compile until it stands there too. Private to hub/core. Hub thread.
#pragma once

#include <array>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "engine/bout/so_far.h"
#include "engine/competition/progress.h"
#include "engine/record/canon.h"
#include "hub/core/message.h"

namespace honbu {

struct BoutLog {
    BoutEntry entry;
    std::vector<Call> calls;    // those that count
    std::size_t committed = 0;  // how many of them are on the disk
    mutable SoFar all_folded;   // what the fold says of all of them, and of the committed ones:
    mutable SoFar folded;       // made up to date when it is asked for (so_far())
    std::size_t waiting = 0;    // records about this bout on their way to the disk
    bool at_desk = false;       // decided: what a table sends is set aside
    bool known_at_desk = false;
    bool moving = false;       // its record is on its way to another bout
    std::vector<CallId> gone;  // committed: counted here once, and moved to another bout

    // -- committed
    bool confirmed = false;          // by its calls
    std::optional<Result> by_calls;  // confirmed last, if the calls say so too
    std::optional<Result> standing;  // the result that counts: theirs, or one that was entered
    RecordNumber standing_since;     // the record that made it so
    RecordNumber told;               // the last item of the results stream with a result of it
    RecordNumber changed;            // the last record that changed it
};

struct Mat {
    std::vector<BoutId> order;
    mutable std::size_t passed = 0;  // so many of them don't wait any more
    Term term;                       // decided
    Term before_epoch;               // decided: the last one that this epoch has not given
    DeviceId holder;                 // decided; 0: nobody has it
    Term known_term;                 // committed
    DeviceId known_holder;           // committed
    std::string hand;                // committed: who took it
    Instant taken;                   // committed
    bool differs = false;            // committed: a call of this term saw another state
    std::optional<BoutId> current;   // committed: the bout the screens show
    RecordNumber number;             // committed: the last record that changed the view
    bool allotment_stale = false;    // its table is given another one, once in a batch
};

struct GivenNumber {            // what became of one call number
    std::uint64_t content = 0;  // the first bytes of the hash of its bytes
    Verdict verdict = Verdict::none;
    RecordNumber record;
    bool state_differs = false;
};

struct KnownRun {
    DeviceId device;
    std::vector<GivenNumber> given;  // by call number - 1
    std::size_t committed = 0;
    std::optional<std::int64_t> to_hub_ms;  // hub time = run's clock + this, as the table measured
    std::optional<std::int64_t> by_its_file_ms;  // the same, as a handed-in file says: in no record
    std::int64_t least_delay_ms = 0;  // else: the least (received - entered) of its calls
    bool came_itself = false;  // a call of it did; else that delay is of a file, perhaps of an hour
};

// A call that does not count, until a person has decided.
struct Aside {
    Call call;
    RecordNumber record;
    Verdict verdict = Verdict::none;
    DeviceId device;
    std::string hand;
    RecordNumber decided;  // the record that decides it, on its way to the disk; 0: none
};

struct Granted {
    Instant until;  // hub time; 0: nothing is granted
    MatId mat;
};
using Rights = std::array<Granted, 5>;  // by Right

struct EpochSpan {
    Epoch epoch;
    RecordNumber first;
};

// An item of the results stream, as it was told: whom it names, names itself not.
struct ToldResult {
    BoutId bout;
    PersonId white;  // as listed, before names were exchanged; 0: not known
    PersonId blue;
    Result result;
    ResultFrom from = ResultFrom::table;
    RecordNumber replaces;
    bool unlike_calls = false;
};
struct ToldItem {
    RecordNumber number;
    Instant confirmed;
    std::vector<ToldResult> results;  // the first is the item, the others are told with it
    std::vector<Reopened> reopened;   // the same, of those that have no result any more
    PersonId renamed;                 // it tells that this name was erased, and nothing else
};

struct Kept {
    EpochBegan epoch;                   // the present one
    std::vector<EpochSpan> epochs;      // all, first to last
    RecordNumber decided;               // the last number given out
    RecordNumber committed;             // the last number on the disk
    Hash last_hash{};                   // of the record `decided`
    std::vector<std::uint64_t> hashes;  // the first 8 bytes of each record's, by number - 1
    Instant last_received;
    bool has_competition = false;
    CompetitionLoaded competition;
    Progress progress;
    std::map<BoutId, BoutLog> bouts;
    std::map<BoutId, std::vector<BoutId>> awaited;  // and the bouts that wait for it
    std::map<MatId, Mat> mats;
    std::map<RunId, KnownRun> runs;
    std::map<CallId, Aside> aside;
    std::map<DeviceId, Rights> rights;     // committed: who may come in, until when
    std::map<DeviceId, MatId> table_mats;  // decided: the one that a table may take
    std::set<PersonId> erased;             // decided: whose names were erased
    std::set<BoutId> typed_erased;         // decided: bouts in no plan, the same
    RecordNumber aside_changed;            // committed
    std::vector<ToldItem> told_items;      // committed: the results stream
};

}  // namespace honbu

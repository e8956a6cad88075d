// A record: what was asked and by whom, never what follows from it. One command, one record.
//
// Records are the journal. Each carries the SHA-256 of the one before, taken over its canonical
// bytes (engine/record/canon.h; layout with a worked example: docs/journal.md). Pure values.
#pragma once

#include <array>
#include <cstdint>
#include <string>
#include <variant>
#include <vector>

#include "engine/bout/call.h"
#include "engine/bout/ruleset.h"

namespace honbu {

using Hash = std::array<std::uint8_t, 32>;

struct RecordNumber {
    std::uint32_t value = 0;  // 1, 2, 3 ... without gaps
    friend constexpr auto operator<=>(RecordNumber, RecordNumber) = default;
};

// The identity of one journal. A position is always the pair of epoch and number.
struct Epoch {
    std::uint64_t value = 0;
    friend constexpr auto operator<=>(Epoch, Epoch) = default;
};
enum class Verdict : std::uint8_t {
    none = 0,  // not a numbered call
    applied = 1,
    without_effect = 2,  // the fold finds it impossible; listed for a person
    set_aside = 3,       // older term, or a bout this table was not handed
};

// -- What can be recorded

// Record 1, and again where a journal goes on from a copy of itself: then no mat has a table until
// it is taken again, and every mat's term grows. None of the part that the copy lacks is given
// twice; and since the growth hangs on the epoch's name, none of another copy's either.
struct EpochBegan {
    Epoch epoch;
    std::uint32_t fold_version = 0;
    std::uint32_t rehearsal_rate = 1;  // 1: real time
    Epoch parent{};  // 0: none; else the epoch whose last record here is the one before this
};
constexpr std::uint32_t terms_skipped(Epoch epoch) {
    return 1'000 + static_cast<std::uint32_t>(epoch.value % 1'000'000);
}

// Who stands on one side of a bout: a person, or the winner or loser of another bout.
struct Slot {
    enum class From : std::uint8_t { person = 1, winner_of = 2, loser_of = 3 };
    From from = From::person;
    std::uint32_t value = 0;  // PersonId or BoutId
};
struct CategoryEntry {
    std::string name;
    std::uint16_t rules = 0;  // index into CompetitionLoaded::rules
    Duration time;
    Duration golden;  // limit of golden score; 0: none
};
struct BoutEntry {
    BoutId bout;
    MatId mat;
    std::uint16_t category = 0;  // index into CompetitionLoaded::categories
    std::string round;
    Slot white;
    Slot blue;
};
struct CompetitionLoaded {  // names of people live beside the chain, by PersonId
    std::string title;
    std::vector<RuleSet> rules;
    std::vector<CategoryEntry> categories;
    std::vector<BoutEntry> bouts;  // in the order of each mat
};

struct MatTaken {
    MatId mat;
    Term term;  // the new one
};
// The table has left, or the desk has freed the mat. Raises no term; the next taking does.
struct MatFreed {
    MatId mat;
    Term term;
    bool by_desk = false;
};

// -- What the desk decides (docs/protocol.md, "The desk"). From then on the bout is the desk's:
// what a table still sends for it is set aside, until it is given back.

// What becomes of calls that were set aside.
struct SetAsideDecided {
    enum class How : std::uint8_t { dismissed = 1, taken = 2 };
    How how{};
    BoutId into;                // taken: the bout in which they count
    std::vector<CallId> calls;  // in the order in which they count
    // Where a run of theirs that the bout does not know meets one that it knows.
    struct RunJoined {
        RunId run;
        Joint joint;
    };
    std::vector<RunJoined> joined;
    std::string reason;
};
// A result without a timeline of its own: from paper, or put right after the fact.
struct ResultEntered {
    enum class From : std::uint8_t { paper = 1, desk = 2 };
    BoutId bout;
    From from{};
    RecordNumber replaces;  // the record of the result that stood; 0: none
    Result result;          // winner undecided: the bout has no result any more
    std::string reason;
};
// What was recorded as bout `from` was really bout `to`; what `to` had goes the other way.
struct RecordMoved {
    BoutId from;
    BoutId to;
    std::string reason;
};
// The bout is its mat's table's again.
struct BoutGivenBack {
    BoutId bout;
};

// -- Who may come in. The secret of a device is kept beside the chain, as a hash.

enum class Right : std::uint8_t { none = 0, table = 1, desk = 2, set_up = 3, display = 4 };
// From now on the device has this right and no other, whatever it had before.
struct DeviceLetIn {
    DeviceId device;
    Right right = Right::none;
    MatId mat;      // of a table: the only one it may take; else 0
    Instant until;  // hub time at which the right ends
};
// The device has no right any more. Mats that it held have no table.
struct DeviceShutOut {
    DeviceId device;
    std::string reason;
};
// Calls that a table kept and that came by hand, in a file that the desk took in: all of one run,
// in the order of their numbers, none of them known before. They are set aside until a person
// decides. The record's device and hand are the desk's; these are the table's, as the file says.
struct CallsHandedIn {
    DeviceId device;
    std::string hand;
    std::vector<Call> calls;
};
// What was kept beside the chain about a person, or about a bout in no plan, is gone.
struct PersonErased {
    PersonId person;  // 0: the names typed for
    BoutId bout;      // this one
    std::string reason;
};

using Fact = std::variant<EpochBegan, CompetitionLoaded, MatTaken, Call, MatFreed, SetAsideDecided,
                          ResultEntered, RecordMoved, BoutGivenBack, DeviceLetIn, DeviceShutOut,
                          PersonErased, CallsHandedIn>;

struct Record {
    RecordNumber number;
    Hash previous{};   // all zero in record 1
    Instant received;  // hub time since the epoch began
    DeviceId device;   // who sent it; 0: the hub itself
    std::string hand;  // the person, as given by the device; may be empty
    Verdict verdict = Verdict::none;
    Fact fact;
};

}  // namespace honbu

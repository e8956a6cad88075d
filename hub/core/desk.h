// What the desk asks for and is shown, and how table and desk ask for each other.
//
// While a table holds a bout the desk only asks. What the desk may write: a bout that is confirmed,
// one that nobody has begun, and any bout of a mat without a table; from its first word on the bout
// is the desk's. Each of its commands carries the number it was decided on, so that sent twice it
// is taken once. Plain values, hub thread.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "engine/record/record.h"
#include "engine/table/table.h"
#include "engine/view/mat_view.h"

namespace honbu {

// ---- commands. `request` comes back in the answer: a Done, or a Refusal.

struct OpenBout {  // answer: an Allotment of this bout alone
    std::uint32_t request = 0;
    BoutId bout;
};
struct DecideSetAside {
    std::uint32_t request = 0;
    SetAsideDecided::How how{};
    BoutId into;
    std::vector<CallId> calls;
    std::string reason;
};
struct EnterResult {
    std::uint32_t request = 0;
    ResultEntered entered;
    RecordNumber changed;  // the last record that changed the bout, as the desk saw it
};
struct MoveRecord {
    std::uint32_t request = 0;
    RecordMoved moved;
    RecordNumber from_changed;  // the last record that changed each, as the desk saw it
    RecordNumber to_changed;
};
struct GiveBack {
    std::uint32_t request = 0;
    BoutId bout;
    RecordNumber changed;
};
// What is kept beside the chain about a person, or the names typed for a bout in no plan, goes for
// good (docs/personal-data.md).
struct ErasePerson {
    std::uint32_t request = 0;
    PersonErased erased;
};
// Who is kept under this number, or with this in the name or the club? Answer: PeopleFound.
struct FindPeople {
    std::uint32_t request = 0;
    std::string words;  // empty: whoever comes first
};
struct PeopleFound {
    struct One {
        PersonId person;  // 0: typed by hand for `typed`
        BoutId typed;
        std::string name;  // of both that were typed
        std::string club;  // the note that was typed
        bool erased = false;
        std::vector<BoutId> bouts;  // in which the person stands, as far as that is known
    };
    std::uint32_t request = 0;
    std::vector<One> people;  // at most `people_found_max`
    std::uint32_t more = 0;   // that fit as well
};
inline constexpr std::size_t people_found_max = 20;
// Calls of one run that a table kept and that came in a file. Those that are known are passed over;
// if one can't be taken, none is. They are set aside until the desk decides.
struct HandIn {
    std::uint32_t request = 0;
    DeviceId device;  // the table's, as the file says
    std::string hand;
    std::vector<Call> calls;          // their numbers follow each other
    bool only_look = false;           // nothing is recorded: how many are known?
    std::optional<RunClock> clock{};  // of the run, as the table measured it last
};
inline constexpr std::size_t handed_in_at_once = 200;  // calls

// ---- table and desk ask for each other; kept in memory only

enum class AskTo : std::uint8_t { table = 1, desk = 2 };
enum class About : std::uint8_t {
    come = 1,   // please come over
    mat = 2,    // another table would like to take this mat
    other = 3,  // as the words say
};
enum class Answered : std::uint8_t {
    heard = 1,  // shown to so many
    coming = 2,
    yes = 3,
    no = 4,
    gone = 5,  // whoever asked has left
};

struct Ask {
    MatId mat;
    AskTo to{};
    About about{};
    std::string words;  // at most `words_bytes_max`
};
struct AnswerAsk {
    std::uint32_t ask = 0;
    Answered answer{};  // coming, yes or no
    std::string words;
};
// To whoever is asked.
struct Asked {
    std::uint32_t ask = 0;
    MatId mat;
    bool by_desk = false;
    std::string hand;
    About about{};
    std::string words;
    Instant at;
};
// To whoever asked, and to the others who were.
struct AskAnswered {
    std::uint32_t ask = 0;
    Answered answer{};
    std::string hand;  // who answered
    std::string words;
    std::uint32_t shown_to = 0;  // heard: to so many
};
inline constexpr std::size_t words_bytes_max = 200;  // of an ask, an answer, a reason

// ---- views, each whole, each with the number of the last record that changed it

// What a call board shows: who is on, who comes next.
struct CallList {
    struct OnMat {
        MatId mat;
        TableLine table = TableLine::none;
        std::optional<BoutHead> on;  // the bout on the mat, until it is confirmed
        Phase phase = Phase::waiting;
        std::vector<BoutHead> next;
        friend bool operator==(const OnMat&, const OnMat&) = default;
    };
    RecordNumber number;
    std::vector<OnMat> mats;
};
inline constexpr std::size_t called_up = 8;  // bouts of each mat on the call list

// The second copy of the journal that the hub keeps, best on another disk.
struct Mirrored {
    enum class How : std::uint8_t {
        none = 0,     // there is to be none
        follows = 1,  // a few records behind at most
        behind = 2,   // by more than a few seconds
        stopped = 3,  // nothing can be written there
    };
    How how = How::none;
    std::uint32_t behind = 0;  // records that it lacks
    std::string words;         // why it has stopped
    friend bool operator==(const Mirrored&, const Mirrored&) = default;
};

// How each table stands, for the desk.
struct Tables {
    struct OfMat {
        MatId mat;
        TableLine line = TableLine::none;
        DeviceId device;  // 0: nobody has the mat
        std::string hand;
        Term term;
        Instant taken;  // hub time
        // As the table measured them: hub time less its run's clock, and the way there and back.
        bool measured = false;
        std::int32_t offset_ms = 0;
        std::uint32_t round_trip_ms = 0;
        bool differs = false;  // of a call since: the hub folds to another state than the table
        std::uint32_t watching = 0;  // other tables that look at this mat
    };
    RecordNumber number;
    std::uint32_t missing = 0;  // records that somebody has seen and this journal has not
    std::vector<OfMat> mats;
    Mirrored mirror;
    std::string damage;  // found in the journal after the start, in words; empty: none
};

// Calls that do not count and wait for a person.
struct SetAside {
    struct Item {
        Call call;
        RecordNumber record;
        Verdict verdict = Verdict::none;  // set aside, or without effect
        Instant at;                       // hub time, as well as it is known
    };
    struct OfBout {  // what one device sent for one bout
        DeviceId device;
        std::string hand;
        MatId mat;
        BoutId bout;
        std::optional<BoutHead> head;  // nothing: the hub has no such bout
        std::string typed_white;       // of a bout that was typed by hand
        std::string typed_blue;
        std::string typed_note;
        std::vector<Item> calls;  // in the order of their runs and numbers
    };
    RecordNumber number;
    std::vector<OfBout> bouts;
    std::uint32_t more = 0;  // calls that are not listed here
};
inline constexpr std::size_t set_aside_listed = 500;  // calls, the oldest first

}  // namespace honbu

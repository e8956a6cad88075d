// What the hub is told and what it says, as values of its own: no protobuf, no sockets.
//
// hub/wire turns bytes into Commands and Replies into bytes. Plain values, hub thread.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "engine/record/record.h"
#include "engine/table/table.h"
#include "engine/view/mat_view.h"
#include "hub/core/desk.h"
#include "hub/core/door.h"

namespace honbu {

inline constexpr std::uint32_t wire_schema = 2;
inline constexpr std::uint32_t wire_schema_before = 1;  // is understood as well

// One connection, from accept to close. Never used twice while the process lives.
struct SessionId {
    std::uint64_t value = 0;
    friend constexpr auto operator<=>(SessionId, SessionId) = default;
};

// ---- commands

struct Hello {
    Entrance entrance = Entrance::hall;  // never on the wire: whoever let the connection in says it
    std::uint32_t schema = 0;
    Role role = Role::none;
    DeviceId device;
    RunId run;
    std::uint32_t fold_version = 0;
    std::string hand;
    std::string page;   // version of the page or program, for the log
    std::string token;  // the device's own secret; empty: it has none
    // The last position this client has seen, and the first 8 bytes of that record's hash; 0: none.
    Epoch seen_epoch;
    RecordNumber seen_number;
    std::uint64_t seen_hash = 0;
};
struct ClockAsk {
    std::uint32_t sent = 0;
};
// What is shown of names to whoever has no right here (hub/core/public_names.h).
enum class PublicNames : std::uint8_t { full = 0, initials = 1, hidden = 2 };

struct Subscribe {
    std::vector<MatId> mats;
    bool all_mats = false;
    bool results = false;
    RecordNumber results_after;
    bool call_list = false;
    std::vector<BoutId> sheets;
    // The desk's, and those of the set-up.
    bool tables = false;
    bool door = false;
    // The desk's.
    bool set_aside = false;
    bool audit = false;
    RecordNumber audit_after;
    bool names = true;  // never on the wire: may this session see whole names?
};
struct TakeMat {
    MatId mat;
    bool take_over = false;
    std::string hand;  // empty: as in the hello
    Term term{};       // that this page believes it holds; 0: none
};
// The holder leaves, when all its calls have their verdicts; or the desk frees the mat.
struct LeaveMat {
    MatId mat;
    bool by_force = false;  // the desk: a person has said yes
    Term term;              // that ends by it; another: changed meanwhile
    std::uint32_t request = 0;
};
// Whom a bout that is in no plan is between, as typed at the table. Kept beside the chain.
struct Typed {
    std::string white;
    std::string blue;
    std::string note;  // category, round, or whatever helps the desk to find the bout
};
struct Submit {
    Call call;
    std::optional<Typed> typed{};
};
// The same moment on a run's clock and on the hub's, and how far the hub is.
struct ClockMeasured {
    RunClock clock;
    std::optional<std::uint32_t> round_trip_ms;
};
struct Heartbeat {};

using Command =
    std::variant<Hello, ClockAsk, Subscribe, TakeMat, Submit, ClockMeasured, Heartbeat, LeaveMat,
                 Ask, AnswerAsk, OpenBout, DecideSetAside, EnterResult, MoveRecord, GiveBack,
                 HandIn, UseCode, LetIn, ShutOut, ErasePerson, FindPeople>;
// Of a command of the desk; of others 0.
inline std::uint32_t request_of(const Command& command) {
    return std::visit(
        [](const auto& one) -> std::uint32_t {
            if constexpr (requires { one.request; }) {
                return one.request;
            } else {
                return 0;
            }
        },
        command);
}

// ---- replies

// Of a refusal or a goodbye.
enum class Cause : std::uint8_t {
    none = 0,
    unreadable = 1,
    hello_first = 2,
    other_schema = 3,
    not_a_table = 4,
    no_such_mat = 5,
    mat_held = 6,
    number_gap = 7,
    other_content = 8,
    too_big = 9,
    too_slow = 10,
    stopping = 11,
    no_room = 12,
    silent = 13,
    other_fold = 14,
    not_the_desk = 15,
    not_yours = 16,     // the mat, the bout or the ask is another's
    at_the_table = 17,  // a table may be writing this bout: ask it, or free the mat
    changed = 18,       // meanwhile: look again, then decide again
    impossible = 19,    // the rules or the plan do not allow it
    no_such_bout = 20,
    too_many = 21,
    not_let_in = 22,  // the device has no right to this
    shut_out = 23,    // it has none any more
    wrong_code = 24,
    other_entrance = 40,  // this one is only looked through
    full = 41,            // all places of this kind are taken
    too_fast = 42,        // more messages than anybody's work makes, for too long
    no_such_person = 43,
};

struct Welcome {
    std::uint32_t schema = wire_schema;
    Epoch epoch;
    RecordNumber number;
    Instant now;
    std::uint32_t rehearsal_rate = 1;
    std::string title;
    std::vector<MatId> mats;
    std::vector<RunHead> runs;
    std::uint32_t fold_version = 0;
    std::uint64_t hash = 0;  // first 8 bytes of the hash of record `number`
    // Compared with what the hello has seen: so many records are missing here; or the record of
    // that number is another one.
    std::uint32_t missing = 0;
    bool differs = false;
    std::vector<Epoch> earlier;  // epochs this journal goes on from, first to last
    PublicNames public_names = PublicNames::full;  // what the public is shown
    bool anyone = false;  // no right is checked: whoever reaches the hub can score
    MatId mat;            // tables: the only one this device may take; 0: any
};
struct ClockAnswer {
    std::uint32_t sent = 0;
    Instant now;
};
struct VerdictGiven {
    CallId call;
    Verdict verdict = Verdict::none;
    RecordNumber record;
    bool state_differs = false;
};
struct Refusal {
    Cause reason = Cause::none;
    std::string words;
    bool about_call = false;
    CallId call;
    std::uint32_t request = 0;  // of the desk's command that it is about
};
// The desk's command is on the disk.
struct Done {
    std::uint32_t request = 0;
    RecordNumber record;
    std::string words;
};
inline constexpr const char* no_room_words =
    "The hub can keep nothing more for now: its disk is full, or another program holds its "
    "journal. "
    "The table keeps everything and sends it again; tell whoever runs the hub.";
struct MatLost {
    MatId mat;
    Term term;
    std::string words;
    bool left = false;  // as this table wished
};
struct Goodbye {
    Cause reason = Cause::none;
    std::string words;
    bool come_back = false;
};

using Reply = std::variant<Welcome, ClockAnswer, Allotment, VerdictGiven, Refusal, MatLost,
                           Heartbeat, Goodbye, Asked, AskAnswered, Done, AtTheDoor, PeopleFound>;

// ---- facts for the feed

// How a result came about.
enum class ResultFrom : std::uint8_t {
    table = 0,         // confirmed where it was fought
    paper = 1,         // entered at the desk, without a timeline
    desk = 2,          // put right at the desk
    other_record = 3,  // what was recorded as another bout
};
// A result that was told does not stand any more, until the bout has one again.
struct Reopened {
    RecordNumber number;
    MatId mat;
    BoutId bout;
    RecordNumber replaces;
};
// From now on this is the name of a person, whatever was told before: the real one was erased.
struct Renamed {
    RecordNumber number;
    PersonId person;
    std::string name;  // and no club
};
struct Finished {
    RecordNumber number;
    MatId mat;
    BoutHead bout;
    Result result;
    std::string words;
    Instant confirmed;
    ResultFrom from = ResultFrom::table;
    RecordNumber replaces;      // the item that told an earlier result of this bout; 0: none
    bool unlike_calls = false;  // confirmed otherwise than the hub's own fold of the calls says
    // Where two bouts had the wrong records: what became of the other one, in the same item.
    std::vector<Finished> also;       // at most one
    std::vector<Reopened> no_result;  // at most one
};

}  // namespace honbu

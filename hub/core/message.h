// What the hub is told and what it says, as values of its own: no protobuf, no sockets.
//
// hub/wire turns bytes into Commands and Replies into bytes. Plain values, hub thread.
#pragma once

#include <cstdint>
#include <string>
#include <variant>
#include <vector>

#include "engine/record/record.h"
#include "engine/table/table.h"
#include "engine/view/mat_view.h"

namespace honbu {

inline constexpr std::uint32_t wire_schema = 1;

// One connection, from accept to close. Never used twice while the process lives.
struct SessionId {
    std::uint64_t value = 0;
    friend constexpr auto operator<=>(SessionId, SessionId) = default;
};

// ---- commands

enum class Role : std::uint8_t { none = 0, table = 1, board = 2, hall = 3, desk = 4 };

struct Hello {
    std::uint32_t schema = 0;
    Role role = Role::none;
    DeviceId device;
    RunId run;
    std::uint32_t fold_version = 0;
    std::string hand;
};
struct ClockAsk {
    std::uint32_t sent = 0;
};
struct Subscribe {
    std::vector<MatId> mats;
    bool all_mats = false;
    bool results = false;
    RecordNumber results_after;
};
struct TakeMat {
    MatId mat;
    bool take_over = false;
    std::string hand;  // empty: as in the hello
};
struct Submit {
    Call call;
};
struct Heartbeat {};

using Command = std::variant<Hello, ClockAsk, Subscribe, TakeMat, Submit, RunClock, Heartbeat>;

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
};
inline constexpr const char* no_room_words =
    "The hub can keep nothing more for now: its disk is full, or another program holds its "
    "journal. "
    "The table keeps everything and sends it again; tell whoever runs the hub.";
struct MatLost {
    MatId mat;
    Term term;
    std::string words;
};
struct Goodbye {
    Cause reason = Cause::none;
    std::string words;
    bool come_back = false;
};

using Reply = std::variant<Welcome, ClockAnswer, Allotment, VerdictGiven, Refusal, MatLost,
                           Heartbeat, Goodbye>;

// ---- facts for the feed

struct Finished {
    RecordNumber number;
    MatId mat;
    BoutHead bout;
    Result result;
    std::string words;
    Instant confirmed;
};
// A result that was told does not stand any more, until the bout is confirmed again.
struct Reopened {
    RecordNumber number;
    MatId mat;
    BoutId bout;
};

}  // namespace honbu

// What people are told, in the checker's own terms and as text that can be compared.
//
// The hub's messages become these in as_told.h; what they should have been comes from reading.h.
// Includes nothing of the hub. Plain values, one thread.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "engine/record/record.h"
#include "engine/view/mat_view.h"

namespace honbu::simulation {

// -- the results stream

enum class Came : std::uint8_t { table = 0, paper = 1, desk = 2, other_record = 3 };
struct ResultTold {
    MatId mat;
    BoutHead bout;
    Result result;
    std::string words;
    Instant confirmed;
    Came from{};
    RecordNumber replaces;
    bool unlike_calls = false;
};
struct OpenedTold {  // a result does not stand any more
    MatId mat;
    BoutId bout;
    RecordNumber replaces;
};
struct NameTold {  // of a person from now on: the real one was erased
    PersonId person;
    std::string name;
};
struct Item {
    RecordNumber number;
    std::vector<ResultTold> results;  // two, where two bouts had the wrong records
    std::vector<OpenedTold> opened;
    std::vector<NameTold> renamed;  // at most one
};

// -- views

struct CalledTold {  // one mat of the call list
    MatId mat;
    bool taken = false;
    std::optional<BoutHead> on;
    Phase phase = Phase::waiting;
    std::vector<BoutHead> next;
};
struct AsideTold {  // what one device sent for one bout
    struct One {
        Call call;
        RecordNumber record;
        Verdict verdict = Verdict::none;
    };
    BoutId bout;
    DeviceId device;
    std::string hand;
    MatId mat;
    std::optional<BoutHead> head;
    std::string typed;
    std::vector<One> calls;
};
struct TableTold {
    MatId mat;
    DeviceId device;
    Term term;
    std::string hand;
    Instant taken;
    bool differs = false;
};
struct SheetTold {
    struct Line {
        Duration elapsed;
        bool golden = false;
        Happening why = Happening::none;
        std::string call;
        BoardSide white;
        BoardSide blue;
        friend bool operator==(const Line&, const Line&) = default;
    };
    MatId mat;
    BoutHead bout;
    std::string rules;
    Duration time;
    Duration golden;
    Phase phase = Phase::waiting;
    std::optional<Result> result;
    std::string words;
    RecordNumber changed;
    RecordNumber result_number;
    bool at_desk = false;
    std::vector<Line> lines;
};

// One line for each fact, so that the first line that differs says what is wrong.
std::string described(const BoutHead& head);
std::string described(const MatView& view);  // instants counted from its first frame
std::string described(const Item& item);
std::string described(const std::vector<CalledTold>& list);
std::string described(const std::vector<AsideTold>& waiting, std::uint32_t more);
std::string described(const std::vector<TableTold>& tables);
std::string described(const SheetTold& sheet);  // without its lines

}  // namespace honbu::simulation

// The sheet of one bout for everybody: who fought, what counted, how it ended.
//
// Only what is on the disk, as corrections have left it. What is noted about an athlete's body, who
// sat at the table and the names of devices and runs are not in it. Plain values, any thread.
#pragma once

#include <string>
#include <vector>

#include "engine/record/record.h"
#include "engine/view/mat_view.h"

namespace honbu {

struct SheetLine {
    Duration elapsed;  // contest time in its period
    bool golden = false;
    Happening why = Happening::none;   // it came by itself; none: it was called
    std::string call;                  // the trade's word: "waza-ari"; empty: it came by itself
    Sides side;                        // whom it is about; none: nobody or the bout
    Reason reason = Reason::not_said;  // of a shido
    std::string words;                 // "shido to white for false attack"
    BoardSide white;                   // the board after it
    BoardSide blue;
};

struct BoutSheet {
    RecordNumber number;  // of the last record that changed anything on this mat
    MatId mat;
    BoutHead bout;
    std::string rules;  // their title
    Duration time;
    Duration golden;  // limit of golden score; 0: none
    Phase phase = Phase::waiting;
    bool has_result = false;  // confirmed, and not opened again since
    Result result;
    std::string words;  // the result, or how it stands
    std::vector<SheetLine> lines;
    RecordNumber changed;        // the last record that changed this bout itself; 0: nothing has
    RecordNumber result_number;  // the item of the results stream that stands; 0: none
    bool at_desk = false;
};

}  // namespace honbu

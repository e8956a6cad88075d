// A played hall, from the first hello to the quiet end: who is there, what is printed.
//
// The quiet end: the tables press nothing more, and everything must come right by itself: every
// call has a verdict, all screens of a mat show the same as its table does, and all desks have the
// same results. One thread.
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "clients/sim/played_table.h"
#include "clients/sim/screen.h"

namespace honbu::sim {

class Evening {
public:
    explicit Evening(Hall& hall);
    bool play();  // true: every call got a verdict, and no promise was seen broken

private:
    void every_while();
    void on_signal();
    void begin_quiet_end();
    void look_for_quiet();
    void end();
    std::vector<std::string> unquiet() const;  // what has not come right yet
    std::vector<std::string> mats_that_differ() const;
    void print_lately();
    void print_altogether() const;
    std::size_t lines_live() const;
    std::size_t lines_left() const;  // sent away, or without anything to do
    std::string clock_text() const;

    Hall& hall_;
    std::vector<std::unique_ptr<PlayedTable>> tables_;
    std::vector<std::unique_ptr<Screen>> screens_;
    std::vector<Caller*> callers_;  // all of them
    bool quiet_ = false;
    std::uint64_t quiet_since_us_ = 0;
    std::uint64_t acknowledged_before_ = 0;
    std::uint64_t printed_us_ = 0;
};

}  // namespace honbu::sim

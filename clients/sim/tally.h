// What was counted and measured, and what of it is worth a line for whoever watches. One thread.
#pragma once

#include <cstdint>
#include <map>
#include <string>
#include <vector>

#include "engine/record/record.h"

namespace honbu::sim {

// Waits of one kind. Of the last while and of all the time.
class Waits {
public:
    void add(std::uint64_t us);
    bool any_lately() const { return lately_ < all_.size(); }
    // "3 ms (12 ms)": the median, and what 99 of 100 stay within. "-" if there were none.
    std::string lately() const { return words(lately_); }
    std::string altogether() const { return words(0); }
    std::uint32_t longest_us() const;
    void begin_anew() { lately_ = all_.size(); }

private:
    std::string words(std::size_t from) const;

    std::vector<std::uint32_t> all_;
    std::size_t lately_ = 0;  // where it begins
};

// "850 us", "3 ms", "1.2 s".
std::string wait_words(std::uint64_t us);
// "1,234,567".
std::string grouped(std::uint64_t number);
// "1 desk", "2 desks".
std::string counted(std::uint64_t number, const char* one, const char* many);

struct Tally {
    std::uint64_t entered = 0;       // calls
    std::uint64_t sent = 0;          // of them at least once
    std::uint64_t sent_again = 0;    // once more, after a line broke or a refusal
    std::uint64_t acknowledged = 0;  // have a verdict
    std::uint64_t without_effect = 0;
    std::uint64_t set_aside = 0;
    std::uint64_t not_taken = 0;  // presses the table itself refused
    std::uint64_t confirmed = 0;  // results, at the tables
    std::uint64_t views = 0;
    std::uint64_t results = 0;  // at all desks together
    std::uint64_t refusals = 0;
    std::uint64_t goodbyes = 0;
    std::uint64_t reconnects = 0;
    std::string last_words;  // of a refusal or a goodbye

    Waits to_verdict;  // from the press
    Waits to_screen;   // from the press, each screen

    // The two ends of a wait come in any order.
    void pressed(RecordNumber record, std::uint64_t at_us);
    void shown(RecordNumber record, std::uint64_t at_us);

private:
    std::map<RecordNumber, std::uint64_t> pressed_us_;
    std::map<RecordNumber, std::vector<std::uint64_t>> early_us_;
};

}  // namespace honbu::sim

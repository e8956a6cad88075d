#include "hub/competition/whole.h"

#include <deque>
#include <map>

namespace honbu {
namespace {

using Index = std::size_t;  // of a row
constexpr Index nowhere = SIZE_MAX;

class Whole {
public:
    Whole(const std::vector<Row>& rows, FaultList& faults)
        : rows_(rows), faults_(faults), waits_(rows.size()), in_loop_(rows.size(), false) {}

    void check() {
        numbers();
        rule_sets();
        times();
        references();
        categories_of_references();
        loops();
        order();
    }

private:
    void wrong(const Row& row, std::string_view column, std::string reason) {
        faults_.add(row.line, column, std::move(reason));
    }

    void numbers() {  // check 18
        for (Index i = 0; i < rows_.size(); ++i) {
            const auto [first, is_new] = by_number_.try_emplace(rows_[i].bout, i);
            if (is_new) continue;
            wrong(rows_[i], name(Column::bout),
                  "number " + std::to_string(rows_[i].bout) + " is already on line " +
                      std::to_string(rows_[first->second].line) + "; each bout has its own number");
        }
    }

    // "women -57 kg is 2025 on line 2 and 2018 here"
    static std::string differs(const Row& first, const std::string& there,
                               const std::string& here) {
        return first.category + " is " + there + " on line " + std::to_string(first.line) +
               " and " + here + " here; one category has one ";
    }

    void rule_sets() {  // check 19
        for (const Row& row : rows_) {
            const Row& first = *first_of_.try_emplace(row.category, &row).first->second;
            if (row.rules == first.rules) continue;
            wrong(row, name(Column::rules), differs(first, first.rules, row.rules) + "rule set");
        }
    }

    void times() {  // check 20
        for (const Row& row : rows_) {
            const Row& first = *first_of_.at(row.category);
            if (row.time == first.time && row.golden == first.golden) continue;
            wrong(row, name(Column::time), differs(first, first.time_cell, row.time_cell) + "time");
        }
    }

    // The row of the bout a side waits for; nowhere for an athlete.
    Index awaited(const Entrant& side) const {
        if (side.from == Slot::From::person) return nowhere;
        const auto found = by_number_.find(side.bout);
        return found == by_number_.end() ? nowhere : found->second;
    }

    void references() {  // check 21
        for (Index i = 0; i < rows_.size(); ++i) {
            for (const Column column : {Column::white, Column::blue}) {
                const Entrant& side = column == Column::white ? rows_[i].white : rows_[i].blue;
                if (side.from == Slot::From::person) continue;
                const Index there = awaited(side);
                if (there == nowhere) {
                    wrong(rows_[i], name(column),
                          "there is no bout " + std::to_string(side.bout) + " in this file");
                } else if (waits_[i].empty() || waits_[i].front() != there) {
                    waits_[i].push_back(there);
                }
            }
        }
    }

    void categories_of_references() {  // check 22
        for (const Row& row : rows_) {
            for (const Column column : {Column::white, Column::blue}) {
                const Index there = awaited(column == Column::white ? row.white : row.blue);
                if (there == nowhere || rows_[there].category == row.category) continue;
                wrong(row, name(column),
                      "bout " + std::to_string(rows_[there].bout) + " is " + rows_[there].category +
                          ", this bout is " + row.category);
            }
        }
    }

    // The shortest way over bouts waited for from a bout back to itself; empty if there is none.
    std::vector<Index> loop_from(Index start) const {
        std::vector<Index> came_from(rows_.size(), nowhere);
        std::deque<Index> next = {start};
        while (!next.empty()) {
            const Index here = next.front();
            next.pop_front();
            for (const Index there : waits_[here]) {
                if (came_from[there] != nowhere) continue;
                came_from[there] = here;
                next.push_back(there);
            }
            if (came_from[start] != nowhere) break;
        }
        if (came_from[start] == nowhere) return {};
        std::vector<Index> backwards = {start};
        do {
            backwards.push_back(came_from[backwards.back()]);
        } while (backwards.back() != start);
        return {backwards.rbegin(), backwards.rend()};
    }

    // "5, 7, 5"; a long way is cut short in the middle.
    std::string way(const std::vector<Index>& loop) const {
        constexpr std::size_t shown_max = 10;
        std::string text;
        for (std::size_t i = 0; i < loop.size(); ++i) {
            const bool left_out = i >= shown_max && i + 1 < loop.size();
            if (left_out && i > shown_max) continue;
            if (i > 0) text += ", ";
            text += left_out ? "..." : std::to_string(rows_[loop[i]].bout);
        }
        return text;
    }

    void loops() {  // check 23; each bout is named in one loop only
        for (Index i = 0; i < rows_.size(); ++i) {
            if (in_loop_[i]) continue;
            const std::vector<Index> loop = loop_from(i);
            if (loop.empty()) continue;
            for (const Index bout : loop)
                in_loop_[bout] = true;
            wrong(rows_[i], "",
                  "bout " + std::to_string(rows_[i].bout) + " waits for itself (" + way(loop) +
                      "); correct a 'winner of' or 'loser of'");
        }
    }

    void order() {  // check 24; within a loop moving a row would mend nothing
        for (Index i = 0; i < rows_.size(); ++i) {
            for (const Index there : waits_[i]) {
                if (there < i || rows_[there].mat != rows_[i].mat) continue;
                if (in_loop_[i] && in_loop_[there]) continue;
                wrong(rows_[i], "",
                      "bout " + std::to_string(rows_[i].bout) + " waits for bout " +
                          std::to_string(rows_[there].bout) +
                          ", which comes later on the same mat; move its row below");
            }
        }
    }

    const std::vector<Row>& rows_;
    FaultList& faults_;
    std::map<std::uint32_t, Index> by_number_;         // the first, if a number stands twice
    std::map<std::string_view, const Row*> first_of_;  // the first row of each category
    std::vector<std::vector<Index>> waits_;            // at most two for each row
    std::vector<bool> in_loop_;
};

}  // namespace

void check_whole(const std::vector<Row>& rows, FaultList& faults) { Whole(rows, faults).check(); }

}  // namespace honbu

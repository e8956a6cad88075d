// A board, a hall screen or a desk: follows one mat or all, and a desk the results. One thread.
//
// Holds what it was shown last, and watches that it never goes back and that no result comes twice.
#pragma once

#include <map>
#include <vector>

#include "clients/sim/caller.h"

namespace honbu::sim {

class Screen final : public Caller {
public:
    struct Shown {
        MatView view;
        std::string bytes;
    };

    // `place` from 0: a board follows the mat in that place, beginning again after the last mat.
    Screen(Hall& hall, std::string name, Role role, std::size_t place)
        : Caller(hall, std::move(name)), role_(role), place_(place) {}
    bool follows_results() const { return role_ == Role::desk; }
    const std::map<MatId, Shown>& mats() const { return mats_; }
    const std::vector<RecordNumber>& results() const { return results_; }

private:
    Hello hello() const override;
    void hear(const Heard& message, const std::string& bytes) override;
    void subscribe(const Welcome& welcome);
    void on_view(const MatView& view, const std::string& bytes);
    void on_result(const Finished& item);

    const Role role_;
    const std::size_t place_;
    std::map<MatId, Shown> mats_;
    std::vector<RecordNumber> results_;
};

}  // namespace honbu::sim

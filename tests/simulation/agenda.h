// Virtual time: what happens when. The only clock of the simulator.
//
// Acts at the same millisecond happen in the order in which they were put down, so that one seed is
// one history. One thread.
#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <queue>
#include <utility>
#include <vector>

namespace honbu::simulation {

class Agenda {
public:
    using Act = std::function<void()>;

    std::uint64_t now() const { return now_; }
    void in(std::uint64_t ms, Act act) { coming_.push({now_ + ms, ++last_, std::move(act)}); }
    // False: nothing more is coming.
    bool step() {
        if (coming_.empty()) return false;
        Entry next = coming_.top();
        coming_.pop();
        now_ = next.at;
        next.act();
        return true;
    }

private:
    struct Entry {
        std::uint64_t at;
        std::uint64_t order;
        Act act;
        bool operator<(const Entry& other) const {  // the queue gives the greatest first
            return std::pair(at, order) > std::pair(other.at, other.order);
        }
    };
    std::uint64_t now_ = 0;
    std::uint64_t last_ = 0;
    std::priority_queue<Entry> coming_;
};

// Something that can die while acts of its own are still on the agenda: they are dropped then.
class Mortal {
public:
    Agenda::Act while_alive(Agenda::Act act) const {
        return [pulse = std::weak_ptr<bool>(pulse_), act = std::move(act)] {
            if (!pulse.expired()) act();
        };
    }

private:
    std::shared_ptr<bool> pulse_ = std::make_shared<bool>(true);
};

}  // namespace honbu::simulation

// A disk for the journal: keeps synced batches; what waits may be lost, whole or from a point on.
//
// Answers each batch once, after a while, as the real journal's thread does. It may be full for a
// while (then the batch is tried again each second, and the hub is told) or fail for good (then the
// process must end). A copy of it elsewhere follows with a lag; when the machine is gone, work goes
// on from there. In some seeds it lies: then a power cut takes what it had said it keeps. Outlives
// every life of the hub. One thread.
#pragma once

#include <deque>
#include <functional>
#include <string>
#include <vector>

#include "hub/core/ports.h"
#include "tests/simulation/checker.h"
#include "tests/simulation/line.h"

namespace honbu::simulation {

struct DiskEvents {
    std::function<void(RecordNumber)> committed;
    std::function<void(bool)> room;
    std::function<void()> failed;
};

class Disk {
public:
    struct Kept {
        RecordNumber number;
        std::string bytes;
        std::vector<Beside> beside;
    };

    Disk(Agenda& agenda, generate::Lots& lots, Checker& checker, const Trace& trace)
        : agenda_(agenda), lots_(lots), checker_(checker), trace_(trace) {}

    // For the life of a hub that begins now.
    void serve(DiskEvents events);
    void append(Kept row);
    // Nothing of this life is heard of any more, and what was not synced is gone, or nearly so.
    void cut_power();
    // After that: so many of the rows that it keeps are gone as well, and somebody may know them.
    void lie(std::size_t rows);
    // Instead of that: this disk is gone, and here is its copy.
    void go_on_from_copy();
    void copy_follows();  // from now on
    std::size_t copied() const { return copied_; }
    const std::vector<Kept>& kept() const { return kept_; }
    bool idle() const { return waiting_.empty(); }

    // The file beside the journal; empty: none. A copy has none.
    std::string checkpoint;

    // -- weather
    std::uint32_t sync_ms_max = 20;
    std::uint64_t full_until = 0;
    bool fails_next = false;
    std::uint32_t copy_lag_ms_max = 1'000;

private:
    void begin_batch();
    void end_batch();

    Agenda& agenda_;
    generate::Lots& lots_;
    Checker& checker_;
    const Trace& trace_;
    std::vector<Kept> kept_;
    std::deque<Kept> waiting_;
    std::size_t copied_ = 0;
    std::size_t batch_ = 0;  // of those that wait, being written now
    bool room_ = true;
    std::uint64_t answers_at_ = 0;
    DiskEvents events_;
    Mortal life_;
};

}  // namespace honbu::simulation

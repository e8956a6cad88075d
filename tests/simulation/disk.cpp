#include "tests/simulation/disk.h"

#include <algorithm>

#include "tests/simulation/as_told.h"

namespace honbu::simulation {

void Disk::serve(DiskEvents events) {
    life_ = Mortal();
    events_ = std::move(events);
    room_ = true;
}

void Disk::append(Kept row) {
    checker_.appended(row.number, {row.bytes, typed_beside(row.beside), erased_beside(row.beside)});
    waiting_.push_back(std::move(row));
    if (batch_ == 0) begin_batch();
}

void Disk::begin_batch() {
    batch_ = waiting_.size();
    if (batch_ == 0) return;
    agenda_.in(lots_.from_to(1, sync_ms_max), life_.while_alive([this] { end_batch(); }));
}

void Disk::end_batch() {
    if (fails_next) {
        fails_next = false;
        trace_.line("disk", "a sync failed");
        events_.failed();
        return;
    }
    if (agenda_.now() < full_until) {
        if (room_) {
            trace_.line("disk", "is full");
            room_ = false;
            events_.room(false);
        }
        agenda_.in(1000, life_.while_alive([this] { end_batch(); }));
        return;
    }
    for (; batch_ > 0; --batch_) {
        kept_.push_back(std::move(waiting_.front()));
        waiting_.pop_front();
    }
    const RecordNumber number = kept_.back().number;
    checker_.kept(number);
    if (!room_) {
        room_ = true;
        events_.room(true);
    }
    // The answer goes from the journal's thread to the hub's, which takes a moment.
    answers_at_ = std::max(answers_at_, agenda_.now() + lots_.below(3));
    agenda_.in(answers_at_ - agenda_.now(),
               life_.while_alive([this, number] { events_.committed(number); }));
    begin_batch();
}

void Disk::cut_power() {
    life_ = Mortal();
    std::size_t stay = 0;
    switch (lots_.below(5)) {
    case 0:
    case 1: break;
    case 2:
    case 3: stay = batch_; break;
    default: stay = lots_.below(static_cast<std::uint32_t>(waiting_.size()) + 1); break;
    }
    trace_.line("disk", "power cut: " + std::to_string(stay) + " of " +
                            std::to_string(waiting_.size()) + " unsynced records stay");
    for (; stay > 0; --stay) {
        kept_.push_back(std::move(waiting_.front()));
        waiting_.pop_front();
    }
    waiting_.clear();
    batch_ = 0;
    checker_.power_cut(kept_.empty() ? RecordNumber{} : kept_.back().number);
}

void Disk::lie(std::size_t rows) {
    kept_.resize(kept_.size() - std::min(rows, kept_.size()));
    trace_.line("disk", "lied: it ends with record " + std::to_string(kept_.size()));
    checker_.lost(RecordNumber{static_cast<std::uint32_t>(kept_.size())}, true);
}

void Disk::copy_follows() {
    const std::size_t now = kept_.size();
    agenda_.in(lots_.from_to(1, copy_lag_ms_max), [this, now] {
        copied_ = std::max(copied_, std::min(now, kept_.size()));
        copy_follows();
    });
}

// The copy is the disk from here on, and what it will be copied to is empty yet.
void Disk::go_on_from_copy() {
    life_ = Mortal();
    waiting_.clear();
    batch_ = 0;
    const std::size_t lost = kept_.size() - copied_;
    kept_.resize(copied_);
    checkpoint.clear();
    trace_.line("disk", "the machine is gone; its copy ends with record " +
                            std::to_string(copied_) + ", " + std::to_string(lost) + " earlier");
    checker_.lost(RecordNumber{static_cast<std::uint32_t>(copied_)}, false);
    copied_ = 0;
}

}  // namespace honbu::simulation

// The journal as the core sees it, with a stopwatch: how long each record took to get to the disk,
// and how much waits. Passes everything on unchanged. Hub thread.
#pragma once

#include <cstddef>
#include <cstdint>
#include <deque>
#include <functional>
#include <string>
#include <utility>
#include <vector>

#include "hub/core/ports.h"

namespace honbu {

class TimedJournal final : public JournalPort {
public:
    using Clock = std::function<std::uint64_t()>;  // microseconds, never falling
    TimedJournal(JournalPort& journal, Clock clock) : journal_(journal), clock_(std::move(clock)) {}

    void append(RecordNumber number, std::string bytes, std::vector<Beside> beside) override {
        waiting_.push_back({number, clock_(), bytes.size()});
        waiting_bytes_ += bytes.size();
        journal_.append(number, std::move(bytes), std::move(beside));
    }

    // `took` gets the microseconds of each record that is on the disk now.
    template<class Took> void committed(RecordNumber number, const Took& took) {
        const std::uint64_t now = clock_();
        while (!waiting_.empty() && waiting_.front().number <= number) {
            took(now - waiting_.front().since_us);
            waiting_bytes_ -= waiting_.front().bytes;
            waiting_.pop_front();
        }
    }
    std::size_t waiting_bytes() const { return waiting_bytes_; }
    // How long what has waited longest has waited; 0: nothing waits.
    std::uint64_t longest_us() const {
        return waiting_.empty() ? 0 : clock_() - waiting_.front().since_us;
    }

private:
    struct Waiting {
        RecordNumber number;
        std::uint64_t since_us = 0;
        std::size_t bytes = 0;
    };
    JournalPort& journal_;
    Clock clock_;
    std::deque<Waiting> waiting_;
    std::size_t waiting_bytes_ = 0;
};

}  // namespace honbu

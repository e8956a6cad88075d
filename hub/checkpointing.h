// Beside a running hub, in its idle time: looks at the records that a start passed over, and makes
// the next checkpoint.
//
// On a thread of its own, which runs when nobody else wants the processor, and from the file: it
// folds what has come since the last checkpoint in a Hub of its own, so nothing waits for it. What
// it finds wrong is said to the desk and in the log, and the checkpoint is taken away: the next
// start reads all, and refuses. Where it could not look, it looks again later. What tells runs on
// that thread. The hub's thread never waits for it, not even for a lock: whoever has the processor
// last may hold one for long.
#pragma once

#include <atomic>
#include <cstdint>
#include <filesystem>
#include <functional>
#include <string>
#include <thread>

#include <semaphore.h>

#include "hub/core/hub.h"
#include "hub/fault.h"

namespace honbu {

class Checkpointing {
public:
    struct Parts {
        std::function<void(const std::string&)> damaged;  // the journal, in words
        std::function<void(const std::string&)> log;      // a line for whoever runs the hub
    };
    // `from`: the record of the checkpoint that the start began with; 0: it has read all.
    Checkpointing(std::filesystem::path folder, RecordNumber from, RecordNumber end, Parts parts);
    ~Checkpointing();

    void committed(RecordNumber number);  // hub thread
    void close();
    // When the hub has stopped: of the state that it has.
    void keep(const Hub& hub);

private:
    enum class Looked { whole, damaged, could_not, broken_off };
    void run();
    bool due() const { return last_ >= due_; }
    void wait_for_bell(bool at_most_a_while);
    Looked look_at_all(std::string& words);  // what is wrong, or why it could not look
    OrFault<void> make();

    const std::filesystem::path folder_;
    const Parts parts_;
    const bool passed_over_;
    // its thread; before and after its life: whoever opens and closes
    RecordNumber made_;
    bool is_damaged_ = false;
    // any thread
    std::atomic<std::uint32_t> due_;  // with this record
    std::atomic<std::uint32_t> last_;
    std::atomic<bool> closing_{false};
    // POSIX's, since to ring it takes no lock; std's of g++ 12 can sleep on
    // (https://gcc.gnu.org/PR104928, from memory).
    struct Bell {
        Bell() { sem_init(&rung, 0, 0); }
        ~Bell() { sem_destroy(&rung); }
        Bell(const Bell&) = delete;
        Bell& operator=(const Bell&) = delete;
        sem_t rung;
    } bell_;

    std::thread thread_;  // last: starts when everything above is there
};

}  // namespace honbu

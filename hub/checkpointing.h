// Beside a running hub, in its idle time: looks at the records that a start passed over, and makes
// the next checkpoint.
//
// On a thread of its own, which runs when nobody else wants the processor, and from the file: it
// folds what has come since the last checkpoint in a Hub of its own, so nothing waits for it. What
// it finds wrong is said to the desk and in the log, and the checkpoint is taken away: the next
// start reads all, and refuses. What tells runs on that thread.
#pragma once

#include <condition_variable>
#include <filesystem>
#include <functional>
#include <mutex>
#include <optional>
#include <string>
#include <thread>

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
    void run();
    bool stopping();
    std::optional<std::string> look_at_all();  // what is wrong with the journal
    OrFault<void> make();

    const std::filesystem::path folder_;
    const Parts parts_;
    const bool passed_over_;
    // its thread; before and after its life: whoever opens and closes
    RecordNumber made_;
    bool is_damaged_ = false;
    // under the mutex
    std::mutex mutex_;
    std::condition_variable bell_;
    RecordNumber due_;  // with this one
    RecordNumber last_;
    bool closing_ = false;

    std::thread thread_;  // last: starts when everything above is there
};

}  // namespace honbu

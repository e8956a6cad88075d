// A second copy of a journal that is still being written, kept up to date from behind.
//
// A thread of its own follows on its own connection, so that a slow stick, a full one or one that
// is pulled out delays no acknowledgement: it is tried again every few seconds, and where it has
// got to is told each time that changes. What tells runs on that thread; whoever gives it carries
// it over.
#pragma once

#include <condition_variable>
#include <filesystem>
#include <functional>
#include <mutex>
#include <string>
#include <thread>

#include "hub/fault.h"
#include "hub/journal/copy.h"

namespace honbu {

class Mirror {
public:
    struct Now {
        RecordNumber kept;    // so far the mirror has it on its own disk
        bool known = false;   // whether it could be read yet
        std::string trouble;  // why it does not go on, for people; empty: it does
        friend bool operator==(const Now&, const Now&) = default;
    };
    // Begins at once. `from` holds a journal with a record in it, or soon will.
    Mirror(std::filesystem::path from, std::filesystem::path to,
           std::function<void(const Now&)> tell);
    ~Mirror();
    // Any thread: there is something new to copy.
    void more();
    // Copies what is there, if it can, and ends. Says how it stands then.
    Now close();

private:
    void run();
    bool wait();  // false: closing
    std::string catch_up();

    const std::filesystem::path from_;
    const std::filesystem::path to_;
    const std::function<void(const Now&)> tell_;
    // mirror thread
    std::unique_ptr<JournalCopy> copy_;
    Now now_;
    unsigned failures_ = 0;  // in a row
    // under the mutex
    std::mutex mutex_;
    std::condition_variable bell_;
    bool more_ = true;
    bool closing_ = false;

    std::thread thread_;  // last: starts when everything above is there
};

}  // namespace honbu

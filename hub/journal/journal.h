// The journal: keeps records for good, in order, and says when they are kept.
//
// append() queues and returns; a thread of the journal's own takes all that waits, writes it in one
// transaction with one sync (group commit), and only then names the highest number kept. Tables
// that were answered together go on together, so after a sync it waits a moment for as many as it
// had, as long as they do come: else half of them would always wait for the other half. While the
// disk is full, or another program holds the database, nothing is acknowledged: the same batch is
// tried again each second until there is room. A write or sync that fails in any other way ends the
// process (exit 70), since nobody knows what is on the disk then; the next start replays.
// docs/journal.md tells it in full.
#pragma once

#include <condition_variable>
#include <filesystem>
#include <functional>
#include <memory>
#include <mutex>
#include <string>
#include <thread>
#include <vector>

#include "hub/core/ports.h"
#include "hub/fault.h"
#include "hub/journal/file.h"

namespace honbu {

// Called on the journal's thread; whoever gives them carries them over to the hub's.
struct JournalEvents {
    std::function<void(RecordNumber)> committed;  // all up to this one is on the disk
    std::function<void(bool)> room;               // false: nothing can be kept for now; true: again
    std::function<void(const std::string&)> log;  // one line for whoever runs the hub
};

class Journal final : public JournalPort {
public:
    // From a copy: the next record appended must begin an epoch, and makes a journal of it. Takes
    // the folder's lock, makes what is missing, refuses what it can't read. Only the caller's
    // JournalReader has checked what is in it: read before appending.
    [[nodiscard]] static OrFault<std::unique_ptr<Journal>> open(const std::filesystem::path& folder,
                                                                JournalEvents events,
                                                                bool from_copy = false);
    ~Journal() override;

    // The wall clock at which the epoch begins: kept with record 1, which must come next.
    void begin(std::uint64_t begun_wall_ms);
    void append(RecordNumber number, std::string bytes, std::vector<Beside> beside) override;
    // So much waits for the disk that new calls are better refused than queued.
    bool crowded() const;
    // Writes what waits, tidies and closes the file. Nothing can be appended afterwards.
    void close();
    // After close(): what was erased may still stand in the log, since somebody read it.
    bool wants_wipe() const { return file_->wants_wipe(); }

private:
    Journal(std::unique_ptr<JournalFile> file, JournalEvents events, bool from_copy);
    void run();
    bool next_batch();
    void gather(std::unique_lock<std::mutex>& lock);
    bool keep();
    void tidy();
    void wipe(bool quiet);
    [[noreturn]] void stop_at_once();

    // constant
    const JournalEvents events_;
    // hub thread
    RecordNumber last_appended_;
    std::optional<std::uint64_t> begun_wall_ms_;
    bool leaves_copy_ = false;  // with the next record
    // journal thread; before and after its life: whoever opens and closes
    const std::unique_ptr<JournalFile> file_;
    std::vector<Entry> batch_;
    std::size_t last_batch_ = 0;
    unsigned gathered_in_vain_ = 0;   // times in a row
    unsigned without_gathering_ = 0;  // so many commits still to come
    unsigned wiped_in_vain_ = 0;      // times in a row, in quiet moments
    unsigned without_wiping_ = 0;     // so many commits still to come
    // under the mutex
    mutable std::mutex mutex_;
    std::condition_variable bell_;
    std::vector<Entry> queue_;
    std::size_t worth_a_bell_ = 1;   // rung when so many wait
    std::size_t waiting_bytes_ = 0;  // queued or being written
    bool closing_ = false;

    std::thread thread_;  // last: starts when everything above is there
};

}  // namespace honbu

#include "hub/journal/journal.h"

#include <algorithm>
#include <chrono>
#include <cstdlib>
#include <utility>

#include "hub/insist.h"

namespace honbu {
namespace {

using namespace std::chrono_literals;

constexpr std::size_t waiting_bytes_max = 16U * 1024U * 1024U;
constexpr auto quiet_for = 250ms;
constexpr auto try_again_after = 1s;
// Less than most disks take for a sync: about what twenty tables take to hear and to answer.
constexpr auto gather_for = 2ms;
constexpr unsigned vain_at_most = 6;  // 64 commits without gathering
// Of an emptying of the log: so many quiet moments in vain are worth a word; and the commits
// between two times that it is tried where no moment is quiet.
constexpr unsigned worth_a_word = 40;
constexpr unsigned commits_without_wiping = 64;
constexpr int exit_write_failed = 70;  // EX_SOFTWARE; starting it again replays

std::size_t size_of(const Entry& entry) {
    std::size_t size = entry.bytes.size();
    for (const Beside& beside : entry.beside)
        size += beside.key.size() + beside.value.size();
    return size;
}

}  // namespace

OrFault<std::unique_ptr<Journal>> Journal::open(const std::filesystem::path& folder,
                                                JournalEvents events, bool from_copy) {
    auto file = JournalFile::open(folder, from_copy ? JournalFile::Use::leave_copy
                                                    : JournalFile::Use::journal);
    if (!file) return file.error();
    return std::unique_ptr<Journal>(new Journal(std::move(*file), std::move(events), from_copy));
}

Journal::Journal(std::unique_ptr<JournalFile> file, JournalEvents events, bool from_copy)
    : events_(std::move(events)), last_appended_(file->end().number), leaves_copy_(from_copy),
      file_(std::move(file)), thread_([this] { run(); }) {}

Journal::~Journal() { close(); }

// -- hub thread -----------------------------------------------------------------------------------

void Journal::begin(std::uint64_t begun_wall_ms) {
    INSIST(last_appended_ == RecordNumber{});
    begun_wall_ms_ = begun_wall_ms;
}

void Journal::append(RecordNumber number, std::string bytes, std::vector<Beside> beside) {
    INSIST(number.value == last_appended_.value + 1);
    last_appended_ = number;
    Entry entry{number, std::move(bytes), std::move(beside), std::exchange(begun_wall_ms_, {}),
                std::exchange(leaves_copy_, false)};
    {
        const std::scoped_lock lock(mutex_);
        INSIST(!closing_);
        waiting_bytes_ += size_of(entry);
        queue_.push_back(std::move(entry));
        if (queue_.size() < worth_a_bell_) return;
    }
    bell_.notify_one();
}

bool Journal::crowded() const {
    const std::scoped_lock lock(mutex_);
    return waiting_bytes_ > waiting_bytes_max;
}

void Journal::close() {
    if (!thread_.joinable()) return;
    {
        const std::scoped_lock lock(mutex_);
        closing_ = true;
    }
    bell_.notify_one();
    thread_.join();
    file_->close();
}

// -- journal thread -------------------------------------------------------------------------------

void Journal::run() {
    while (next_batch()) {
        if (!keep()) return;
        const RecordNumber last = batch_.back().number;
        last_batch_ = batch_.size();
        std::size_t written = 0;
        for (const Entry& entry : batch_)
            written += size_of(entry);
        batch_.clear();
        {
            const std::scoped_lock lock(mutex_);
            waiting_bytes_ -= written;
        }
        events_.committed(last);
        if (file_->needs_checkpoint()) tidy();
        wipe(false);
    }
}

// Waits for something to write, and tidies when nothing comes for a while. False: closing.
bool Journal::next_batch() {
    std::unique_lock lock(mutex_);
    gather(lock);
    const auto something = [this] { return closing_ || !queue_.empty(); };
    while (!something()) {
        if (!file_->wants_checkpoint() && !file_->wants_wipe()) {
            bell_.wait(lock, something);
        } else if (!bell_.wait_for(lock, quiet_for, something)) {
            lock.unlock();
            if (file_->wants_checkpoint()) tidy();
            wipe(true);
            lock.lock();
        }
    }
    batch_.swap(queue_);
    return !batch_.empty();
}

// Where nobody comes in time, as with people at their tables, it is tried less and less often.
void Journal::gather(std::unique_lock<std::mutex>& lock) {
    const std::size_t expected = last_batch_ + queue_.size();
    if (last_batch_ < 2 && queue_.empty()) return;  // a table alone
    if (without_gathering_ > 0) {
        --without_gathering_;
        return;
    }
    worth_a_bell_ = expected;
    bell_.wait_for(lock, gather_for,
                   [this, expected] { return closing_ || queue_.size() >= expected; });
    const bool came = 2 * queue_.size() + last_batch_ >= 2 * expected;  // at least half of them
    worth_a_bell_ = 1;
    gathered_in_vain_ = came ? 0 : std::min(gathered_in_vain_ + 1, vain_at_most);
    without_gathering_ = came ? 0 : (1U << gathered_in_vain_) - 1;
}

// False: nothing can be kept and the hub is closing. Nothing of this batch was acknowledged.
bool Journal::keep() {
    using Kept = JournalFile::Kept;
    Kept told = Kept::yes;
    for (;;) {
        const Kept kept = file_->commit(batch_);
        if (kept == Kept::failed) stop_at_once();
        if (kept == Kept::yes) {
            if (told == Kept::yes) return true;
            events_.log(told == Kept::no_room
                            ? "There is room on the disk again; everything that waited is kept."
                            : "The journal is free again; everything that waited is kept.");
            events_.room(true);
            return true;
        }
        if (kept != told) {
            events_.log(kept == Kept::no_room
                            ? "The disk is full: nothing more is acknowledged until there is room. "
                              "Free some space on it; the hub goes on by itself. " +
                                  file_->why()
                            : "Another program holds the journal open: nothing more is "
                              "acknowledged until it lets go. Close it; the hub goes on by "
                              "itself.");
            events_.room(false);
            told = kept;
        }
        tidy();  // room in the file itself lets the log begin again
        std::unique_lock lock(mutex_);
        if (bell_.wait_for(lock, try_again_after, [this] { return closing_; })) {
            lock.unlock();
            if (file_->commit(batch_) == Kept::yes) return true;
            events_.log((told == Kept::no_room ? std::string("The disk is still full")
                                               : "Another program still holds the journal open") +
                        ": what was not acknowledged is not kept here. The tables have it and send "
                        "it again.");
            return false;
        }
    }
}

void Journal::tidy() {
    if (file_->checkpoint() == JournalFile::Kept::failed) stop_at_once();
}

// After something was erased, so that it is found in no file any more. Where another program reads
// the log this moment, it is tried again when it is quiet, or after some more commits.
void Journal::wipe(bool quiet) {
    if (!file_->wants_wipe()) return;
    if (!quiet && without_wiping_ > 0) {
        --without_wiping_;
        return;
    }
    const JournalFile::Kept kept = file_->wipe();
    if (kept == JournalFile::Kept::failed) stop_at_once();
    without_wiping_ = kept == JournalFile::Kept::yes ? 0 : commits_without_wiping;
    if (kept == JournalFile::Kept::yes) {
        if (wiped_in_vain_ >= worth_a_word) {
            events_.log("What was erased is gone from the journal's files now.");
        }
        wiped_in_vain_ = 0;
        return;
    }
    if (!quiet || ++wiped_in_vain_ != worth_a_word) return;
    events_.log("What was erased is shown nowhere any more, but stands in the journal's log until "
                "that can be emptied: another program reads the journal, or the disk is full. "
                "Close that program, or free some space; it is tried again all the time.");
}

void Journal::stop_at_once() {
    events_.log("The journal could not be written: " + file_->why() +
                ". The hub ends here, so that nothing is acknowledged that may not be kept. Check "
                "the disk, then start the hub again: it goes on from what is kept.");
    std::_Exit(exit_write_failed);
}

}  // namespace honbu

// The journal's file, opened for writing: commits batches, and tidies its write-ahead log.
//
// A commit is one transaction and one sync (WAL, synchronous=FULL). Checkpoints are never part of
// it: they cost the slowest percent of commits their time, so the owner asks for them in quiet
// moments. Holds the folder's Lock. One thread at a time.
#pragma once

#include <cstdint>
#include <filesystem>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "hub/core/ports.h"
#include "hub/fault.h"
#include "hub/journal/chain.h"
#include "hub/journal/database.h"
#include "hub/journal/lock.h"

namespace honbu {

struct Entry {
    RecordNumber number;
    std::string bytes;
    std::vector<Beside> beside;
    std::optional<std::uint64_t> begun_wall_ms;  // with record 1 only
    bool leaves_copy = false;                    // from here on the copy is a journal of its own
};

class JournalFile {
public:
    enum class Use {
        journal,     // a hub's own; a copy is refused
        copy,        // one that follows a journal; a hub's own is refused
        fill,        // the same, of which nobody goes on before it is whole
        leave_copy,  // a copy, which becomes a journal with the record that says so
    };
    // Makes the folder and the file if there is none.
    [[nodiscard]] static OrFault<std::unique_ptr<JournalFile>> open(
        const std::filesystem::path& folder, Use use = Use::journal);
    ~JournalFile();

    enum class Kept {
        yes,
        no_room,  // rolled back, as if it had not been tried; try again
        held,     // not begun, since another program holds the database; try again
        failed,   // nobody knows what is on the disk now; stop and replay
    };
    Kept commit(std::span<const Entry> entries);
    std::string why() const;  // the last failure, in words

    // The log has grown enough for a checkpoint in a quiet moment; or so far that it can't wait.
    bool wants_checkpoint() const;
    bool needs_checkpoint() const;
    Kept checkpoint();
    // Something was erased, and may stand in the log or in old pages yet. Said of a start as well.
    bool wants_wipe() const { return wipe_; }
    // Moves everything out of the log and empties it; no_room or held: not yet, try again.
    Kept wipe();
    // Empties the log and closes. A journal closed like this is a single file.
    void close();

    const ChainEnd& end() const { return end_; }

private:
    explicit JournalFile(Lock lock);
    int prepare();
    OrFault<void> check_use(Use use, const std::filesystem::path& folder);
    int write(std::span<const Entry> entries, ChainEnd& end, bool& erases);
    int erase(const std::string& key, bool& erases);
    Kept judge(int rc);
    void on_log_pages(int pages);

    Lock lock_;
    Database database_;
    // A box of their own, so that they go before the database does.
    struct Statements;
    std::unique_ptr<Statements> statements_;
    ChainEnd end_;
    int log_pages_ = 0;       // now in the log
    int log_pages_done_ = 0;  // at the last checkpoint
    bool held_ = false;       // the last transaction could not begin
    bool wipe_ = false;
    std::string why_;
};

}  // namespace honbu

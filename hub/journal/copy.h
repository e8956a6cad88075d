// A copy of a journal in a folder of its own, which can be brought up to date again and again.
//
// The copy is a journal as well, with the same records, names and checks, but marked: no hub goes
// on in it by mistake (honbu serve --from-copy begins a new epoch from it). Reads the journal as
// any JournalReader does, so that one may run beside a hub. One thread at a time.
#pragma once

#include <cstdint>
#include <filesystem>
#include <memory>
#include <vector>

#include "hub/fault.h"
#include "hub/journal/file.h"
#include "hub/journal/reader.h"

namespace honbu {

class JournalCopy {
public:
    // `to` is empty, not there, or holds an earlier part of this journal: what it has is read and
    // checked first. Nothing is written if it holds anything else.
    [[nodiscard]] static OrFault<std::unique_ptr<JournalCopy>> open(
        const std::filesystem::path& from, const std::filesystem::path& to,
        JournalFile::Use use = JournalFile::Use::copy);

    // Copies what has been added meanwhile, at most so many records, synced. True: there may be
    // more.
    [[nodiscard]] OrFault<bool> follow(std::size_t limit);
    const ChainEnd& end() const { return file_->end(); }  // of what is on its disk
    // What was erased is still in its log, since somebody reads it: follow() tries again.
    bool wants_wipe() const { return file_->wants_wipe(); }
    // False: after this fault it has to be opened anew.
    bool usable() const { return usable_; }
    // Tidies the copy: a single file that can be read anywhere.
    void close() { file_->close(); }

private:
    JournalCopy(std::unique_ptr<JournalReader> reader, std::unique_ptr<JournalFile> file,
                std::filesystem::path from, std::filesystem::path to)
        : reader_(std::move(reader)), file_(std::move(file)), from_(std::move(from)),
          to_(std::move(to)) {}
    OrFault<void> check_same_journal();
    Fault another_journal() const;

    const std::unique_ptr<JournalReader> reader_;
    const std::unique_ptr<JournalFile> file_;
    const std::filesystem::path from_;
    const std::filesystem::path to_;
    std::int64_t beside_seen_ = 0;
    bool usable_ = true;
};

}  // namespace honbu

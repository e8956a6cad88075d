#include "hub/journal/copy.h"

#include <algorithm>
#include <utility>

#include "engine/record/canon.h"
#include "hub/insist.h"
#include "hub/journal/schema.h"

namespace honbu {

OrFault<std::unique_ptr<JournalCopy>> JournalCopy::open(const std::filesystem::path& from,
                                                        const std::filesystem::path& to,
                                                        JournalFile::Use use) {
    std::error_code failed;
    if (std::filesystem::equivalent(from, to, failed)) {
        return Fault{"A copy of the journal in " + from.string() +
                     " can't be in the same folder. Name another one, best on another disk."};
    }
    auto reader = JournalReader::open(from);
    if (!reader) return Fault{"Nothing can be copied. " + reader.error().words};
    const auto mark = (*reader)->mark();
    if (!mark) return mark.error();
    if (*mark == mark_filling) {
        return Fault{"What is in " + from.string() +
                     " is no whole copy: a start that was to go on from one was broken off there. "
                     "Take the copy that it was made from."};
    }
    auto file = JournalFile::open(to, use);
    if (!file) return Fault{"The copy can't be written. " + file.error().words};
    std::unique_ptr<JournalCopy> copy(
        new JournalCopy(std::move(*reader), std::move(*file), from, to));
    if (copy->end().number == RecordNumber{}) return copy;
    if (const auto same = copy->check_same_journal(); !same) return same.error();
    // Nobody adds to a damaged copy and takes it for a good one.
    const auto kept = JournalReader::open(to);
    if (!kept) return kept.error();
    const auto read = (*kept)->records(
        [](RecordNumber, std::string_view, const Hash&) { return std::string(); });
    if (!read) {
        return Fault{"The copy in " + to.string() +
                     " is damaged, and nothing is wrong with the journal itself. Empty that "
                     "folder, or name another one: it is made anew. What was found: " +
                     read.error().words};
    }
    return copy;
}

Fault JournalCopy::another_journal() const {
    return Fault{"The folder " + to_.string() + " holds a copy of another journal than that in " +
                 from_.string() +
                 ", or of one that has gone on otherwise since. Choose another folder."};
}

OrFault<void> JournalCopy::check_same_journal() {
    const ChainEnd& last = end();
    const auto there = reader_->after(RecordNumber{last.number.value - 1}, 1);
    if (!there) return there.error();
    if (there->empty()) {
        return Fault{"The copy in " + to_.string() + " has more records (" +
                     std::to_string(last.number.value) + ") than the journal in " + from_.string() +
                     ". If that journal was cut off, go on from the copy: honbu serve --data NEW "
                     "--from-copy " +
                     to_.string() + "."};
    }
    if (sha256(there->front()) != last.hash) return another_journal();
    return {};
}

OrFault<bool> JournalCopy::follow(std::size_t limit) {
    usable_ = false;  // unless it gets to where that is known
    auto records = reader_->after(end().number, limit);
    if (!records) return records.error();
    if (records->empty()) {
        usable_ = true;
        if (file_->wants_wipe()) file_->wipe();
        return false;
    }
    std::vector<Entry> entries;
    entries.reserve(records->size());
    ChainEnd next = end();
    for (std::string& bytes : *records) {
        Entry entry;
        entry.number = RecordNumber{next.number.value + 1};
        if (!check_follows(next, entry.number, bytes).empty()) return another_journal();
        next = ChainEnd{entry.number, sha256(bytes)};
        entry.bytes = std::move(bytes);
        entries.push_back(std::move(entry));
    }
    // Names may be ahead of the records that brought them; those follow in a moment. So may their
    // erasures: a row with nothing in it.
    std::int64_t seen = beside_seen_;
    const auto beside = reader_->beside_since(
        seen, [&entries](std::string_view key, std::string_view value) {
            entries.front().beside.push_back({std::string(key), std::string(value), value.empty()});
        });
    if (!beside) return beside.error();
    if (entries.front().number == RecordNumber{1}) {
        const auto begun = reader_->begun_wall_ms();
        if (!begun) return begun.error();
        entries.front().begun_wall_ms = *begun;
    }
    using Kept = JournalFile::Kept;
    switch (file_->commit(entries)) {
    case Kept::yes: break;
    case Kept::no_room:
        usable_ = true;
        return Fault{"The disk of the copy in " + to_.string() + " is full: it ends at record " +
                     std::to_string(end().number.value) +
                     ". Free some space there, or name a folder on another disk."};
    case Kept::held:
        usable_ = true;
        return Fault{"Another program holds the copy in " + to_.string() +
                     " open. Close it, and copy again."};
    case Kept::failed:
        return Fault{"The copy in " + to_.string() + " could not be written: " + file_->why() +
                     ". Look at that disk; nothing is wrong with the journal itself."};
    }
    usable_ = true;
    beside_seen_ = seen;
    if (file_->wants_wipe()) file_->wipe();
    if (file_->wants_checkpoint()) file_->checkpoint();
    return entries.size() == limit;
}

}  // namespace honbu

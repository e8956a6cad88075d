#include "hub/journal/copy.h"

#include <algorithm>
#include <utility>

#include "engine/record/canon.h"
#include "hub/insist.h"

namespace honbu {

OrFault<std::unique_ptr<JournalCopy>> JournalCopy::open(const std::filesystem::path& from,
                                                        const std::filesystem::path& to) {
    std::error_code failed;
    if (std::filesystem::equivalent(from, to, failed)) {
        return Fault{"A copy of the journal in " + from.string() +
                     " can't be in the same folder. Name another one, best on another disk."};
    }
    auto reader = JournalReader::open(from);
    if (!reader) return reader.error();
    auto file = JournalFile::open(to, JournalFile::Use::copy);
    if (!file) return file.error();
    std::unique_ptr<JournalCopy> copy(
        new JournalCopy(std::move(*reader), std::move(*file), from, to));
    if (copy->end().number == RecordNumber{}) return copy;
    // Nobody adds to a damaged copy and takes it for a good one.
    const auto kept = JournalReader::open(to);
    if (!kept) return kept.error();
    const auto read = (*kept)->records(
        [](RecordNumber, std::string_view, const Hash&) { return std::string(); });
    if (!read) return read.error();
    if (const auto same = copy->check_same_journal(); !same) return same.error();
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
    auto records = reader_->after(end().number, limit);
    if (!records) return records.error();
    if (records->empty()) return false;
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
    // Names may be ahead of the records that brought them; those follow in a moment.
    std::int64_t seen = beside_seen_;
    const auto beside = reader_->beside_since(
        seen, [&entries](std::string_view key, std::string_view value) {
            entries.front().beside.push_back({std::string(key), std::string(value)});
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
        return Fault{"The disk of the copy in " + to_.string() + " is full: it ends at record " +
                     std::to_string(end().number.value) +
                     ". Free some space there, or name a folder on another disk."};
    case Kept::held:
        return Fault{"Another program holds the copy in " + to_.string() +
                     " open. Close it, and copy again."};
    case Kept::failed:
        return Fault{"The copy in " + to_.string() + " could not be written: " + file_->why() +
                     ". Look at that disk; nothing is wrong with the journal itself."};
    }
    beside_seen_ = seen;
    if (file_->wants_checkpoint()) file_->checkpoint();
    return entries.size() == limit;
}

}  // namespace honbu

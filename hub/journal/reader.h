// Reads a journal from its first record, and checks every link of it on the way.
//
// Opens the file read-only on a connection of its own, so it works beside a running hub: it sees
// what was committed when it began. A record that is missing, changed or out of place ends the
// reading with a sentence that names it; nothing is ever skipped. A journal that was stopped
// properly can also be read where nothing can be written. One thread at a time; records() reads on
// a second one, a few pieces ahead of whoever takes them.
#pragma once

#include <atomic>
#include <cstdint>
#include <filesystem>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "hub/fault.h"
#include "hub/journal/chain.h"
#include "hub/journal/database.h"
#include "hub/journal/read_ahead.h"

namespace honbu {

class JournalReader {
public:
    [[nodiscard]] static OrFault<std::unique_ptr<JournalReader>> open(
        const std::filesystem::path& folder);

    // Gives each record's bytes, in order, and their hash; a sentence that comes back ends it.
    // Returns where the chain ends. Behind a place that it has(), only those behind it.
    using EachRecord = std::function<std::string(RecordNumber, std::string_view, const Hash&)>;
    [[nodiscard]] OrFault<ChainEnd> records(const EachRecord& each, const ChainEnd& after = {});
    // Is that one of its records, with this hash?
    [[nodiscard]] OrFault<bool> has(const ChainEnd& place);
    // The bytes of the records after this one, at most so many; a running hub's audit reads them.
    // Looks at each record alone: that the chain holds was checked when it was replayed.
    [[nodiscard]] OrFault<std::vector<std::string>> after(RecordNumber number, std::size_t limit);
    using EachBeside = std::function<void(std::string_view key, std::string_view value)>;
    [[nodiscard]] OrFault<void> beside(const EachBeside& each);
    // Those written since `seen`, which is moved on; 0: all. Each writing gives a row a new place.
    [[nodiscard]] OrFault<void> beside_since(std::int64_t& seen, const EachBeside& each);
    // The wall clock at which the epoch began; nothing before record 1.
    [[nodiscard]] OrFault<std::optional<std::uint64_t>> begun_wall_ms();
    // Whose it is: 0 a hub's own, or a mark of schema.h.
    [[nodiscard]] OrFault<std::int64_t> mark();
    // SQLite's own check of the file's structure; slow on a big one. `stop` is asked all the while:
    // true breaks it off, with a fault.
    [[nodiscard]] OrFault<void> check_structure(const std::function<bool()>& stop = {});
    // A fault that this reader gave was the journal's own, and no trouble around it.
    bool found_damage() const { return damage_; }

private:
    explicit JournalReader(std::filesystem::path file) : file_(std::move(file)) {}
    void read_some(Statement& rows, ReadAhead::Piece& piece) const;
    Fault damaged(const std::string& what) const;
    // A failure of SQLite's: damage, unless it is about what is around the journal.
    Fault failed(int rc, const std::string& where = {}) const;

    const std::filesystem::path file_;
    mutable std::atomic<bool> damage_{false};  // also told on the thread that reads ahead
    Database database_;
    Statement after_;  // prepared when first asked for
    bool after_prepared_ = false;
};

}  // namespace honbu

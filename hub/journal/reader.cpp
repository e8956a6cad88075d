#include "hub/journal/reader.h"

#include <sqlite3.h>

#include "engine/record/canon.h"
#include "hub/journal/around.h"
#include "hub/journal/schema.h"

namespace honbu {
namespace {

// Stopped properly: all there is, is in the one file.
bool has_no_log(const std::filesystem::path& file) {
    std::error_code none;
    const auto size = std::filesystem::file_size(file.string() + "-wal", none);
    return none == std::errc::no_such_file_or_directory || (!none && size == 0);
}

// A first look, which makes the log's index if there is none: that needs a place one may write to.
int open_to_read(Database& database, const std::filesystem::path& file) {
    const bool single = has_no_log(file);
    std::int64_t tables = 0;
    int rc = database.open(file.string(), Database::Access::read_only);
    if (rc == SQLITE_OK) rc = database.ask("SELECT count(*) FROM sqlite_schema", tables);
    const int kind = rc & 0xFF;
    const bool place = kind == SQLITE_CANTOPEN || kind == SQLITE_READONLY ||
                       failed_for_room(database, rc, file);
    if (!place || !single) return rc;
    database.close();
    rc = database.open(file.string(), Database::Access::read_only_copy);
    return rc == SQLITE_OK ? database.ask("SELECT count(*) FROM sqlite_schema", tables) : rc;
}

}  // namespace

OrFault<std::unique_ptr<JournalReader>> JournalReader::open(const std::filesystem::path& folder) {
    const std::filesystem::path file = journal_file(folder);
    if (const auto there = check_not_cut_off(folder); !there) return there.error();
    std::error_code failed;
    if (!std::filesystem::exists(file, failed)) {
        return Fault{"There is no journal in " + folder.string() +
                     " (no file journal.sqlite). Name the folder the hub was given with --data."};
    }
    std::unique_ptr<JournalReader> reader(new JournalReader(file));
    Database& database = reader->database_;
    if (const int rc = open_to_read(database, file); rc != SQLITE_OK) {
        if (auto trouble = trouble_around(database, rc, file)) return *trouble;
    }
    const auto kind = look_at(database, file);
    if (!kind) return kind.error();
    if (*kind == Kind::empty) {
        return Fault{"The journal " + file.string() + " is empty: no hub has begun in it yet."};
    }
    return reader;
}

Fault JournalReader::damaged(const std::string& what) const {
    damage_ = true;
    return Fault{"The journal " + file_.string() + " is damaged: " + what +
                 ". Don't write to it; go on from a copy made earlier "
                 "(--from-copy)."};
}

Fault JournalReader::failed(int rc, const std::string& where) const {
    if (auto trouble = trouble_around(database_, rc, file_)) return *trouble;
    const int kind = rc & 0xFF;
    if (kind == SQLITE_INTERRUPT || kind == SQLITE_NOMEM) {
        return Fault{"The journal " + file_.string() + " could not be read to the end (" +
                     database_.why() + "). It is as it was."};
    }
    return damaged(where + database_.why());
}

OrFault<bool> JournalReader::has(const ChainEnd& place) {
    if (place.number == RecordNumber{}) return false;
    const auto there = after(RecordNumber{place.number.value - 1}, 1);
    if (!there) return there.error();
    return !there->empty() && sha256(there->front()) == place.hash;
}

OrFault<ChainEnd> JournalReader::records(const EachRecord& each, const ChainEnd& after) {
    Statement rows;
    const int rc = rows.prepare(
        database_, "SELECT number, hash, bytes FROM record WHERE number > ? ORDER BY number");
    if (rc != SQLITE_OK) return failed(rc);
    rows.bind_number(1, after.number.value);
    ReadAhead ahead([&](ReadAhead::Piece& piece) { read_some(rows, piece); }, after);
    for (;;) {
        const ReadAhead::Piece piece = ahead.next();
        for (const ReadAhead::Row& row : piece.rows) {
            const std::string_view bytes = std::string_view(piece.bytes).substr(row.from, row.size);
            if (std::string no = each(row.number, bytes, row.hash); !no.empty()) return Fault{no};
        }
        if (piece.fault) return *piece.fault;
        if (piece.last) return piece.end;
    }
}

// The next piece, checked. On the thread that reads ahead.
void JournalReader::read_some(Statement& rows, ReadAhead::Piece& piece) const {
    while (!piece.full()) {
        const int rc = rows.step();
        piece.last = rc != SQLITE_ROW;
        if (rc == SQLITE_DONE) return;
        if (rc != SQLITE_ROW) {
            piece.fault = failed(rc,
                                 "after record " + std::to_string(piece.end.number.value) + ": ");
            return;
        }
        // Out of range can only be damage: it is not the number that comes next.
        const std::int64_t kept = rows.number(0);
        const RecordNumber number{kept > 0 && kept <= 0xFFFF'FFFF ? static_cast<std::uint32_t>(kept)
                                                                  : 0U};
        const std::string_view bytes = rows.bytes(2);
        const Hash hash = sha256(bytes);
        std::string wrong = check_unchanged(number, hash, rows.bytes(1));
        if (const std::string gap = check_follows(piece.end, number, bytes); !gap.empty()) {
            if (wrong.empty() || number.value != piece.end.number.value + 1) wrong = gap;
        }
        if (!wrong.empty()) {
            piece.fault = damaged(wrong);
            piece.last = true;
            return;
        }
        piece.add(number, hash, bytes);
    }
}

OrFault<std::vector<std::string>> JournalReader::after(RecordNumber number, std::size_t limit) {
    if (!after_prepared_) {
        const int rc = after_.prepare(database_, "SELECT number, hash, bytes FROM record "
                                                 "WHERE number > ? ORDER BY number LIMIT ?");
        if (rc != SQLITE_OK) return failed(rc);
        after_prepared_ = true;
    }
    after_.bind_number(1, number.value);
    after_.bind_number(2, static_cast<std::int64_t>(limit));
    std::vector<std::string> out;
    std::string wrong;
    int rc = after_.step();
    for (; rc == SQLITE_ROW && wrong.empty(); rc = after_.step()) {
        const std::string_view bytes = after_.bytes(2);
        const RecordNumber next{static_cast<std::uint32_t>(number.value + out.size() + 1)};
        wrong = check_unchanged(next, sha256(bytes), after_.bytes(1));
        if (after_.number(0) != next.value) {
            wrong = "record " + std::to_string(next.value) + " is missing";
        }
        out.emplace_back(bytes);
    }
    // A read that lasts would keep the log from being tidied.
    const bool failed_to_read = wrong.empty() && rc != SQLITE_DONE;
    std::optional<Fault> fault;
    if (failed_to_read) fault = failed(rc, "after record " + std::to_string(number.value) + ": ");
    if (!wrong.empty()) fault = damaged(wrong);
    after_.reset();
    if (fault) return *fault;
    return out;
}

OrFault<void> JournalReader::beside(const EachBeside& each) {
    Statement rows;
    int rc = rows.prepare(database_, "SELECT key, value FROM beside ORDER BY key");
    if (rc != SQLITE_OK) return failed(rc);
    while ((rc = rows.step()) == SQLITE_ROW)
        each(rows.bytes(0), rows.bytes(1));
    if (rc != SQLITE_DONE) return failed(rc, "the names beside the records: ");
    return {};
}

OrFault<void> JournalReader::beside_since(std::int64_t& seen, const EachBeside& each) {
    Statement rows;
    int rc = rows.prepare(database_,
                          "SELECT key, value, rowid FROM beside WHERE rowid > ? ORDER BY rowid");
    if (rc != SQLITE_OK) return failed(rc);
    rows.bind_number(1, seen);
    while ((rc = rows.step()) == SQLITE_ROW) {
        each(rows.bytes(0), rows.bytes(1));
        seen = rows.number(2);
    }
    if (rc != SQLITE_DONE) return failed(rc, "the names beside the records: ");
    return {};
}

OrFault<std::optional<std::uint64_t>> JournalReader::begun_wall_ms() {
    std::int64_t found = -1;
    const int rc = database_.ask("SELECT value FROM meta WHERE key = 'begun_wall_ms'", found);
    if (rc != SQLITE_OK) return failed(rc);
    if (found < 0) return std::optional<std::uint64_t>();
    return std::optional<std::uint64_t>(static_cast<std::uint64_t>(found));
}

OrFault<std::int64_t> JournalReader::mark() {
    std::int64_t found = 0;
    const int rc = database_.ask("SELECT value FROM meta WHERE key = 'copy'", found);
    if (rc != SQLITE_OK) return failed(rc);
    return found;
}

OrFault<void> JournalReader::check_structure(const std::function<bool()>& stop) {
    std::string verdict;
    constexpr int steps_between = 1'000;  // of SQLite's machine: well under a millisecond
    if (stop) {
        const auto ask = [](void* asked) -> int {
            return (*static_cast<const std::function<bool()>*>(asked))() ? 1 : 0;
        };
        sqlite3_progress_handler(database_.raw(), steps_between, ask,
                                 const_cast<std::function<bool()>*>(&stop));
    }
    const int rc = database_.ask_text("PRAGMA integrity_check(1)", verdict);
    sqlite3_progress_handler(database_.raw(), 0, nullptr, nullptr);
    if (rc != SQLITE_OK) return failed(rc);
    if (verdict != "ok") return damaged(verdict);
    return {};
}

}  // namespace honbu

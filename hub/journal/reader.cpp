#include "hub/journal/reader.h"

#include <sqlite3.h>

#include "engine/record/canon.h"
#include "hub/journal/schema.h"

namespace honbu {

OrFault<std::unique_ptr<JournalReader>> JournalReader::open(const std::filesystem::path& folder) {
    const std::filesystem::path file = journal_file(folder);
    std::error_code failed;
    if (!std::filesystem::exists(file, failed)) {
        return Fault{"There is no journal in " + folder.string() +
                     " (no file journal.sqlite). Name the folder the hub was given with --data."};
    }
    std::unique_ptr<JournalReader> reader(new JournalReader(file));
    Database& database = reader->database_;
    if (database.open(file.string(), Database::Access::read_only) != SQLITE_OK) {
        return Fault{"The journal " + file.string() + " can't be opened (" + database.why() + ")."};
    }
    const auto kind = look_at(database, file);
    if (!kind) return kind.error();
    if (*kind == Kind::empty) {
        return Fault{"The journal " + file.string() + " is empty: no hub has begun in it yet."};
    }
    return reader;
}

Fault JournalReader::damaged(const std::string& what) const {
    return Fault{"The journal " + file_.string() + " is damaged: " + what +
                 ". Don't write to it; start from a copy made earlier."};
}

OrFault<ChainEnd> JournalReader::records(const EachRecord& each) {
    Statement rows;
    if (rows.prepare(database_, "SELECT number, hash, bytes FROM record ORDER BY number") !=
        SQLITE_OK) {
        return damaged(database_.why());
    }
    ChainEnd end;
    for (;;) {
        const int rc = rows.step();
        if (rc == SQLITE_DONE) return end;
        if (rc != SQLITE_ROW) {
            return damaged("after record " + std::to_string(end.number.value) + ": " +
                           database_.why());
        }
        // Out of range can only be damage: it is not the number that comes next.
        const std::int64_t kept = rows.number(0);
        const RecordNumber number{kept > 0 && kept <= 0xFFFF'FFFF ? static_cast<std::uint32_t>(kept)
                                                                  : 0U};
        const std::string_view bytes = rows.bytes(2);
        const Hash hash = sha256(bytes);
        std::string wrong = check_unchanged(number, hash, rows.bytes(1));
        if (const std::string gap = check_follows(end, number, bytes); !gap.empty()) {
            if (wrong.empty() || number.value != end.number.value + 1) wrong = gap;
        }
        if (!wrong.empty()) return damaged(wrong);
        if (std::string reason = each(number, bytes); !reason.empty()) return Fault{reason};
        end = ChainEnd{number, hash};
    }
}

OrFault<void> JournalReader::beside(const EachBeside& each) {
    Statement rows;
    int rc = rows.prepare(database_, "SELECT key, value FROM beside ORDER BY key");
    if (rc != SQLITE_OK) return damaged(database_.why());
    while ((rc = rows.step()) == SQLITE_ROW)
        each(rows.bytes(0), rows.bytes(1));
    if (rc != SQLITE_DONE) return damaged("the names beside the records: " + database_.why());
    return {};
}

OrFault<std::optional<std::uint64_t>> JournalReader::begun_wall_ms() {
    std::int64_t found = -1;
    if (database_.ask("SELECT value FROM meta WHERE key = 'begun_wall_ms'", found) != SQLITE_OK) {
        return damaged(database_.why());
    }
    if (found < 0) return std::optional<std::uint64_t>();
    return std::optional<std::uint64_t>(static_cast<std::uint64_t>(found));
}

OrFault<void> JournalReader::check_structure() {
    std::string verdict;
    if (database_.ask_text("PRAGMA integrity_check(1)", verdict) != SQLITE_OK) {
        return damaged(database_.why());
    }
    if (verdict != "ok") return damaged(verdict);
    return {};
}

}  // namespace honbu

#include "hub/journal/upgrade.h"

#include <algorithm>
#include <map>
#include <system_error>

#include <fcntl.h>
#include <sqlite3.h>
#include <unistd.h>

#include "engine/record/canon.h"
#include "hub/journal/around.h"
#include "hub/journal/lock.h"
#include "hub/journal/reader.h"
#include "hub/journal/schema.h"

namespace honbu {
namespace {

namespace fs = std::filesystem;

// All that a journal holds, so that two can be compared: the chain stands for every record.
struct Held {
    ChainEnd end;
    std::map<std::string, std::string> beside;
    std::optional<std::uint64_t> begun_wall_ms;
    std::int64_t mark = 0;

    bool same_as(const Held& other) const {
        return end.number == other.end.number && end.hash == other.end.hash &&
               beside == other.beside && begun_wall_ms == other.begun_wall_ms && mark == other.mark;
    }
};

OrFault<Held> held(const fs::path& folder) {
    const auto reader = JournalReader::open(folder);
    if (!reader) return reader.error();
    if (const auto structure = (*reader)->check_structure(); !structure) return structure.error();
    Held out;
    const auto end = (*reader)->records(
        [](RecordNumber, std::string_view, const Hash&) { return std::string(); });
    if (!end) return end.error();
    out.end = *end;
    const auto beside = (*reader)->beside([&out](std::string_view key, std::string_view value) {
        out.beside[std::string(key)] = value;
    });
    if (!beside) return beside.error();
    const auto begun = (*reader)->begun_wall_ms();
    if (!begun) return begun.error();
    out.begun_wall_ms = *begun;
    const auto mark = (*reader)->mark();
    if (!mark) return mark.error();
    out.mark = *mark;
    return out;
}

Fault failed(const fs::path& file, const Database& database, int rc) {
    if (auto trouble = trouble_around(database, rc, file)) return *trouble;
    return Fault{"The journal could not be upgraded: " + file.string() + ": " + database.why() +
                 ". It is as it was. Look at that disk, and say the same command again."};
}

bool sync_path(const fs::path& path) {
    const int file = ::open(path.c_str(), O_RDONLY | O_CLOEXEC);
    if (file < 0) return false;
    const bool synced = ::fsync(file) == 0;
    ::close(file);
    return synced;
}

// Page by page, log and all, by SQLite's own means.
int copy_pages(Database& from, const fs::path& to) {
    Database copy;
    int rc = copy.open(journal_file(to).string(), Database::Access::read_and_write);
    if (rc != SQLITE_OK) return rc;
    sqlite3_backup* const backup = sqlite3_backup_init(copy.raw(), "main", from.raw(), "main");
    if (backup == nullptr) return SQLITE_ERROR;
    sqlite3_backup_step(backup, -1);
    rc = sqlite3_backup_finish(backup);
    return rc;
}

// Under its name only once it is whole, read back and on the disk.
OrFault<void> make_copy(Database& database, const fs::path& folder, const fs::path& to,
                        const Held& before) {
    const Fault differs{"In " + to.string() +
                        " is a copy that is not of this journal as it is now. Move it away, and "
                        "say the same command again. The journal is as it was."};
    if (fs::exists(to)) {
        const auto there = held(to);
        return there && there->same_as(before) ? OrFault<void>() : OrFault<void>(differs);
    }
    const fs::path unfinished = to.string() + ".new";
    std::error_code no;
    fs::remove_all(unfinished, no);
    if (!fs::create_directory(unfinished, no)) {
        if (means_full(no.value())) return disk_is_full(folder);
        return Fault{"The copy can't be made: the folder " + unfinished.string() + " (" +
                     no.message() + "). The journal is as it was."};
    }
    const int rc = copy_pages(database, unfinished);
    if (rc != SQLITE_OK) {
        const Fault fault = failed(journal_file(folder), database, rc);
        fs::remove_all(unfinished, no);
        return fault;
    }
    const auto copied = held(unfinished);
    if (!copied) return copied.error();
    if (!copied->same_as(before)) return differs;
    for (const char* left : {"-shm", "-wal"})
        fs::remove(journal_file(unfinished).string() + left, no);  // empty: of the reading
    if (!sync_path(journal_file(unfinished)) || !sync_path(unfinished)) {
        return Fault{"The copy in " + unfinished.string() +
                     " could not be brought to the disk. The journal is as it was."};
    }
    fs::rename(unfinished, to, no);
    if (no || !sync_path(folder)) {
        return Fault{"The copy can't be put to " + to.string() + ". The journal is as it was."};
    }
    return {};
}

// From 3 to 4: what stands beside the records has a place of its own in the order in which it was
// written, by which copies follow. Until then it was SQLite's hidden one, which a VACUUM changes.
constexpr const char* from_3_to_4 = R"(
    BEGIN IMMEDIATE;
    CREATE TABLE beside_of_4(place INTEGER PRIMARY KEY AUTOINCREMENT, key TEXT NOT NULL UNIQUE,
        value BLOB NOT NULL) STRICT;
    INSERT INTO beside_of_4(place, key, value) SELECT rowid, key, value FROM beside ORDER BY rowid;
    DROP TABLE beside;
    ALTER TABLE beside_of_4 RENAME TO beside;
    PRAGMA user_version = 4;
    COMMIT;
)";

}  // namespace

OrFault<Upgraded> upgrade_journal_file(const fs::path& folder) {
    const fs::path file = journal_file(folder);
    auto lock = Lock::take(folder);
    if (!lock) return lock.error();
    const auto before = held(folder);
    if (!before) return before.error();

    Upgraded out;
    out.to = journal_schema;
    out.end = before->end;
    Database database;
    int rc = database.open(file.string(), Database::Access::read_and_write);
    if (rc == SQLITE_OK) rc = database.ask("PRAGMA user_version", out.from);
    if (rc == SQLITE_OK) rc = database.run("PRAGMA synchronous=FULL; PRAGMA secure_delete=ON");
    if (rc != SQLITE_OK) return failed(file, database, rc);
    if (out.from == journal_schema) return out;

    out.copy = folder / ("before-upgrade-" + std::to_string(out.from));
    if (const auto made = make_copy(database, folder, out.copy, *before); !made) {
        return made.error();
    }
    rc = database.run(from_3_to_4);
    if (rc != SQLITE_OK) {
        const Fault fault = failed(file, database, rc);
        if (database.in_transaction()) database.run("ROLLBACK");
        return fault;
    }
    sqlite3_wal_checkpoint_v2(database.raw(), nullptr, SQLITE_CHECKPOINT_TRUNCATE, nullptr,
                              nullptr);
    database.close();
    const auto after = held(folder);
    if (!after) return after.error();
    if (!after->same_as(*before)) {
        return Fault{"The journal in " + folder.string() +
                     " was upgraded, and is not what it was before. Don't use it; the copy in " +
                     out.copy.string() + " is good. Please report this."};
    }
    return out;
}

}  // namespace honbu

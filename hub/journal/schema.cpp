#include "hub/journal/schema.h"

#include <sqlite3.h>

#include "hub/journal/around.h"
#include "hub/journal/checkpoint_file.h"

namespace honbu {

std::filesystem::path journal_file(const std::filesystem::path& folder) {
    return folder / "journal.sqlite";
}

OrFault<void> check_not_cut_off(const std::filesystem::path& folder) {
    const std::filesystem::path file = journal_file(folder);
    const auto holds = [](const std::filesystem::path& name) {
        std::error_code none;
        const auto size = std::filesystem::file_size(name, none);
        return !none && size > 0;
    };
    if (holds(file)) return {};
    const std::string log = file.string() + "-wal";
    const bool has_log = holds(log);
    if (!has_log && !holds(checkpoint_file(folder))) return {};
    return Fault{"The journal " + file.string() + " is " +
                 (std::filesystem::exists(file) ? "empty" : "not there") +
                 ", and there was one: " + (has_log ? "its log (" + log + ")" : "its checkpoint") +
                 " is still in the folder. So it was cut off or taken away. Leave the folder as it "
                 "is; go on from a copy made earlier (--from-copy)."};
}

OrFault<Kind> look_at(Database& database, const std::filesystem::path& file) {
    std::int64_t tables = 0;
    std::int64_t application = 0;
    std::int64_t schema = 0;
    int rc = database.ask("SELECT count(*) FROM sqlite_schema", tables);
    if (rc == SQLITE_OK) rc = database.ask("PRAGMA application_id", application);
    if (rc == SQLITE_OK) rc = database.ask("PRAGMA user_version", schema);
    if (rc == SQLITE_NOTADB) {
        return Fault{
            "The file " + file.string() +
            " is not a journal (not an SQLite file at all). Move it away, or choose another "
            "folder."};
    }
    if (rc != SQLITE_OK) {
        if (auto trouble = trouble_around(database, rc, file)) return *trouble;
        return Fault{"The journal " + file.string() + " can't be read (" + database.why() +
                     "). Don't write to it; go on from a copy made earlier "
                     "(--from-copy)."};
    }
    if (tables == 0 && application == 0 && schema == 0) return Kind::empty;
    if (application != journal_application_id) {
        return Fault{"The file " + file.string() +
                     " belongs to another program. Choose another folder."};
    }
    if (schema > journal_schema) {
        return Fault{"The journal " + file.string() + " was written by a newer honbu (schema " +
                     std::to_string(schema) + ", this one reads " + std::to_string(journal_schema) +
                     "). Use that version; this one leaves it as it is."};
    }
    if (schema == 1 || schema == 2) {
        return Fault{"The journal " + file.string() +
                     " was begun with a version before the first release. Go on with that "
                     "version, or begin a new --data folder; this one leaves it as it is."};
    }
    if (schema < oldest_schema) {
        return Fault{"The journal " + file.string() + " names a schema that never was (" +
                     std::to_string(schema) +
                     "), so it is damaged. Don't write to it; go on from a copy made earlier "
                     "(--from-copy)."};
    }
    return schema < journal_schema ? Kind::older : Kind::journal;
}

int create_tables(Database& database) {
    // One transaction: a crash in between leaves an empty file, which the next start fills.
    return database.run(R"(
        BEGIN IMMEDIATE;
        CREATE TABLE record(number INTEGER PRIMARY KEY, hash BLOB NOT NULL, bytes BLOB NOT NULL)
            STRICT;
        CREATE TABLE beside(place INTEGER PRIMARY KEY AUTOINCREMENT, key TEXT NOT NULL UNIQUE,
            value BLOB NOT NULL) STRICT;
        CREATE TABLE meta(key TEXT PRIMARY KEY, value INTEGER NOT NULL) STRICT;
        PRAGMA application_id = 0x486F6E62;
        PRAGMA user_version = 4;
        COMMIT;
    )");
}

}  // namespace honbu

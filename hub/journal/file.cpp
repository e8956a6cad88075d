#include "hub/journal/file.h"

#include <cerrno>
#include <cstring>
#include <system_error>

#include <fcntl.h>
#include <sqlite3.h>
#include <unistd.h>

#include "engine/record/canon.h"
#include "hub/insist.h"
#include "hub/journal/around.h"
#include "hub/journal/schema.h"

namespace honbu {
namespace {

constexpr int log_pages_quiet = 4'000;  // 16 MiB: tidy when nobody waits
constexpr int log_pages_max = 64'000;   // 256 MiB: tidy between two commits

// A new file or folder is only there after a power cut if its folder was synced.
void sync_folder(const std::filesystem::path& folder) {
    const int file = ::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (file < 0) return;
    ::fsync(file);
    ::close(file);
}

OrFault<void> make_folder(const std::filesystem::path& folder) {
    std::error_code failed;
    if (std::filesystem::is_directory(folder, failed)) return {};
    if (std::filesystem::exists(folder, failed)) {
        return Fault{folder.string() + " is a file, not a folder. Choose another folder."};
    }
    std::filesystem::create_directories(folder, failed);
    if (failed) {
        if (means_full(failed.value())) return disk_is_full(folder);
        return Fault{"The folder " + folder.string() + " can't be made (" + failed.message() +
                     "). Choose another folder."};
    }
    sync_folder(std::filesystem::absolute(folder).parent_path());
    return {};
}

std::string_view view(const Hash& hash) {
    return {reinterpret_cast<const char*>(hash.data()), hash.size()};
}

}  // namespace

struct JournalFile::Statements {
    Statement begin;
    Statement commit;
    Statement record;
    Statement beside;
    Statement meta;
    Statement leave_copy;
    Statement all_beside;
    Statement none_beside;
    Statement beside_at;
    Statement wipe;
    Statement wiped;
};

OrFault<std::unique_ptr<JournalFile>> JournalFile::open(const std::filesystem::path& folder,
                                                        Use use) {
    if (const auto made = make_folder(folder); !made) return made.error();
    auto lock = Lock::take(folder);
    if (!lock) return lock.error();
    const std::filesystem::path name = journal_file(folder);
    std::unique_ptr<JournalFile> file(new JournalFile(std::move(*lock)));
    Database& database = file->database_;

    const auto fault = [&name, &database](int rc) {
        if (auto trouble = trouble_around(database, rc, name)) return *trouble;
        return Fault{"The journal " + name.string() + " can't be opened for writing (" +
                     database.why() + "). Choose another folder, or mend its permissions."};
    };
    if (const auto there = check_not_cut_off(folder); !there) return there.error();
    int rc = database.open(name.string(), Database::Access::read_and_write);
    if (rc != SQLITE_OK) return fault(rc);
    const auto kind = look_at(database, name);
    if (!kind) return kind.error();
    if (*kind == Kind::older) {
        return Fault{"The journal in " + folder.string() +
                     " is of an older honbu, and this one does not write to it. In a pause say: "
                     "honbu journal upgrade --data " +
                     folder.string() +
                     ". It makes a copy first, and then goes on. The journal is as it was."};
    }
    // Only now the first write: what this program doesn't know is left byte for byte as it was.
    std::string mode;
    if (!database.writable()) return fault(SQLITE_READONLY);
    rc = database.ask_text("PRAGMA journal_mode=WAL", mode);
    if (rc != SQLITE_OK) return fault(rc);
    if (mode != "wal") {
        return Fault{"The folder " + folder.string() +
                     " is on a disk that can't hold a journal (no shared memory there). Choose a "
                     "folder on a disk of this machine."};
    }
    rc = database.run("PRAGMA synchronous=FULL; PRAGMA wal_autocheckpoint=0;"
                      "PRAGMA cell_size_check=ON; PRAGMA secure_delete=ON");
    if (rc != SQLITE_OK) return fault(rc);
    if (*kind == Kind::empty) {
        rc = create_tables(database);
        if (rc != SQLITE_OK) return fault(rc);
        sync_folder(folder);
    }
    rc = file->prepare();
    if (rc != SQLITE_OK) return fault(rc);
    if (const auto may = file->check_use(use, folder); !may) return may.error();
    if (use == Use::copy || use == Use::fill) {
        rc = database.run(use == Use::copy ? "INSERT OR IGNORE INTO meta VALUES('copy', 1)"
                                           : "INSERT OR REPLACE INTO meta VALUES('copy', 2)");
        if (rc != SQLITE_OK) return fault(rc);
    }
    return file;
}

OrFault<void> JournalFile::check_use(Use use, const std::filesystem::path& folder) {
    std::int64_t copy = 0;
    database_.ask("SELECT value FROM meta WHERE key = 'copy'", copy);
    const bool empty = end_.number == RecordNumber{};
    const std::string name = folder.string();
    if (use == Use::journal && copy == mark_filling) {
        return Fault{"The journal in " + name +
                     " was to go on from a copy, and that start was broken off. Say the same "
                     "command again, with --from-copy."};
    }
    if (use == Use::journal && copy != 0) {
        return Fault{"The folder " + name +
                     " holds a copy of a journal. To go on from it, name a new folder and this "
                     "one: honbu serve --data NEW --from-copy " +
                     name + ". The copy itself stays as it is."};
    }
    if ((use == Use::copy || use == Use::fill) && copy == 0 && !empty) {
        return Fault{"The folder " + name +
                     " holds a hub's own journal, not a copy, and is left as it is. Choose another "
                     "folder."};
    }
    if (use == Use::copy && copy == mark_filling) {
        return Fault{"In " + name +
                     " a hub was to go on from a copy. Choose another folder for this copy."};
    }
    if (use == Use::leave_copy && copy == 0) {
        return Fault{"The folder " + folder.string() +
                     " holds a journal already. To go on with it leave --from-copy out; to go on "
                     "from a copy choose a new --data folder."};
    }
    return {};
}

JournalFile::JournalFile(Lock lock) : lock_(std::move(lock)) {}

JournalFile::~JournalFile() = default;

int JournalFile::prepare() {
    statements_ = std::make_unique<Statements>();
    Statements& s = *statements_;
    const auto ready = [this](Statement& statement, const char* sql) {
        return statement.prepare(database_, sql);
    };
    int rc = ready(s.begin, "BEGIN IMMEDIATE");
    if (rc == SQLITE_OK) rc = ready(s.commit, "COMMIT");
    if (rc == SQLITE_OK) rc = ready(s.record, "INSERT INTO record VALUES(?1, ?2, ?3)");
    if (rc == SQLITE_OK)
        rc = ready(s.beside, "INSERT OR REPLACE INTO beside(key, value) VALUES(?1, ?2)");
    if (rc == SQLITE_OK) rc = ready(s.meta, "INSERT INTO meta VALUES('begun_wall_ms', ?1)");
    if (rc == SQLITE_OK) rc = ready(s.leave_copy, "DELETE FROM meta WHERE key = 'copy'");
    if (rc == SQLITE_OK) {
        rc = ready(s.all_beside, "SELECT rowid, key, value FROM beside ORDER BY rowid");
    }
    if (rc == SQLITE_OK) rc = ready(s.none_beside, "DELETE FROM beside");
    if (rc == SQLITE_OK) {
        rc = ready(s.beside_at, "INSERT INTO beside(rowid, key, value) VALUES(?1, ?2, ?3)");
    }
    if (rc == SQLITE_OK) rc = ready(s.wipe, "INSERT OR REPLACE INTO meta VALUES('wipe', 1)");
    if (rc == SQLITE_OK) rc = ready(s.wiped, "DELETE FROM meta WHERE key = 'wipe'");
    if (rc != SQLITE_OK) return rc;
    std::int64_t wipe = 0;
    rc = database_.ask("SELECT value FROM meta WHERE key = 'wipe'", wipe);
    if (rc != SQLITE_OK) return rc;
    wipe_ = wipe != 0;  // the process that erased ended before all of it was done

    Statement last;
    rc = last.prepare(database_, "SELECT number, hash FROM record ORDER BY number DESC LIMIT 1");
    if (rc != SQLITE_OK) return rc;
    rc = last.step();
    if (rc == SQLITE_ROW) {
        end_.number = RecordNumber{static_cast<std::uint32_t>(last.number(0))};
        const std::string_view hash = last.bytes(1);
        // A damaged one is found and named by JournalReader before anything is appended.
        if (hash.size() == sizeof(Hash)) std::memcpy(end_.hash.data(), hash.data(), sizeof(Hash));
    }
    sqlite3_wal_hook(
        database_.raw(),
        [](void* self, sqlite3*, const char*, int pages) {
            static_cast<JournalFile*>(self)->on_log_pages(pages);
            return SQLITE_OK;
        },
        this);
    return rc == SQLITE_ROW || rc == SQLITE_DONE ? SQLITE_OK : rc;
}

JournalFile::Kept JournalFile::commit(std::span<const Entry> entries) {
    ChainEnd end = end_;
    bool erases = false;
    const int rc = write(entries, end, erases);
    if (rc != SQLITE_OK) return judge(rc);
    if (database_.has_moved()) {
        why_ =
            "its files are not in the folder any more. They were moved or deleted, or their disk "
            "is gone";
        return Kept::failed;
    }
    end_ = end;
    wipe_ = wipe_ || erases;
    return Kept::yes;
}

int JournalFile::write(std::span<const Entry> entries, ChainEnd& end, bool& erases) {
    Statements& s = *statements_;
    int rc = s.begin.run();
    held_ = (rc & 0xFF) == SQLITE_BUSY;
    if (rc != SQLITE_DONE) return rc;
    for (const Entry& entry : entries) {
        INSIST(check_follows(end, entry.number, entry.bytes).empty());
        end.number = entry.number;
        end.hash = sha256(entry.bytes);
        s.record.bind_number(1, entry.number.value);
        s.record.bind_bytes(2, view(end.hash));
        s.record.bind_bytes(3, entry.bytes);
        rc = s.record.run();
        if (rc != SQLITE_DONE) return rc;
        for (const Beside& beside : entry.beside) {
            if (beside.erased) {
                rc = erase(beside.key, erases);
                if (rc != SQLITE_DONE) return rc;
                continue;
            }
            s.beside.bind_text(1, beside.key);
            s.beside.bind_bytes(2, beside.value);
            rc = s.beside.run();
            if (rc != SQLITE_DONE) return rc;
        }
        if (entry.begun_wall_ms.has_value()) {
            s.meta.bind_number(1, static_cast<std::int64_t>(*entry.begun_wall_ms));
            rc = s.meta.run();
            if (rc != SQLITE_DONE) return rc;
        }
        if (entry.leaves_copy) {
            rc = s.leave_copy.run();
            if (rc != SQLITE_DONE) return rc;
        }
    }
    rc = s.commit.run();
    return rc == SQLITE_DONE ? SQLITE_OK : rc;
}

// The row stays, with nothing in it and in a new place, so that copies take it over. All others are
// written anew, each in its place: deleting every row at once makes SQLite overwrite every page of
// them (secure_delete), also what was left behind where rows once moved from page to page.
int JournalFile::erase(const std::string& key, bool& erases) {
    struct Row {
        std::int64_t place = 0;
        std::string key;
        std::string value;
    };
    Statements& s = *statements_;
    std::vector<Row> rows;
    std::int64_t last = 0;
    bool done = false;  // before: a copy is told again each time it is opened
    int rc = SQLITE_ROW;
    while ((rc = s.all_beside.step()) == SQLITE_ROW) {
        last = s.all_beside.number(0);
        if (s.all_beside.bytes(1) == key) {
            done = done || s.all_beside.bytes(2).empty();
            continue;
        }
        rows.push_back(
            {last, std::string(s.all_beside.bytes(1)), std::string(s.all_beside.bytes(2))});
    }
    s.all_beside.reset();
    if (rc != SQLITE_DONE || done) return rc;
    erases = true;
    rows.push_back({last + 1, key, {}});
    rc = s.none_beside.run();
    for (const Row& row : rows) {
        if (rc != SQLITE_DONE) return rc;
        s.beside_at.bind_number(1, row.place);
        s.beside_at.bind_text(2, row.key);
        s.beside_at.bind_bytes(3, row.value);
        rc = s.beside_at.run();
    }
    return rc == SQLITE_DONE ? s.wipe.run() : rc;
}

// Full is a promise not given; everything else is a disk we no longer know.
JournalFile::Kept JournalFile::judge(int rc) {
    if (held_) return Kept::held;
    const int system = database_.system_errno();
    why_ = rc == SQLITE_IOERR_FSYNC   ? "a sync failed: "
           : rc == SQLITE_IOERR_WRITE ? "a write failed: "
                                      : "";
    why_ += database_.why() + " (SQLite " + std::to_string(rc);
    if (system != 0) why_ += ", " + std::generic_category().message(system);
    why_ += ")";
    // IOERR_SHMSIZE: the log's index could not grow, before anything was written. IOERR_WRITE with
    // EDQUOT: the same as full, by quota. A sync that finds no room (IOERR_FSYNC) is a failed sync.
    const bool full = rc == SQLITE_FULL || rc == SQLITE_IOERR_SHMSIZE ||
                      (rc == SQLITE_IOERR_WRITE && means_full(system));
    if (database_.in_transaction() && database_.run("ROLLBACK") != SQLITE_OK) return Kept::failed;
    return full ? Kept::no_room : Kept::failed;
}

std::string JournalFile::why() const { return why_; }

void JournalFile::on_log_pages(int pages) {
    if (pages < log_pages_) log_pages_done_ = 0;  // the log has begun again from its start
    log_pages_ = pages;
}

// While a reader keeps the log from beginning again, only what has been added counts.
bool JournalFile::wants_checkpoint() const {
    return log_pages_ - log_pages_done_ >= log_pages_quiet;
}

bool JournalFile::needs_checkpoint() const {
    return wants_checkpoint() && log_pages_ >= log_pages_max;
}

JournalFile::Kept JournalFile::checkpoint() {
    held_ = false;
    const int rc = sqlite3_wal_checkpoint_v2(database_.raw(), nullptr, SQLITE_CHECKPOINT_PASSIVE,
                                             nullptr, nullptr);
    log_pages_done_ = log_pages_;
    // Busy: somebody reads; the next one will get further.
    if (rc == SQLITE_OK || rc == SQLITE_BUSY || rc == SQLITE_LOCKED) return Kept::yes;
    return judge(rc);
}

// Whoever reads the log now keeps it from being emptied; nobody here waits for that.
JournalFile::Kept JournalFile::wipe() {
    held_ = false;
    constexpr int a_moment_ms = 20;
    sqlite3_busy_timeout(database_.raw(), a_moment_ms);
    int rc = sqlite3_wal_checkpoint_v2(database_.raw(), nullptr, SQLITE_CHECKPOINT_TRUNCATE,
                                       nullptr, nullptr);
    if (rc == SQLITE_OK) {
        log_pages_ = log_pages_done_ = 0;
        rc = statements_->wiped.run();  // only now: a crash before it does all of this again
        if (rc == SQLITE_DONE) rc = SQLITE_OK;
    }
    sqlite3_busy_timeout(database_.raw(), Database::patience_ms);
    if (rc == SQLITE_OK) wipe_ = false;
    if (rc == SQLITE_OK) return Kept::yes;
    const int kind = rc & 0xFF;
    return kind == SQLITE_BUSY || kind == SQLITE_LOCKED ? Kept::held : judge(rc);
}

void JournalFile::close() {
    if (statements_ && wipe_) wipe();
    statements_.reset();
    // If it can't be done now (no room, a reader), the next start does it: the log is part of the
    // journal.
    sqlite3_wal_checkpoint_v2(database_.raw(), nullptr, SQLITE_CHECKPOINT_TRUNCATE, nullptr,
                              nullptr);
    database_.close();
}

}  // namespace honbu

#include "hub/journal/database.h"

#include <filesystem>

#include <sqlite3.h>
#include <unistd.h>

#include "hub/insist.h"

namespace honbu {
namespace {

// As the URI that tells SQLite to leave locks and log alone (sqlite.org/uri.html, "immutable").
std::string immutable(const std::string& file) {
    std::string uri = "file:";
    for (const char c : file) {
        const bool escaped = c == '%' || c == '?' || c == '#';
        uri += !escaped ? std::string(1, c) : c == '%' ? "%25" : c == '?' ? "%3f" : "%23";
    }
    return uri + "?immutable=1";
}

}  // namespace

Database::~Database() { close(); }

int Database::open(const std::string& file, Access access) {
    INSIST(raw_ == nullptr);
    const int how = access == Access::read_and_write ? SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE
                                                     : SQLITE_OPEN_READONLY;
    const bool copy = access == Access::read_only_copy;
    const std::string name = copy ? immutable(std::filesystem::absolute(file).string()) : file;
    // NOMUTEX: one thread at a time is our own promise.
    const int rc = sqlite3_open_v2(
        name.c_str(), &raw_, how | (copy ? SQLITE_OPEN_URI : 0) | SQLITE_OPEN_NOMUTEX, nullptr);
    if (raw_ == nullptr || rc != SQLITE_OK) return rc;
    sqlite3_extended_result_codes(raw_, 1);
    // A writer is asked again by the journal itself, which says why it waits.
    sqlite3_busy_timeout(raw_, access == Access::read_and_write ? patience_ms : 5'000);
    sqlite3_db_config(raw_, SQLITE_DBCONFIG_DEFENSIVE, 1, nullptr);
    sqlite3_db_config(raw_, SQLITE_DBCONFIG_TRUSTED_SCHEMA, 0, nullptr);
    return SQLITE_OK;
}

void Database::close() {
    if (raw_ == nullptr) return;
    sqlite3_close(raw_);
    raw_ = nullptr;
}

int Database::run(const char* sql) { return sqlite3_exec(raw_, sql, nullptr, nullptr, nullptr); }

int Database::ask(const char* sql, std::int64_t& found) {
    Statement statement;
    int rc = statement.prepare(*this, sql);
    if (rc != SQLITE_OK) return rc;
    rc = statement.step();
    if (rc == SQLITE_ROW) found = statement.number(0);
    return rc == SQLITE_ROW || rc == SQLITE_DONE ? SQLITE_OK : rc;
}

int Database::ask_text(const char* sql, std::string& found) {
    Statement statement;
    int rc = statement.prepare(*this, sql);
    if (rc != SQLITE_OK) return rc;
    rc = statement.step();
    if (rc == SQLITE_ROW) found = statement.bytes(0);
    return rc == SQLITE_ROW || rc == SQLITE_DONE ? SQLITE_OK : rc;
}

std::string Database::why() const { return raw_ == nullptr ? "no memory" : sqlite3_errmsg(raw_); }

int Database::system_errno() const { return sqlite3_system_errno(raw_); }

bool Database::writable() const { return sqlite3_db_readonly(raw_, "main") == 0; }

bool Database::has_moved() const {
    int moved = 0;
    sqlite3_file_control(raw_, "main", SQLITE_FCNTL_HAS_MOVED, &moved);
    const char* const log = sqlite3_filename_wal(sqlite3_db_filename(raw_, "main"));
    return moved != 0 || ::access(log, F_OK) != 0;
}

bool Database::in_transaction() const { return sqlite3_get_autocommit(raw_) == 0; }

Statement::~Statement() { sqlite3_finalize(raw_); }

int Statement::prepare(const Database& database, const char* sql) {
    INSIST(raw_ == nullptr);
    return sqlite3_prepare_v3(database.raw(), sql, -1, SQLITE_PREPARE_PERSISTENT, &raw_, nullptr);
}

void Statement::bind_number(int place, std::int64_t number) {
    INSIST(sqlite3_bind_int64(raw_, place, number) == SQLITE_OK);
}

void Statement::bind_text(int place, std::string_view text) {
    INSIST(sqlite3_bind_text64(raw_, place, text.data(), text.size(), SQLITE_STATIC, SQLITE_UTF8) ==
           SQLITE_OK);
}

void Statement::bind_bytes(int place, std::string_view bytes) {
    // A null pointer would bind NULL; an empty value is still a value.
    const char* start = bytes.empty() ? "" : bytes.data();
    INSIST(sqlite3_bind_blob64(raw_, place, start, bytes.size(), SQLITE_STATIC) == SQLITE_OK);
}

int Statement::step() { return sqlite3_step(raw_); }

int Statement::run() {
    const int rc = sqlite3_step(raw_);
    sqlite3_reset(raw_);
    return rc;
}

void Statement::reset() { sqlite3_reset(raw_); }

std::int64_t Statement::number(int column) const { return sqlite3_column_int64(raw_, column); }

std::string_view Statement::bytes(int column) const {
    const auto* start = static_cast<const char*>(sqlite3_column_blob(raw_, column));
    const int size = sqlite3_column_bytes(raw_, column);
    return start == nullptr ? std::string_view() : std::string_view(start, std::size_t(size));
}

}  // namespace honbu

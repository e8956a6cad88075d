// bare: the floor with a disk: what one turn of the loop has read is appended and synced at once,
// then acknowledged, then sent to everybody. One thread, which waits for the disk.
//
//     bench_bare fdatasync|sqlite FRAME_BYTES RECORD_BYTES FOLDER
//
// fdatasync: one write and one fdatasync to a file that grows. sqlite: one transaction in
// write-ahead-log mode, synchronous=FULL, without checkpoints, rows as the journal has them. An
// event is acknowledged and shown only when it is kept. Figures for people, no test.
#include <cstdio>
#include <cstdlib>
#include <string>
#include <string_view>

#include <fcntl.h>
#include <sqlite3.h>
#include <unistd.h>

#include "tests/bench/plain_server.h"

namespace {

using namespace honbu::bench;

class AppendedFile {
public:
    AppendedFile(const std::string& folder, std::size_t record_bytes)
        : record_(record_bytes, '.'),
          file_(open((folder + "/bare").c_str(), O_CREAT | O_WRONLY | O_APPEND | O_CLOEXEC, 0600)) {
        if (file_ < 0) give_up("the file");
    }
    void keep(std::span<const PlainEvent> events) {
        all_.clear();
        for (std::size_t i = 0; i < events.size(); ++i)
            all_ += record_;
        const auto size = static_cast<ssize_t>(all_.size());
        if (write(file_, all_.data(), all_.size()) != size) give_up("write");
        if (fdatasync(file_) != 0) give_up("fdatasync");
    }

private:
    std::string record_;
    std::string all_;
    int file_;
};

class Rows {
public:
    Rows(const std::string& folder, std::size_t record_bytes)
        : hash_(32, '#'), record_(record_bytes, '.') {
        check(sqlite3_open((folder + "/bare.sqlite").c_str(), &database_));
        run("PRAGMA journal_mode=WAL");
        run("PRAGMA synchronous=FULL; PRAGMA wal_autocheckpoint=0; CREATE TABLE record("
            "number INTEGER PRIMARY KEY, hash BLOB NOT NULL, bytes BLOB NOT NULL) STRICT");
        begin_ = ready("BEGIN IMMEDIATE");
        commit_ = ready("COMMIT");
        insert_ = ready("INSERT INTO record VALUES(?, ?, ?)");
    }
    void keep(std::span<const PlainEvent> events) {
        step(begin_);
        for (std::size_t i = 0; i < events.size(); ++i) {
            sqlite3_bind_int64(insert_, 1, ++number_);
            bind(2, hash_);
            bind(3, record_);
            step(insert_);
        }
        step(commit_);
    }

private:
    void check(int rc) {
        if (rc == SQLITE_OK || rc == SQLITE_DONE || rc == SQLITE_ROW) return;
        std::fprintf(stderr, "sqlite: %s\n", sqlite3_errmsg(database_));
        std::exit(1);
    }
    void run(const char* sql) { check(sqlite3_exec(database_, sql, nullptr, nullptr, nullptr)); }
    sqlite3_stmt* ready(const char* sql) {
        sqlite3_stmt* out = nullptr;
        check(sqlite3_prepare_v2(database_, sql, -1, &out, nullptr));
        return out;
    }
    void bind(int place, std::string_view bytes) {
        check(sqlite3_bind_blob(insert_, place, bytes.data(), static_cast<int>(bytes.size()),
                                SQLITE_STATIC));
    }
    void step(sqlite3_stmt* statement) {
        check(sqlite3_step(statement));
        check(sqlite3_reset(statement));
    }

    std::string hash_;
    std::string record_;
    sqlite3* database_ = nullptr;
    sqlite3_stmt* begin_ = nullptr;
    sqlite3_stmt* commit_ = nullptr;
    sqlite3_stmt* insert_ = nullptr;
    sqlite3_int64 number_ = 0;
};

}  // namespace

int main(int argc, char** argv) {
    const std::string_view way = argc == 5 ? argv[1] : "";
    if (way != "fdatasync" && way != "sqlite") {
        std::fputs("bench_bare fdatasync|sqlite FRAME_BYTES RECORD_BYTES FOLDER\n", stderr);
        return 2;
    }
    allow_many_sockets();
    PlainServer server(std::strtoul(argv[2], nullptr, 10));
    const std::size_t record_bytes = std::strtoul(argv[3], nullptr, 10);
    if (way == "sqlite") {
        Rows rows(argv[4], record_bytes);
        server.run([&rows](std::span<const PlainEvent> events) { rows.keep(events); }, true);
    }
    AppendedFile file(argv[4], record_bytes);
    server.run([&file](std::span<const PlainEvent> events) { file.keep(events); }, true);
}

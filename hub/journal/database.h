// SQLite, as much of it as the journal needs: open, run, bind, step.
//
// Results are SQLite's own codes (0 is SQLITE_OK): what a code means is decided by whoever asked.
// A Database and its Statements belong to one thread at a time; Statements go first.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

struct sqlite3;
struct sqlite3_stmt;

namespace honbu {

class Database {
public:
    static constexpr int patience_ms = 1'000;  // of a writer, where another program holds the file
    enum class Access {
        read_only,
        read_only_copy,  // nobody writes to it: without a log and its index, which would be made
        read_and_write,
    };

    Database() = default;
    ~Database();
    Database(const Database&) = delete;
    Database& operator=(const Database&) = delete;

    int open(const std::string& file, Access access);
    void close();
    int run(const char* sql);
    // The first column of the first row; `found` stays as it is if there is no row.
    int ask(const char* sql, std::int64_t& found);
    int ask_text(const char* sql, std::string& found);
    std::string why() const;   // the last failure in SQLite's words
    int system_errno() const;  // and in the operating system's
    bool writable() const;
    // The file that it writes, or its log (after a commit there is one), is not under its name any
    // more: what is written now is nobody's after the end of this process.
    bool has_moved() const;
    bool in_transaction() const;
    sqlite3* raw() const { return raw_; }

private:
    sqlite3* raw_ = nullptr;
};

class Statement {
public:
    Statement() = default;
    ~Statement();
    Statement(const Statement&) = delete;
    Statement& operator=(const Statement&) = delete;

    int prepare(const Database& database, const char* sql);
    // Places count from 1. What is bound must live until the statement is next reset.
    void bind_number(int place, std::int64_t number);
    void bind_text(int place, std::string_view text);
    void bind_bytes(int place, std::string_view bytes);
    int step();
    int run();  // step once and reset: SQLITE_DONE or why not
    void reset();
    // Columns count from 0; views live until the next step.
    std::int64_t number(int column) const;
    std::string_view bytes(int column) const;

private:
    sqlite3_stmt* raw_ = nullptr;
};

}  // namespace honbu

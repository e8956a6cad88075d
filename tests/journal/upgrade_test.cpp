// A journal of an older schema: read as it is, never written to, and upgraded whole or not at all.
//
// The journals of schema 3 here are made by SQL of their own, as docs/journal.md had the tables
// then. Power cuts as in power_cut_test.cpp.
#include "hub/journal/upgrade.h"

#include <filesystem>
#include <map>

#include <gtest/gtest.h>
#include <sqlite3.h>
#include <sys/wait.h>
#include <unistd.h>

#include "engine/record/canon.h"
#include "hub/journal/copy.h"
#include "hub/journal/schema.h"
#include "tests/journal/power_cut.h"

namespace honbu {
namespace {

namespace fs = std::filesystem;

constexpr std::uint32_t records = 60;

struct UpgradeTest : testing::Test {
    UpgradeTest() {
        const fs::path memory = "/dev/shm";
        const bool in_memory = ::access(memory.c_str(), W_OK) == 0;
        std::string pattern =
            ((in_memory ? memory : fs::temp_directory_path()) / "honbu-upgrade-XXXXXX").string();
        EXPECT_NE(mkdtemp(pattern.data()), nullptr);
        top = pattern;
        make_of_schema_3(data());
    }
    ~UpgradeTest() override { fs::remove_all(top); }
    fs::path data() const { return top / "hub"; }

    static void run(sqlite3* database, const std::string& sql) {
        EXPECT_EQ(sqlite3_exec(database, sql.c_str(), nullptr, nullptr, nullptr), SQLITE_OK)
            << sqlite3_errmsg(database);
    }
    static void make_of_schema_3(const fs::path& folder) {
        fs::create_directories(folder);
        sqlite3* raw = nullptr;
        EXPECT_EQ(sqlite3_open(journal_file(folder).c_str(), &raw), SQLITE_OK);
        run(raw, R"(PRAGMA journal_mode=WAL; BEGIN;
            CREATE TABLE record(number INTEGER PRIMARY KEY, hash BLOB NOT NULL, bytes BLOB NOT NULL)
                STRICT;
            CREATE TABLE beside(key TEXT PRIMARY KEY, value BLOB NOT NULL) STRICT;
            CREATE TABLE meta(key TEXT PRIMARY KEY, value INTEGER NOT NULL) STRICT;
            INSERT INTO meta VALUES('begun_wall_ms', 1700000000000);
            PRAGMA application_id = 0x486F6E62; PRAGMA user_version = 3;)");
        const auto quoted = [](std::string_view bytes) { return "x'" + hex(bytes) + "'"; };
        Hash previous{};
        for (std::uint32_t n = 1; n <= records; ++n) {
            Record record;
            record.number = RecordNumber{n};
            record.previous = previous;
            record.hand = std::string(n * 7, 'h');
            record.fact = MatTaken{MatId{1}, Term{n}};
            const std::string bytes = encode(record);
            previous = sha256(bytes);
            run(raw, "INSERT INTO record VALUES(" + std::to_string(n) + ",x'" + hex(previous) +
                         "'," + quoted(bytes) + ")");
            run(raw, "INSERT OR REPLACE INTO beside VALUES('person/" + std::to_string(n % 40) +
                         "'," + quoted("Ilo " + std::to_string(n)) + ")");
        }
        run(raw, "COMMIT");
        sqlite3_close(raw);
    }
    struct Held {
        std::vector<std::string> records;
        std::vector<std::pair<std::string, std::string>> beside;  // in the order of their places
        std::string fault;
        friend bool operator==(const Held&, const Held&) = default;
    };
    static Held held(const fs::path& folder) {
        Held out;
        const auto reader = JournalReader::open(folder);
        if (!reader) return {{}, {}, reader.error().words};
        const auto read = (*reader)->records(
            [&out](RecordNumber, std::string_view bytes, const Hash&) {
                out.records.emplace_back(bytes);
                return std::string();
            });
        if (!read) out.fault = read.error().words;
        std::int64_t seen = 0;
        const auto beside = (*reader)->beside_since(
            seen, [&out](std::string_view key, std::string_view value) {
                out.beside.emplace_back(key, value);
            });
        if (!beside) out.fault += beside.error().words;
        return out;
    }
    static std::int64_t schema(const fs::path& folder) {
        Database database;
        std::int64_t found = 0;
        EXPECT_EQ(database.open(journal_file(folder).string(), Database::Access::read_only),
                  SQLITE_OK);
        database.ask("PRAGMA user_version", found);
        return found;
    }

    fs::path top;
};

TEST_F(UpgradeTest, AnOlderJournalIsReadButNotWrittenToAndTheWayIsSaid) {
    EXPECT_EQ(held(data()).records.size(), records);
    const auto refused = JournalFile::open(data());
    ASSERT_FALSE(refused);
    EXPECT_NE(refused.error().words.find("honbu journal upgrade --data " + data().string()),
              std::string::npos)
        << refused.error().words;
    EXPECT_EQ(schema(data()), 3);
    // A copy of it is a journal of this program's.
    const auto copy = JournalCopy::open(data(), top / "stick");
    ASSERT_TRUE(copy) << copy.error().words;
    ASSERT_TRUE((*copy)->follow(1'000));
    (*copy)->close();
    EXPECT_EQ(held(top / "stick").records, held(data()).records);
    EXPECT_EQ(schema(top / "stick"), journal_schema);
}

TEST_F(UpgradeTest, EverythingIsAsBeforeAndTheCopyToo) {
    const Held before = held(data());
    const auto done = upgrade_journal_file(data());
    ASSERT_TRUE(done) << done.error().words;
    EXPECT_EQ(done->from, 3);
    EXPECT_EQ(done->to, journal_schema);
    EXPECT_EQ(done->end.number, RecordNumber{records});
    EXPECT_EQ(schema(data()), journal_schema);
    EXPECT_EQ(held(data()), before);
    EXPECT_EQ(schema(done->copy), 3);
    EXPECT_EQ(held(done->copy), before);
    EXPECT_TRUE(JournalFile::open(data()));
    const auto again = upgrade_journal_file(data());
    ASSERT_TRUE(again);
    EXPECT_EQ(again->from, again->to);
}

TEST_F(UpgradeTest, NotWhileAHubRunsAndNotADamagedOne) {
    {
        const auto lock = Lock::take(data());
        const auto refused = upgrade_journal_file(data());
        ASSERT_FALSE(refused);
        EXPECT_NE(refused.error().words.find("Another hub"), std::string::npos);
    }
    sqlite3* raw = nullptr;
    ASSERT_EQ(sqlite3_open(journal_file(data()).c_str(), &raw), SQLITE_OK);
    run(raw, "UPDATE record SET bytes = x'00' WHERE number = 7");
    sqlite3_close(raw);
    const auto refused = upgrade_journal_file(data());
    ASSERT_FALSE(refused);
    EXPECT_NE(refused.error().words.find("record 7 is damaged"), std::string::npos);
    EXPECT_EQ(schema(data()), 3);
    EXPECT_FALSE(fs::exists(data() / "before-upgrade-3"));
}

TEST_F(UpgradeTest, ACopyOfAnotherStateIsNotTakenForThisOne) {
    make_of_schema_3(data() / "before-upgrade-3");
    sqlite3* raw = nullptr;
    ASSERT_EQ(sqlite3_open(journal_file(data() / "before-upgrade-3").c_str(), &raw), SQLITE_OK);
    run(raw, "DELETE FROM record WHERE number = " + std::to_string(records));
    sqlite3_close(raw);
    const auto refused = upgrade_journal_file(data());
    ASSERT_FALSE(refused);
    EXPECT_NE(refused.error().words.find("is not of this journal as it is now"), std::string::npos);
    EXPECT_EQ(schema(data()), 3);
}

// Killed, or the power gone, at each operation: old or new, whole; and the same command goes on.
TEST_F(UpgradeTest, BrokenOffAnywhereItIsOldOrNewAndWhole) {
    const Held before = held(data());
    int old_ones = 0;
    int new_ones = 0;
    for (std::uint64_t at = 1;; ++at) {
        fs::remove_all(data());
        make_of_schema_3(data());
        const pid_t child = fork();
        if (child == 0) {
            power::install({at, at * 31, false});
            ::_exit(upgrade_journal_file(data()) ? 0 : 1);
        }
        int status = 0;
        ASSERT_EQ(waitpid(child, &status, 0), child);
        ASSERT_TRUE(WIFEXITED(status));
        if (WEXITSTATUS(status) == 0) break;  // the power stayed to the end
        ASSERT_EQ(WEXITSTATUS(status), power::exit_power_cut) << at;
        EXPECT_EQ(held(data()), before) << "operation " << at;
        const std::int64_t now = schema(data());
        (now == 3 ? old_ones : new_ones) += 1;
        EXPECT_TRUE(now == 3 || now == journal_schema) << now;
        const auto again = upgrade_journal_file(data());
        ASSERT_TRUE(again) << "operation " << at << ": " << again.error().words;
        EXPECT_EQ(held(data()), before) << "operation " << at;
        EXPECT_EQ(schema(data()), journal_schema);
        EXPECT_EQ(held(data() / "before-upgrade-3"), before) << "operation " << at;
    }
    std::printf("%d cuts left the old one, %d the new one\n", old_ones, new_ones);
    EXPECT_GT(old_ones, 30);
    EXPECT_GT(new_ones, 0);
}

}  // namespace
}  // namespace honbu

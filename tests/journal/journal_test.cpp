// The journal keeps what it said it kept, in order, and names what is wrong with a file.
//
// Outside checks: SQLite itself, through its own C interface (every damage here is done with it or
// to the bytes of its file), and SHA-256 as in FIPS 180-4 for the chain.
#include "hub/journal/journal.h"

#include <filesystem>
#include <fstream>
#include <iterator>
#include <map>

#include <gtest/gtest.h>
#include <sqlite3.h>
#include <unistd.h>

#include "engine/record/canon.h"
#include "hub/journal/reader.h"
#include "hub/journal/schema.h"

namespace honbu {
namespace {

namespace fs = std::filesystem;

class JournalTest : public ::testing::Test {
protected:
    void SetUp() override {
        std::string pattern = (fs::temp_directory_path() / "honbu-journal-XXXXXX").string();
        ASSERT_NE(mkdtemp(pattern.data()), nullptr);
        folder_ = pattern;
    }
    void TearDown() override { fs::remove_all(folder_); }

    // A chain of mat 1 being taken again and again, long enough to fill a few pages.
    std::vector<std::string> chain(std::uint32_t count) const {
        std::vector<std::string> all;
        Hash previous{};
        for (std::uint32_t n = 1; n <= count; ++n) {
            Record record;
            record.number = RecordNumber{n};
            record.previous = previous;
            record.received = Instant{n * 10};
            record.hand = "Maja at the table of mat " + std::to_string(n % 4 + 1);
            record.fact = MatTaken{MatId{1}, Term{n}};
            all.push_back(encode(record));
            previous = sha256(all.back());
        }
        return all;
    }

    void keep(const std::vector<std::string>& records, std::uint32_t from = 1) {
        auto journal = open();
        if (from == 1) journal->begin(1'700'000'000'000);
        for (std::uint32_t n = from; n <= records.size(); ++n) {
            journal->append(RecordNumber{n}, records[n - 1], {});
        }
        journal->close();
    }

    std::unique_ptr<Journal> open(std::function<void(RecordNumber)> committed = {}) {
        if (!committed) committed = [](RecordNumber) {};
        auto journal = Journal::open(
            folder_, JournalEvents{std::move(committed), [](bool) {}, [](const std::string&) {}});
        EXPECT_TRUE(journal.has_value()) << (journal ? "" : journal.error().words);
        return std::move(*journal);
    }

    std::string refusal_to_open() {
        const auto journal = Journal::open(
            folder_, JournalEvents{[](RecordNumber) {}, [](bool) {}, [](const std::string&) {}});
        return journal ? "opened" : journal.error().words;
    }

    // What a reader gets: the records, and the sentence if it stops early.
    struct Read {
        std::vector<std::string> records;
        std::string fault;
    };
    static Read read(const fs::path& folder) {
        Read found;
        const auto reader = JournalReader::open(folder);
        if (!reader) return Read{{}, reader.error().words};
        const auto end = (*reader)->records(
            [&found](RecordNumber, std::string_view bytes, const Hash&) {
                found.records.emplace_back(bytes);
                return std::string();
            });
        if (!end) {
            found.fault = end.error().words;
        } else if (const auto structure = (*reader)->check_structure(); !structure) {
            found.fault = structure.error().words;
        }
        return found;
    }

    void sql(const std::string& statements) const {
        sqlite3* raw = nullptr;
        ASSERT_EQ(sqlite3_open(file().c_str(), &raw), SQLITE_OK);
        EXPECT_EQ(sqlite3_exec(raw, statements.c_str(), nullptr, nullptr, nullptr), SQLITE_OK)
            << sqlite3_errmsg(raw);
        sqlite3_close(raw);
    }

    fs::path file() const { return folder_ / "journal.sqlite"; }
    static std::string contents(const fs::path& name) {
        std::ifstream in(name, std::ios::binary);
        return {std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
    }
    static void write(const fs::path& name, const std::string& bytes) {
        std::ofstream(name, std::ios::binary) << bytes;
    }
    static bool says(const std::string& sentence, const std::string& part) {
        return sentence.find(part) != std::string::npos;
    }

    fs::path folder_;
};

TEST_F(JournalTest, KeepsRecordsInOrder) {
    const auto records = chain(200);
    keep(records);
    const Read found = read(folder_);
    EXPECT_EQ(found.fault, "");
    EXPECT_EQ(found.records, records);
}

// Promise 1: whoever hears "kept" can rely on it, so it must already be there for anyone who looks.
TEST_F(JournalTest, WhatItSaysIsKeptIsThereForEveryReader) {
    const auto records = chain(50);
    std::vector<std::uint32_t> said;
    std::vector<std::size_t> there;
    auto journal = open([&](RecordNumber number) {
        said.push_back(number.value);
        there.push_back(read(folder_).records.size());
    });
    for (std::uint32_t n = 1; n <= 50; ++n)
        journal->append(RecordNumber{n}, records[n - 1], {});
    journal->close();
    ASSERT_FALSE(said.empty());
    EXPECT_EQ(said.back(), 50U);
    for (std::size_t i = 0; i < said.size(); ++i) {
        EXPECT_GE(there[i], said[i]);
        EXPECT_GT(said[i], i > 0 ? said[i - 1] : 0U);
    }
}

TEST_F(JournalTest, GoesOnWhereItWasAfterReopening) {
    const auto records = chain(30);
    keep({records.begin(), records.begin() + 20});
    keep(records, 21);
    EXPECT_EQ(read(folder_).records, records);
}

TEST_F(JournalTest, KeepsTheLatestOfEachThingBesideTheChain) {
    const auto records = chain(3);
    auto journal = open();
    journal->begin(1'700'000'000'000);
    journal->append(RecordNumber{1}, records[0], {{"person/1", "Ana"}, {"person/2", ""}});
    journal->append(RecordNumber{2}, records[1], {{"person/1", std::string("A\0na", 4)}});
    journal->append(RecordNumber{3}, records[2], {});
    journal->close();

    const auto reader = JournalReader::open(folder_);
    ASSERT_TRUE(reader.has_value());
    std::map<std::string, std::string> beside;
    ASSERT_TRUE((*reader)
                    ->beside([&beside](std::string_view key, std::string_view value) {
                        beside[std::string(key)] = value;
                    })
                    .has_value());
    const std::map<std::string, std::string> expected{{"person/1", std::string("A\0na", 4)},
                                                      {"person/2", ""}};
    EXPECT_EQ(beside, expected);
    EXPECT_EQ((*reader)->begun_wall_ms().value(), 1'700'000'000'000U);
}

// The files of a hub that was killed: whatever was said to be kept is in the file and its log.
TEST_F(JournalTest, ACopyTakenInMidFlightHoldsAllThatWasKept) {
    const auto records = chain(120);
    const fs::path copy = folder_ / "copy";
    auto file = JournalFile::open(folder_);
    ASSERT_TRUE(file.has_value());
    for (std::uint32_t n = 1; n <= 120; ++n) {
        const std::vector<Entry> one{Entry{RecordNumber{n}, records[n - 1], {}, {}}};
        ASSERT_EQ((*file)->commit(one), JournalFile::Kept::yes);
        ASSERT_TRUE(n != 60 || (*file)->checkpoint() == JournalFile::Kept::yes);
        if (n % 40 != 0) continue;
        fs::remove_all(copy);
        fs::create_directory(copy);
        for (const char* name : {"journal.sqlite", "journal.sqlite-wal"}) {
            fs::copy_file(folder_ / name, copy / name);
        }
        EXPECT_EQ(read(copy).records.size(), n);
    }
}

// The log must not grow for a whole day: it is tidied in quiet moments and begins again.
TEST_F(JournalTest, TheLogBeginsAgainAfterACheckpoint) {
    auto file = JournalFile::open(folder_);
    ASSERT_TRUE(file.has_value());
    const auto records = chain(30'000);
    std::uint32_t n = 0;
    const auto commit_some = [&] {
        std::vector<Entry> batch;
        for (int i = 0; i < 8; ++i) {
            ++n;
            batch.push_back(Entry{RecordNumber{n}, records.at(n - 1), {}, {}});
        }
        ASSERT_EQ((*file)->commit(batch), JournalFile::Kept::yes);
    };
    while (!(*file)->wants_checkpoint() && n + 8 <= records.size())
        commit_some();
    ASSERT_TRUE((*file)->wants_checkpoint());
    const auto longest = fs::file_size(folder_ / "journal.sqlite-wal");
    ASSERT_EQ((*file)->checkpoint(), JournalFile::Kept::yes);
    EXPECT_FALSE((*file)->wants_checkpoint());
    commit_some();
    EXPECT_EQ(fs::file_size(folder_ / "journal.sqlite-wal"), longest);
    (*file)->close();
    EXPECT_FALSE(fs::exists(folder_ / "journal.sqlite-wal"));
    const Read found = read(folder_);
    EXPECT_EQ(found.fault, "");
    EXPECT_EQ(found.records.size(), n);
}

// -- damage ---------------------------------------------------------------------------------------

TEST_F(JournalTest, NamesARecordThatIsMissing) {
    keep(chain(10));
    sql("DELETE FROM record WHERE number = 4");
    const Read found = read(folder_);
    EXPECT_EQ(found.records.size(), 3U);
    EXPECT_TRUE(says(found.fault, "record 4 is missing; the next one there is record 5"))
        << found.fault;
}

TEST_F(JournalTest, NamesAMissingFirstRecord) {
    keep(chain(10));
    sql("DELETE FROM record WHERE number = 1");
    EXPECT_TRUE(says(read(folder_).fault, "record 1 is missing")) << read(folder_).fault;
}

TEST_F(JournalTest, NamesARecordThatWasCutShort) {
    keep(chain(10));
    sql("UPDATE record SET bytes = substr(bytes, 1, 20) WHERE number = 7");
    EXPECT_TRUE(says(read(folder_).fault, "record 7")) << read(folder_).fault;
}

TEST_F(JournalTest, NamesARecordWhoseBytesChanged) {
    keep(chain(10));
    sql("UPDATE record SET bytes = CAST(bytes || x'00' AS BLOB) WHERE number = 7");
    EXPECT_TRUE(says(read(folder_).fault, "record 7 is damaged")) << read(folder_).fault;
}

// Somebody who changes a record and its hash as well is found by the next record.
TEST_F(JournalTest, NamesTheRecordAfterAForgery) {
    const auto records = chain(10);
    keep(records);
    std::string forged = records[6];
    forged.back() = static_cast<char>(forged.back() ^ 1);
    sql("UPDATE record SET bytes = x'" + hex(forged) + "', hash = x'" + hex(sha256(forged)) +
        "' WHERE number = 7");
    const Read found = read(folder_);
    EXPECT_TRUE(says(found.fault, "record 8 does not carry the hash of the record before it"))
        << found.fault;
}

TEST_F(JournalTest, NamesARecordPutInAnothersPlace) {
    const auto records = chain(10);
    keep(records);
    sql("UPDATE record SET bytes = x'" + hex(records[2]) + "', hash = x'" +
        hex(sha256(records[2])) + "' WHERE number = 7");
    EXPECT_TRUE(says(read(folder_).fault, "record 7 says of itself that it is record 3"))
        << read(folder_).fault;
}

// A stick that went bad: one bit anywhere in the file. Either somebody notices, or the bit was in
// unused space and every record is what it was. Nothing in between, and no crash.
TEST_F(JournalTest, NoFlippedBitInTheFileGoesUnnoticed) {
    const auto records = chain(40);
    keep(records);
    const std::string good = contents(file());
    const fs::path bad = folder_ / "bad";
    fs::create_directory(bad);
    std::size_t noticed = 0;
    for (std::size_t at = 0; at < good.size(); at += 11) {
        std::string flipped = good;
        flipped[at] = static_cast<char>(flipped[at] ^ (1 << (at % 8)));
        write(bad / "journal.sqlite", flipped);
        const Read found = read(bad);
        if (found.fault.empty()) {
            ASSERT_EQ(found.records, records) << "flipped at " << at;
        } else {
            ++noticed;
        }
        fs::remove(bad / "journal.sqlite-wal");
        fs::remove(bad / "journal.sqlite-shm");
    }
    // 40 records of some 130 bytes with their hashes are most of these flips.
    EXPECT_GT(noticed, 40U * 130U / 11U);
}

// -- not ours to write ----------------------------------------------------------------------------

TEST_F(JournalTest, LeavesANewerJournalAsItIs) {
    keep(chain(3));
    sql("PRAGMA user_version = 5");
    const std::string before = contents(file());
    EXPECT_TRUE(
        says(refusal_to_open(), "was written by a newer honbu (schema 5, this one reads 4)"))
        << refusal_to_open();
    EXPECT_EQ(contents(file()), before);
    EXPECT_TRUE(says(read(folder_).fault, "newer honbu"));
}

// Nothing was released before schema 3: what a trial version wrote is not guessed at.
TEST_F(JournalTest, LeavesAJournalFromBeforeTheFirstReleaseAsItIs) {
    keep(chain(3));
    for (const char* before_release : {"PRAGMA user_version = 1", "PRAGMA user_version = 2"}) {
        sql(before_release);
        const std::string before = contents(file());
        const std::string words = refusal_to_open();
        EXPECT_TRUE(says(words, "was begun with a version before the first release")) << words;
        EXPECT_TRUE(says(words, "Go on with that version, or begin a new --data folder")) << words;
        EXPECT_EQ(contents(file()), before);
        EXPECT_TRUE(says(read(folder_).fault, "before the first release"));
    }
    sql("PRAGMA user_version = 0");
    EXPECT_TRUE(says(refusal_to_open(), "names a schema that never was (0)")) << refusal_to_open();
}

TEST_F(JournalTest, LeavesAnotherProgramsFileAsItIs) {
    sql("CREATE TABLE recipe(name TEXT)");
    const std::string before = contents(file());
    EXPECT_TRUE(says(refusal_to_open(), "belongs to another program")) << refusal_to_open();
    EXPECT_EQ(contents(file()), before);
}

TEST_F(JournalTest, LeavesAFileThatIsNoDatabaseAsItIs) {
    const std::string text(5'000, 'x');
    write(file(), text);
    EXPECT_TRUE(says(refusal_to_open(), "is not a journal")) << refusal_to_open();
    EXPECT_EQ(contents(file()), text);
}

// -- what is wrong around it ----------------------------------------------------------------------

// The log's index can't be made, as on a read-only stick (where root can't be kept out by
// permissions: SQLite follows no link there). One whole file is all there is, so it can be read.
TEST_F(JournalTest, ReadsAStoppedJournalWhereNothingCanBeWritten) {
    const auto records = chain(20);
    keep(records);
    const fs::path stick = folder_ / "100%25 what?#1";
    fs::create_directory(stick);
    fs::create_symlink("nowhere", stick / "journal.sqlite-shm");
    fs::copy_file(file(), stick / "journal.sqlite");
    const Read found = read(stick);
    EXPECT_EQ(found.fault, "");
    EXPECT_EQ(found.records, records);
}

// With a log beside it, the file alone is not the journal: better nothing than half of it.
TEST_F(JournalTest, SaysItIsThePlaceWhenALogCanNotBeRead) {
    auto file = JournalFile::open(folder_);
    ASSERT_TRUE(file.has_value());
    const std::vector<Entry> one{Entry{RecordNumber{1}, chain(1)[0], {}, {}}};
    ASSERT_EQ((*file)->commit(one), JournalFile::Kept::yes);
    const fs::path stick = folder_ / "stick";
    fs::create_directory(stick);
    fs::create_symlink("nowhere", stick / "journal.sqlite-shm");
    for (const char* name : {"journal.sqlite", "journal.sqlite-wal"}) {
        fs::copy_file(folder_ / name, stick / name);
    }
    const Read found = read(stick);
    EXPECT_TRUE(says(found.fault, "Mend the permissions")) << found.fault;
    EXPECT_TRUE(says(found.fault, "The journal is as it was")) << found.fault;
    EXPECT_FALSE(says(found.fault, "copy made earlier")) << found.fault;
}

// BEGIN IMMEDIATE of somebody else: nothing was written yet, so nothing is lost by waiting.
TEST_F(JournalTest, WaitsForAnotherProgramThatHoldsTheDatabase) {
    const auto records = chain(2);
    auto file = JournalFile::open(folder_);
    ASSERT_TRUE(file.has_value());
    const auto entry = [&records](std::uint32_t n) {
        return std::vector<Entry>{Entry{RecordNumber{n}, records[n - 1], {}, {}}};
    };
    ASSERT_EQ((*file)->commit(entry(1)), JournalFile::Kept::yes);
    sqlite3* other = nullptr;
    ASSERT_EQ(sqlite3_open(this->file().c_str(), &other), SQLITE_OK);
    ASSERT_EQ(sqlite3_exec(other, "BEGIN IMMEDIATE", nullptr, nullptr, nullptr), SQLITE_OK);
    EXPECT_EQ((*file)->commit(entry(2)), JournalFile::Kept::held);
    EXPECT_EQ(read(folder_).records.size(), 1U);
    sqlite3_close(other);
    EXPECT_EQ((*file)->commit(entry(2)), JournalFile::Kept::yes);
    EXPECT_EQ(read(folder_).records, records);
}

TEST_F(JournalTest, OneHubAtATime) {
    const auto first = open();
    EXPECT_TRUE(says(refusal_to_open(),
                     "Another hub (process " + std::to_string(getpid()) + ") is already running"))
        << refusal_to_open();
    first->close();
}

TEST_F(JournalTest, TheLockGoesWithItsHolder) {
    { const auto first = open(); }
    EXPECT_EQ(refusal_to_open(), "opened");
}

TEST_F(JournalTest, MakesTheFolderItIsGiven) {
    folder_ /= "a/b";
    EXPECT_EQ(refusal_to_open(), "opened");
    fs::remove_all(folder_);
    write(folder_, "a file");
    EXPECT_TRUE(says(refusal_to_open(), "is a file, not a folder")) << refusal_to_open();
    folder_ = folder_.parent_path().parent_path();
}

TEST_F(JournalTest, AFolderWithoutAJournalIsNamed) {
    EXPECT_TRUE(says(read(folder_).fault, "There is no journal in " + folder_.string()));
}

}  // namespace
}  // namespace honbu

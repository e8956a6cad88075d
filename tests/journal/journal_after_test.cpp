// What a running hub reads of its own journal for who audits: the records after a number.
//
// Outside check: SQLite's own C interface, by which the damage is done.
#include <filesystem>

#include <gtest/gtest.h>
#include <sqlite3.h>
#include <unistd.h>

#include "engine/record/canon.h"
#include "hub/journal/journal.h"
#include "hub/journal/reader.h"

namespace honbu {
namespace {

namespace fs = std::filesystem;

struct JournalAfter : testing::Test {
    void SetUp() override {
        std::string pattern = (fs::temp_directory_path() / "honbu-journal-XXXXXX").string();
        ASSERT_NE(mkdtemp(pattern.data()), nullptr);
        folder = pattern;
        auto opened = Journal::open(folder,
                                    {[](RecordNumber) {}, [](bool) {}, [](const std::string&) {}});
        ASSERT_TRUE(opened.has_value());
        journal = std::move(*opened);
        journal->begin(1'700'000'000'000);
    }
    void TearDown() override {
        reader.reset();
        journal.reset();
        fs::remove_all(folder);
    }
    void append(std::uint32_t count) {
        for (std::uint32_t i = 0; i < count; ++i) {
            Record record;
            record.number = RecordNumber{static_cast<std::uint32_t>(records.size() + 1)};
            record.previous = records.empty() ? Hash{} : sha256(records.back());
            record.fact = MatTaken{MatId{1}, Term{record.number.value}};
            records.push_back(encode(record));
            journal->append(record.number, records.back(), {});
        }
    }
    // As the hub does: asks until what was appended is there.
    void read_until(std::uint32_t number) {
        if (!reader) {
            auto opened = JournalReader::open(folder);
            while (!opened)
                opened = JournalReader::open(folder);
            reader = std::move(*opened);
        }
        while (reader->after(RecordNumber{number - 1}, 1)->empty()) {
        }
    }
    std::vector<std::string> expected(std::uint32_t after, std::uint32_t last) const {
        return {records.begin() + after, records.begin() + last};
    }

    fs::path folder;
    std::unique_ptr<Journal> journal;
    std::unique_ptr<JournalReader> reader;
    std::vector<std::string> records;
};

TEST_F(JournalAfter, GivesTheNextOnesAndNoMoreThanWasAskedFor) {
    append(20);
    read_until(20);
    EXPECT_EQ(*reader->after(RecordNumber{0}, 3), expected(0, 3));
    EXPECT_EQ(*reader->after(RecordNumber{17}, 3), expected(17, 20));
    EXPECT_EQ(*reader->after(RecordNumber{17}, 100), expected(17, 20));
    EXPECT_TRUE(reader->after(RecordNumber{20}, 5)->empty());
    EXPECT_TRUE(reader->after(RecordNumber{4'294'967'295U}, 5)->empty());
    EXPECT_TRUE(reader->after(RecordNumber{0}, 0)->empty());
}

// On one connection that stays open, while the hub goes on and at last tidies its file.
TEST_F(JournalAfter, SeesWhatComesLaterAndKeepsNothingFromBeingTidied) {
    append(1);
    read_until(1);
    append(500);
    read_until(501);
    EXPECT_EQ(*reader->after(RecordNumber{498}, 10), expected(498, 501));
    journal->close();
    EXPECT_EQ(*reader->after(RecordNumber{499}, 10), expected(499, 501));
    reader.reset();
    const fs::path log = folder / "journal.sqlite-wal";
    EXPECT_TRUE(!fs::exists(log) || fs::file_size(log) == 0);
}

TEST_F(JournalAfter, NamesARecordThatIsDamagedOrMissing) {
    append(10);
    read_until(10);
    journal->close();
    const auto change = [this](const char* sql) {
        sqlite3* raw = nullptr;
        ASSERT_EQ(sqlite3_open((folder / "journal.sqlite").c_str(), &raw), SQLITE_OK);
        EXPECT_EQ(sqlite3_exec(raw, sql, nullptr, nullptr, nullptr), SQLITE_OK);
        sqlite3_close(raw);
    };
    change("UPDATE record SET bytes = x'00' WHERE number = 7");
    auto read = reader->after(RecordNumber{5}, 5);
    ASSERT_FALSE(read.has_value());
    EXPECT_NE(read.error().words.find("record 7"), std::string::npos) << read.error().words;
    change("DELETE FROM record WHERE number = 3");
    read = reader->after(RecordNumber{1}, 5);
    ASSERT_FALSE(read.has_value());
    EXPECT_NE(read.error().words.find("record 3"), std::string::npos) << read.error().words;
    EXPECT_EQ(*reader->after(RecordNumber{3}, 3), expected(3, 6)) << "others can be read";
}

}  // namespace
}  // namespace honbu

// A copy has every record and name of its journal, is marked, and goes on in a journal of its own.
//
// Outside checks: SHA-256 as in FIPS 180-4 for the chain (through JournalReader), SQLite's own
// C interface for what is in the file.
#include "hub/journal/copy.h"

#include <filesystem>
#include <map>
#include <string>

#include <gtest/gtest.h>
#include <unistd.h>

#include "engine/record/canon.h"
#include "hub/journal/journal.h"
#include "hub/journal/schema.h"

namespace honbu {
namespace {

namespace fs = std::filesystem;

struct CopyTest : testing::Test {
    CopyTest() {
        std::string pattern = (fs::temp_directory_path() / "honbu-copy-XXXXXX").string();
        EXPECT_NE(mkdtemp(pattern.data()), nullptr);
        folder = pattern;
        journal = opened(from());
        journal->begin(1'700'000'000'000);
    }
    ~CopyTest() override {
        journal.reset();
        fs::remove_all(folder);
    }
    fs::path from() const { return folder / "hub"; }
    fs::path to() const { return folder / "stick"; }

    std::unique_ptr<Journal> opened(const fs::path& where, bool from_copy = false) {
        auto made = Journal::open(
            where, JournalEvents{[](RecordNumber) {}, [](bool) {}, [](const std::string&) {}},
            from_copy);
        EXPECT_TRUE(made.has_value()) << (made ? "" : made.error().words);
        return made ? std::move(*made) : nullptr;
    }
    std::string made(std::uint32_t number) {
        Record record;
        record.number = RecordNumber{number};
        record.previous = last;
        record.fact = MatTaken{MatId{1}, Term{number}};
        std::string bytes = encode(record);
        last = sha256(bytes);
        return bytes;
    }
    // Each record with a name beside it; every tenth writes one anew.
    void append(Journal& to_journal, std::uint32_t count) {
        for (std::uint32_t i = 0; i < count; ++i) {
            const std::uint32_t number = ++appended;
            std::vector<Beside> beside{{"person." + std::to_string(number), "Runa Skeld"}};
            if (number % 10 == 0) beside.push_back({"person.1", "Runa " + std::to_string(number)});
            to_journal.append(RecordNumber{number}, made(number), std::move(beside));
        }
    }
    void stop() {
        journal->close();
        journal.reset();
    }
    struct Held {
        std::vector<std::string> records;
        std::map<std::string, std::string> beside;
        std::optional<std::uint64_t> begun;
        friend bool operator==(const Held&, const Held&) = default;
    };
    static Held held(const fs::path& where) {
        Held out;
        const auto reader = JournalReader::open(where);
        EXPECT_TRUE(reader) << (reader ? "" : reader.error().words);
        if (!reader) return out;
        EXPECT_TRUE((*reader)->check_structure());
        const auto read = (*reader)->records(
            [&out](RecordNumber, std::string_view bytes, const Hash&) {
                out.records.emplace_back(bytes);
                return std::string();
            });
        EXPECT_TRUE(read) << (read ? "" : read.error().words);
        EXPECT_TRUE((*reader)->beside([&out](std::string_view key, std::string_view value) {
            out.beside[std::string(key)] = value;
        }));
        out.begun = *(*reader)->begun_wall_ms();
        return out;
    }
    std::unique_ptr<JournalCopy> copying(const fs::path& a, const fs::path& b) {
        auto copy = JournalCopy::open(a, b);
        EXPECT_TRUE(copy.has_value()) << (copy ? "" : copy.error().words);
        return copy ? std::move(*copy) : nullptr;
    }
    static void to_the_end(JournalCopy& copy, std::size_t limit = 7) {
        for (;;) {
            const auto more = copy.follow(limit);
            ASSERT_TRUE(more.has_value()) << more.error().words;
            if (!*more) return;
        }
    }

    fs::path folder;
    std::unique_ptr<Journal> journal;
    Hash last{};
    std::uint32_t appended = 0;
};

TEST_F(CopyTest, HasAllOfItAndFollows) {
    append(*journal, 40);
    stop();
    {
        const auto copy = copying(from(), to());
        to_the_end(*copy);
        EXPECT_EQ(copy->end().number, RecordNumber{40});
        EXPECT_EQ(copy->end().hash, last);
        copy->close();
    }
    EXPECT_FALSE(fs::exists(journal_file(to()).string() + "-wal"));
    EXPECT_EQ(held(to()), held(from()));

    // Later, from where it ended.
    journal = opened(from());
    append(*journal, 25);
    stop();
    {
        const auto copy = copying(from(), to());
        EXPECT_EQ(copy->end().number, RecordNumber{40});
        to_the_end(*copy, 1'000);
    }
    EXPECT_EQ(held(to()), held(from()));
    EXPECT_EQ(held(to()).beside.at("person.1"), "Runa 60");
}

TEST_F(CopyTest, FollowsBesideAHubThatWrites) {
    append(*journal, 3);
    std::unique_ptr<JournalCopy> copy;
    while (!copy) {  // until the journal's thread has made its tables
        auto tried = JournalCopy::open(from(), to());
        if (tried) copy = std::move(*tried);
    }
    for (int round = 0; round < 20; ++round) {
        append(*journal, 10);
        const auto more = copy->follow(1'000);
        ASSERT_TRUE(more.has_value()) << more.error().words;
    }
    stop();
    to_the_end(*copy);
    EXPECT_EQ(copy->end().number, RecordNumber{203});
    copy.reset();
    EXPECT_EQ(held(to()), held(from()));
}

TEST_F(CopyTest, NoHubGoesOnInACopyByMistake) {
    append(*journal, 5);
    stop();
    {
        const auto copy = copying(from(), to());
        to_the_end(*copy);
    }
    const JournalEvents nobody{[](RecordNumber) {}, [](bool) {}, [](const std::string&) {}};
    const auto refused = Journal::open(to(), nobody);
    ASSERT_FALSE(refused.has_value());
    EXPECT_NE(refused.error().words.find("--from-copy"), std::string::npos)
        << refused.error().words;
    // Nor is a journal of a hub's own written over, or taken for a copy.
    EXPECT_FALSE(JournalCopy::open(to(), from()).has_value());
    EXPECT_FALSE(Journal::open(from(), nobody, true).has_value());
    EXPECT_FALSE(JournalCopy::open(from(), from()).has_value());
    EXPECT_EQ(held(from()).records.size(), 5U);
}

TEST_F(CopyTest, BecomesAJournalWithTheRecordThatBeginsTheEpoch) {
    append(*journal, 5);
    stop();
    {
        const auto copy = copying(from(), to());
        to_the_end(*copy);
    }
    // Opened and closed again without a record, it is still a copy.
    opened(to(), true)->close();
    const JournalEvents nobody{[](RecordNumber) {}, [](bool) {}, [](const std::string&) {}};
    EXPECT_FALSE(Journal::open(to(), nobody).has_value());

    auto again = opened(to(), true);
    append(*again, 2);
    again->close();
    again.reset();
    opened(to())->close();
    EXPECT_EQ(held(to()).records.size(), 7U);
    // The first journal is another one from now on.
    EXPECT_FALSE(JournalCopy::open(from(), to()).has_value());
}

TEST_F(CopyTest, ACopyOfAnotherJournalIsLeftAlone) {
    append(*journal, 5);
    stop();
    {
        const auto copy = copying(from(), to());
        to_the_end(*copy);
    }
    const Held before = held(to());
    // Another journal, as long as this one.
    last = Hash{};
    appended = 0;
    const fs::path other = folder / "other";
    auto another = opened(other);
    another->begin(1);
    append(*another, 1);
    Record record;
    record.number = RecordNumber{2};
    record.previous = sha256(encode(*decode_record(held(from()).records.at(0))));
    record.hand = "somebody else";
    record.fact = MatTaken{MatId{1}, Term{2}};
    std::string bytes = encode(record);
    last = sha256(bytes);
    another->append(RecordNumber{2}, std::move(bytes), {});
    appended = 2;
    append(*another, 5);
    another->close();
    another.reset();
    const auto refused = JournalCopy::open(other, to());
    ASSERT_FALSE(refused.has_value());
    EXPECT_NE(refused.error().words.find("another journal"), std::string::npos);
    EXPECT_EQ(held(to()), before);
}

TEST_F(CopyTest, AJournalThatEndsBeforeItsCopySaysSo) {
    append(*journal, 9);
    stop();
    {
        const auto copy = copying(from(), to());
        to_the_end(*copy);
    }
    fs::remove_all(from());
    last = Hash{};
    appended = 0;
    journal = opened(from());
    journal->begin(1'700'000'000'000);
    append(*journal, 4);
    stop();
    const auto refused = JournalCopy::open(from(), to());
    ASSERT_FALSE(refused.has_value());
    EXPECT_NE(refused.error().words.find("more records (9)"), std::string::npos)
        << refused.error().words;
}

}  // namespace
}  // namespace honbu

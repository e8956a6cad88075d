// What is erased is found in no file of the folder any more, nor in a copy that follows.
//
// Outside check: the bytes of all files, searched for the name. That SQLite overwrites what is
// deleted, and empties its log: https://www.sqlite.org/pragma.html (secure_delete, wal_checkpoint).
#include <algorithm>
#include <atomic>
#include <filesystem>
#include <fstream>
#include <map>
#include <mutex>
#include <random>
#include <set>
#include <sstream>
#include <thread>

#include <gtest/gtest.h>
#include <unistd.h>

#include "engine/record/canon.h"
#include "hub/journal/copy.h"
#include "hub/journal/database.h"
#include "hub/journal/journal.h"
#include "hub/journal/mirror.h"

namespace honbu {
namespace {

namespace fs = std::filesystem;

std::string all_bytes(const fs::path& folder) {
    std::ostringstream all;
    for (const auto& entry : fs::directory_iterator(folder)) {
        if (entry.file_size() > 0) all << std::ifstream(entry.path(), std::ios::binary).rdbuf();
    }
    return all.str();
}

struct ErasedTest : testing::Test {
    ErasedTest() {
        std::string pattern = (fs::temp_directory_path() / "honbu-erased-XXXXXX").string();
        EXPECT_NE(mkdtemp(pattern.data()), nullptr);
        folder = pattern;
        open();
        journal->begin(1'700'000'000'000);
    }
    ~ErasedTest() override {
        journal.reset();
        fs::remove_all(folder);
    }
    fs::path from() const { return folder / "hub"; }
    fs::path to() const { return folder / "stick"; }
    void open() {
        JournalEvents events;
        events.committed = [this](RecordNumber now) {
            kept = now.value;
            kept.notify_all();
        };
        events.room = [](bool) {};
        events.log = [this](const std::string& line) {
            const std::scoped_lock lock(logged_mutex);
            logged.push_back(line);
        };
        auto made = Journal::open(from(), std::move(events));
        ASSERT_TRUE(made.has_value()) << made.error().words;
        journal = std::move(*made);
    }
    // As a hub that is stopped and started again.
    void restart() {
        journal->close();
        journal.reset();
        open();
    }
    void append(std::vector<Beside> beside, Fact fact = MatTaken{MatId{1}, Term{1}}) {
        Record record;
        record.number = RecordNumber{++number};
        record.previous = last;
        record.fact = std::move(fact);
        std::string bytes = encode(record);
        last = sha256(bytes);
        journal->append(record.number, std::move(bytes), std::move(beside));
    }
    void erase(std::uint32_t person) {
        append({{"person/" + std::to_string(person), "", true}},
               PersonErased{PersonId{person}, {}, "asked for it"});
    }
    // So long that no other text can hold it by chance.
    static std::string name_of(std::uint32_t person) {
        return "Nomen Inventum " + std::to_string(100'000 + person) + " of the Ravine";
    }
    void load(std::uint32_t people) {
        std::vector<Beside> beside;
        for (std::uint32_t person = 1; person <= people; ++person)
            beside.push_back({"person/" + std::to_string(person), name_of(person)});
        append(std::move(beside));
    }
    void wait_kept(std::uint32_t wanted) const {
        for (std::uint32_t now = kept; now < wanted; now = kept)
            kept.wait(now);
    }
    template<class Yes> static bool soon(const Yes& yes) {
        for (int i = 0; i < 2'000'000; ++i) {
            if (yes()) return true;
            std::this_thread::yield();
        }
        return false;
    }
    static std::map<std::string, std::string> beside(const fs::path& where) {
        std::map<std::string, std::string> out;
        const auto reader = JournalReader::open(where);
        EXPECT_TRUE(reader.has_value());
        if (!reader) return out;
        EXPECT_TRUE((*reader)->check_structure());
        EXPECT_TRUE((*reader)->beside([&out](std::string_view key, std::string_view value) {
            out[std::string(key)] = value;
        }));
        return out;
    }
    void copy() const {
        const auto made = JournalCopy::open(from(), to());
        ASSERT_TRUE(made.has_value()) << made.error().words;
        for (;;) {
            const auto more = (*made)->follow(3);
            ASSERT_TRUE(more.has_value()) << more.error().words;
            if (!*more) break;
        }
        (*made)->close();
    }

    fs::path folder;
    std::unique_ptr<Journal> journal;
    std::atomic<std::uint32_t> kept = 0;
    std::mutex logged_mutex;
    std::vector<std::string> logged;
    std::uint32_t number = 0;
    Hash last{};
};

TEST_F(ErasedTest, TheBytesGoWhileTheHubRuns) {
    load(40);
    ASSERT_TRUE(soon([this] { return all_bytes(from()).find(name_of(17)) != std::string::npos; }));
    erase(17);
    EXPECT_TRUE(soon([this] { return all_bytes(from()).find(name_of(17)) == std::string::npos; }));
    EXPECT_EQ(kept, 2U);
    const auto left = beside(from());
    EXPECT_EQ(left.size(), 40U);
    EXPECT_EQ(left.at("person/17"), "");
    EXPECT_EQ(left.at("person/16"), name_of(16));
    append({});
    wait_kept(3);  // and it goes on
}

// Rows move from page to page as the table grows and shrinks, and leave copies behind.
TEST_F(ErasedTest, NothingIsLeftOfManyInAnyOrder) {
    constexpr std::uint32_t people = 900;
    load(people);
    std::vector<std::uint32_t> order(people);
    for (std::uint32_t i = 0; i < people; ++i)
        order[i] = i + 1;
    std::mt19937 dice(7);
    std::shuffle(order.begin(), order.end(), dice);
    order.resize(120);
    for (std::size_t i = 0; i < order.size(); ++i) {
        erase(order[i]);
        const std::string typed = std::to_string(i);
        append({{"typed/" + typed, "by hand " + typed}});
        if (i % 40 == 39) restart();
    }
    journal->close();
    const std::string bytes = all_bytes(from());
    const std::set<std::uint32_t> gone(order.begin(), order.end());
    for (std::uint32_t person = 1; person <= people; ++person) {
        EXPECT_EQ(bytes.find(name_of(person)) == std::string::npos, gone.contains(person))
            << person;
    }
    const auto left = beside(from());
    EXPECT_EQ(left.size(), people + order.size());
    for (const auto& [key, value] : left)
        EXPECT_EQ(value.empty(),
                  key.starts_with("person/") &&
                      gone.contains(static_cast<std::uint32_t>(std::stoul(key.substr(7)))));
}

// The process ends between the commit and the emptying of the log: the next start does it.
TEST_F(ErasedTest, AStartFinishesWhatACrashLeft) {
    load(5);
    wait_kept(1);
    // Somebody who reads keeps the log from being emptied.
    Database reading;
    ASSERT_EQ(reading.open((from() / "journal.sqlite").string(), Database::Access::read_only), 0);
    std::int64_t rows = 0;
    ASSERT_EQ(reading.run("BEGIN"), 0);
    ASSERT_EQ(reading.ask("SELECT count(*) FROM beside", rows), 0);
    ASSERT_EQ(rows, 5);
    erase(2);
    wait_kept(2);
    EXPECT_NE(all_bytes(from()).find(name_of(2)), std::string::npos);
    // As it lies on the disk now, in another place: a machine that lost its power.
    fs::create_directory(folder / "after");
    for (const char* file : {"journal.sqlite", "journal.sqlite-wal"})
        fs::copy(from() / file, folder / "after" / file);
    reading.close();
    // With the reader gone the hub that still runs does it by itself.
    EXPECT_TRUE(soon([this] { return all_bytes(from()).find(name_of(2)) == std::string::npos; }));
    // And so does the next hub, without being told to erase anything.
    JournalEvents events{[](RecordNumber) {}, [](bool) {}, [](const std::string&) {}};
    const auto next = Journal::open(folder / "after", events);
    ASSERT_TRUE(next.has_value());
    EXPECT_TRUE(
        soon([this] { return all_bytes(folder / "after").find(name_of(2)) == std::string::npos; }));
    EXPECT_EQ(beside(folder / "after").at("person/2"), "");
}

TEST_F(ErasedTest, ACopyThatHasTheNameLosesItWhenItCatchesUp) {
    load(20);
    append({});
    wait_kept(number);
    copy();
    EXPECT_NE(all_bytes(to()).find(name_of(9)), std::string::npos);
    erase(9);
    for (int i = 0; i < 7; ++i)
        append({{"typed/" + std::to_string(i), "by hand"}});
    wait_kept(number);
    copy();
    EXPECT_EQ(all_bytes(to()).find(name_of(9)), std::string::npos);
    EXPECT_EQ(beside(to()), beside(from()));
    append({});
    wait_kept(number);
    copy();  // a third time, with nothing erased since
    EXPECT_EQ(beside(to()), beside(from()));
}

// Whoever reads the copy keeps its log from being emptied. With nothing new to copy it is emptied
// all the same, once the reader has gone.
TEST_F(ErasedTest, ACopyThatIsBeingReadLosesItAfterwards) {
    load(20);
    wait_kept(number);
    auto made = JournalCopy::open(from(), to());
    ASSERT_TRUE(made.has_value()) << made.error().words;
    ASSERT_TRUE((*made)->follow(100).has_value());
    Database reading;
    ASSERT_EQ(reading.open((to() / "journal.sqlite").string(), Database::Access::read_only), 0);
    std::int64_t rows = 0;
    ASSERT_EQ(reading.run("BEGIN"), 0);
    ASSERT_EQ(reading.ask("SELECT count(*) FROM beside", rows), 0);
    erase(9);
    wait_kept(number);
    ASSERT_TRUE((*made)->follow(100).has_value());
    EXPECT_TRUE((*made)->wants_wipe());
    EXPECT_NE(all_bytes(to()).find(name_of(9)), std::string::npos);
    reading.close();
    ASSERT_TRUE((*made)->follow(100).has_value());
    EXPECT_FALSE((*made)->wants_wipe());
    EXPECT_EQ(all_bytes(to()).find(name_of(9)), std::string::npos);
    (*made)->close();
}

TEST_F(ErasedTest, AMirrorThatIsBeingReadWakesItself) {
    load(20);
    wait_kept(number);
    std::atomic<std::uint32_t> mirrored = 0;
    Mirror mirror(from(), to(), [&mirrored](const Mirror::Now& now) {
        mirrored = now.kept.value;
        mirrored.notify_all();
    });
    const auto wait_mirrored = [&] {
        for (std::uint32_t now = mirrored; now < number; now = mirrored)
            mirrored.wait(now);
    };
    mirror.more();
    wait_mirrored();
    Database reading;
    ASSERT_EQ(reading.open((to() / "journal.sqlite").string(), Database::Access::read_only), 0);
    std::int64_t rows = 0;
    ASSERT_EQ(reading.run("BEGIN"), 0);
    ASSERT_EQ(reading.ask("SELECT count(*) FROM beside", rows), 0);
    erase(9);
    wait_kept(number);
    mirror.more();
    wait_mirrored();  // told behind its try, which the reader made fail
    EXPECT_NE(all_bytes(to()).find(name_of(9)), std::string::npos);
    reading.close();
    // Nobody says more(). However long it takes: a mirror that sleeps on fails by the test's limit.
    while (all_bytes(to()).find(name_of(9)) != std::string::npos)
        std::this_thread::yield();
    mirror.close();
}

// To break off a look is no finding, nor is a journal that can't be opened.
TEST_F(ErasedTest, ALookBrokenOffFindsNoDamage) {
    load(5'000);
    wait_kept(number);
    const auto reader = JournalReader::open(from());
    ASSERT_TRUE(reader.has_value());
    EXPECT_FALSE((*reader)->check_structure([] { return true; }));
    EXPECT_FALSE((*reader)->found_damage());
    EXPECT_TRUE((*reader)->check_structure([] { return false; }));
    EXPECT_TRUE((*reader)->check_structure());
    EXPECT_FALSE((*reader)->found_damage());
}

TEST_F(ErasedTest, AMirrorFollows) {
    load(20);
    wait_kept(number);
    Mirror mirror(from(), to(), [](const Mirror::Now&) {});
    mirror.more();
    ASSERT_TRUE(soon([this] {
        return fs::exists(to()) && all_bytes(to()).find(name_of(4)) != std::string::npos;
    }));
    erase(4);
    wait_kept(number);
    mirror.more();
    EXPECT_TRUE(soon([this] { return all_bytes(to()).find(name_of(4)) == std::string::npos; }));
    EXPECT_TRUE(soon([this] { return all_bytes(from()).find(name_of(4)) == std::string::npos; }));
    mirror.close();
    EXPECT_EQ(beside(to()), beside(from()));
}

}  // namespace
}  // namespace honbu

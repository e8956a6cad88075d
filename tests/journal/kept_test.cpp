// A journal of every released format is kept, and folds alike for ever.
//
// tests/journal/kept/N holds one of schema N and, in expected.txt, what came of it when it was
// made: that is the outside number here (README.md there). A journal that folds otherwise after a
// change of ours would give a competition of last year other results.
#include <filesystem>
#include <fstream>
#include <iterator>
#include <set>

#include <gtest/gtest.h>
#include <unistd.h>

#include "engine/record/canon.h"
#include "hub/core/hub.h"
#include "hub/core/nobody.h"
#include "hub/journal/copy.h"
#include "hub/journal/schema.h"
#include "hub/journal/upgrade.h"

namespace honbu {
namespace {

namespace fs = std::filesystem;

const fs::path kept = fs::path(HONBU_SOURCE_DIR) / "tests/journal/kept";

struct KeptTest : testing::TestWithParam<int> {
    KeptTest() {
        std::string pattern = (fs::temp_directory_path() / "honbu-kept-XXXXXX").string();
        EXPECT_NE(mkdtemp(pattern.data()), nullptr);
        top = pattern;
        fs::create_directory(top / "journal");
        fs::copy_file(journal_file(of()), journal_file(top / "journal"));
    }
    ~KeptTest() override { fs::remove_all(top); }
    static fs::path of() { return kept / std::to_string(GetParam()); }
    static std::string expected() {
        std::ifstream in(of() / "expected.txt");
        return {std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
    }
    // As expected.txt has it (make_kept.cpp).
    static std::string found(const fs::path& folder, std::set<std::size_t>* kinds = nullptr) {
        const auto reader = JournalReader::open(folder);
        if (!reader) return reader.error().words;
        Nobody nobody;
        Hub hub(nobody, nobody, nobody);
        const auto beside = (*reader)->beside(
            [&](std::string_view key, std::string_view value) { hub.replay_beside(key, value); });
        if (!beside) return beside.error().words;
        const auto end = (*reader)->records(
            [&](RecordNumber, std::string_view bytes, const Hash& hash) {
                if (kinds != nullptr) kinds->insert(decode_record(bytes)->fact.index());
                return hub.replay(bytes, hash);
            });
        if (!end) return end.error().words;
        hub.replayed();
        return hub.summary() + std::to_string(end->number.value) + " records, hash " +
               hex(end->hash) + "\nstate " + hex(sha256(hub.state_bytes())) + "\n";
    }
    fs::path top;
};

TEST_P(KeptTest, FoldsAsItDid) {
    std::set<std::size_t> kinds;
    EXPECT_EQ(found(top / "journal", &kinds), expected());
    EXPECT_GE(kinds.size(), 13U) << "kinds of facts: what is kept should hold all of its time";
}

TEST_P(KeptTest, IsUpgradedAndCopiedToTheSame) {
    const auto copy = JournalCopy::open(top / "journal", top / "copy");
    ASSERT_TRUE(copy) << copy.error().words;
    ASSERT_TRUE((*copy)->follow(10'000));
    (*copy)->close();
    EXPECT_EQ(found(top / "copy"), expected());
    const auto upgraded = upgrade_journal_file(top / "journal");
    ASSERT_TRUE(upgraded) << upgraded.error().words;
    EXPECT_EQ(upgraded->to, journal_schema);
    EXPECT_EQ(found(top / "journal"), expected());
    EXPECT_TRUE(JournalFile::open(top / "journal"));
}

INSTANTIATE_TEST_SUITE_P(Kept, KeptTest, testing::Values(3, 4));

}  // namespace
}  // namespace honbu

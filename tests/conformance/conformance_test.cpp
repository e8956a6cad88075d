// Every worked bout of tests/conformance/*.scenario, each two tests of its own: played straight,
// and played wrong and put right. The expected outcomes come from published rule books and
// published bouts; every file names its sources.
#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <set>
#include <sstream>

#include "tests/conformance/repairs.h"
#include "tests/conformance/scenario.h"

namespace honbu {
namespace {

std::string read_file(const std::filesystem::path& path) {
    std::ifstream in(path);
    std::stringstream out;
    out << in.rdbuf();
    return out.str();
}

class WorkedBout : public testing::Test {
public:
    explicit WorkedBout(std::filesystem::path path) : path_(std::move(path)) {}
    void TestBody() override {
        const std::string text = read_file(path_);
        EXPECT_NE(text.find("\n# source: "), std::string::npos) << "names no source";
        for (const std::string& fault : play_scenario(text))
            ADD_FAILURE() << fault;
    }

private:
    std::filesystem::path path_;
};

class PutRight : public testing::Test {
public:
    explicit PutRight(std::filesystem::path path) : path_(std::move(path)) {}
    void TestBody() override {
        const Scenario scenario = read_scenario(read_file(path_));
        int told = 0;
        for (const Mistake mistake : mistakes) {
            for (const Repaired when : {Repaired::at_once, Repaired::before_kachi}) {
                for (std::uint32_t seed = 1; seed <= 6; ++seed) {
                    const Repair repair = repaired(scenario, mistake, when, seed);
                    if (!repair.possible) continue;
                    ++told;
                    EXPECT_EQ(repair.fault, "")
                        << "mistake " << static_cast<int>(mistake) << ", "
                        << (when == Repaired::at_once ? "at once" : "before kachi") << ", seed "
                        << seed << ":" << repair.story;
                }
            }
        }
        EXPECT_GE(told, 16) << "hardly any mistake could be made in this bout";
    }

private:
    std::filesystem::path path_;
};

// The runner itself can fail: a wrong expectation is found, with its line.
TEST(Runner, FindsAWrongExpectation) {
    const auto faults = play_scenario(
        "rules 2018\ntime 4:00\n0:00 hajime\n0:50 waza-ari white\n= end: winner white, running\n");
    ASSERT_EQ(faults.size(), 1U);
    EXPECT_EQ(faults[0].substr(0, 23), "line 5: 'winner white' ");
}

TEST(Runner, RefusesWhatItCannotRead) {
    const std::string head = "rules 2018\ntime 4:00\n0:00 hajime\n";
    EXPECT_EQ(play_scenario(head + "= end: running\n").size(), 0U);
    EXPECT_EQ(play_scenario(head + "= end: leading\n").size(), 1U);
    EXPECT_EQ(play_scenario(head + "0:05 hajime twice\n= end: running\n").size(), 1U);
    EXPECT_EQ(play_scenario(head + "0:05 shido white weather\n= end: running\n").size(), 1U);
    EXPECT_EQ(play_scenario("rules 1912\ntime 4:00\n0:00 hajime\n= end: running\n").size(), 1U);
    EXPECT_EQ(play_scenario("rules 2018\nwith tie = sometimes\ntime 4:00\n0:00 hajime\n"
                            "= end: running\n")
                  .size(),
              1U);
}

// A changed field takes the place of the shipped one.
TEST(Runner, ChangesOneFieldOfARuleSet) {
    const std::string calls = "time 4:00\n0:00 hajime\n0:10 shido white\n= end: winner blue\n";
    EXPECT_EQ(play_scenario("rules 2018\n" + calls).size(), 1U);
    EXPECT_EQ(play_scenario("rules 2018\nwith shido.hansoku-make = 1\n" + calls).size(), 0U);
}

// docs/rules.md, section 9, lists every worked bout under its name, and no other.
TEST(Page, ListsEveryWorkedBout) {
    const std::string page = read_file(std::filesystem::path(HONBU_SOURCE_DIR) / "docs/rules.md");
    const std::size_t begin = page.find("\n## 9. ");
    const std::size_t end = page.find("\n## 10. ");
    ASSERT_NE(begin, std::string::npos);
    ASSERT_NE(end, std::string::npos);
    std::istringstream lines(page.substr(begin, end - begin));
    std::set<std::string> listed;
    for (std::string line; std::getline(lines, line);) {
        const std::size_t bar = line.find(" | ", 2);
        if (line.rfind("| ", 0) == 0 && bar != std::string::npos) {
            listed.insert(line.substr(2, bar - 2));
        }
    }
    listed.erase("id");
    std::set<std::string> there;
    for (const auto& entry : std::filesystem::directory_iterator(HONBU_SCENARIOS)) {
        if (entry.path().extension() != ".scenario") continue;
        const std::string text = read_file(entry.path());
        const std::string name = text.substr(2, text.find(':') - 2);
        EXPECT_TRUE(there.insert(name).second) << name << " stands twice";
    }
    EXPECT_EQ(listed, there);
}

}  // namespace
}  // namespace honbu

int main(int argc, char** argv) {
    testing::InitGoogleTest(&argc, argv);
    std::vector<std::filesystem::path> paths;
    for (const auto& entry : std::filesystem::directory_iterator(HONBU_SCENARIOS)) {
        if (entry.path().extension() == ".scenario") paths.push_back(entry.path());
    }
    std::sort(paths.begin(), paths.end());
    if (paths.empty()) return 1;
    for (const auto& path : paths) {
        const std::string name = path.stem().string();
        testing::RegisterTest("WorkedBout", name.c_str(), nullptr, nullptr, path.c_str(), 1,
                              [path]() -> testing::Test* { return new honbu::WorkedBout(path); });
        testing::RegisterTest("PutRight", name.c_str(), nullptr, nullptr, path.c_str(), 1,
                              [path]() -> testing::Test* { return new honbu::PutRight(path); });
    }
    return RUN_ALL_TESTS();
}

// Every worked bout of tests/conformance/*.scenario, each a test of its own. The expected outcomes
// come from published rule books and published bouts; every file names its sources.
#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <sstream>

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
        EXPECT_NE(text.find("# source:"), std::string::npos) << "names no source";
        for (const std::string& fault : play_scenario(text))
            ADD_FAILURE() << fault;
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
    EXPECT_EQ(play_scenario("rules 2018\ntime 4:00\n0:00 hajime\n= end: leading\n").size(), 1U);
    EXPECT_EQ(play_scenario("rules 1912\ntime 4:00\n0:00 hajime\n= end: running\n").size(), 1U);
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
        testing::RegisterTest("WorkedBout", path.stem().string().c_str(), nullptr, nullptr,
                              path.c_str(), 1,
                              [path]() -> testing::Test* { return new honbu::WorkedBout(path); });
    }
    return RUN_ALL_TESTS();
}

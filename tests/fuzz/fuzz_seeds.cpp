// Writes what the fuzzer begins with: fuzz_seeds FOLDER. Contests as fought and presses at random,
// from the generator, so that nothing has to be kept in the repository.
#include <cstdio>
#include <filesystem>
#include <fstream>

#include "engine/record/canon.h"
#include "tests/fuzz/call_bytes.h"
#include "tests/generate/contest.h"
#include "tests/generate/presses.h"
#include "tests/generate/shipped.h"

namespace {

using namespace honbu;

std::string laid_out(std::size_t rules, const std::vector<Call>& calls, std::uint8_t switches) {
    std::string out{static_cast<char>(rules), '\0'};
    for (const Call& call : calls) {
        const std::string bytes = encode(call);
        if (bytes.size() > 255) continue;
        out += static_cast<char>(switches);
        out += static_cast<char>(bytes.size());
        out += bytes;
    }
    return out;
}

}  // namespace

int main(int argc, char** argv) {
    if (argc != 2) {
        std::fputs("fuzz_seeds FOLDER: say where the seeds go.\n", stderr);
        return 2;
    }
    const std::filesystem::path folder = argv[1];
    std::filesystem::create_directories(folder);
    std::uint32_t written = 0;
    const auto write = [&](const std::string& bytes) {
        std::ofstream(folder / ("seed" + std::to_string(written++)), std::ios::binary) << bytes;
    };
    const std::vector<RuleSet>& all = generate::all_rules();
    for (std::size_t rules = 0; rules < all.size(); ++rules) {
        const RuleSet& set = all[rules];
        const AgeGroup& group = set.times.front();
        const Conditions under{set, group.time, set.golden_limit_for(group.time, &group)};
        for (std::uint32_t seed = 1; seed <= 4; ++seed) {
            const auto field = seed % 2 == 0 ? generate::Field::men : generate::Field::women;
            write(laid_out(rules, generate::contest(under, field, seed), fuzz::asked));
            generate::Lots lots(seed);
            generate::Sitting sitting(under, generate::Asking::unasked);
            sitting.press_all(generate::presses(lots, 12));
            write(laid_out(rules, sitting.calls(), fuzz::numbered | fuzz::timed));
        }
    }
    std::printf("%u seeds\n", written);
    return 0;
}

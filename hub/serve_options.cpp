#include "hub/serve_options.h"

#include <string>
#include <variant>
#include <vector>

#include <spdlog/spdlog.h>

#include "hub/competition/competition_file.h"
#include "hub/journal/copy.h"
#include "hub/rule_files.h"
#include "hub/text_file.h"

namespace honbu {
namespace {

std::string title_of(const ServeOptions& options) {
    if (!options.title.empty() || options.competition.empty()) return options.title;
    return std::filesystem::path(options.competition).stem().string();
}

}  // namespace

OrFault<void> check_title(const ServeOptions& options) {
    const std::string problem = title_problem(title_of(options));
    if (problem.empty()) return {};
    return Fault{options.title.empty()
                     ? "The competition is called like its file, and that name can't be used: " +
                           problem + ". Give it another one with --title."
                     : "The --title can't be used: " + problem + "."};
}

OrFault<Competition> load_competition(const ServeOptions& options) {
    const auto text = read_text(options.competition);
    if (!text) return text.error();
    const auto rules = read_rule_files(options.rules);
    if (!rules) return rules.error();
    auto read = read_competition(*text, title_of(options), *rules);
    if (auto* competition = std::get_if<Competition>(&read)) return std::move(*competition);
    std::string all = "The competition file " + options.competition + " can't be used:";
    for (const CsvFault& fault : std::get<std::vector<CsvFault>>(read)) {
        all += "\n  " + words(fault);
    }
    return Fault{all};
}

OrFault<void> take_copy(const ServeOptions& options) {
    const auto copy = JournalCopy::open(options.from_copy, options.data);
    if (!copy) return copy.error();
    for (;;) {
        const auto more = (*copy)->follow(10'000);
        if (!more) return more.error();
        if (!*more) break;
    }
    if ((*copy)->end().number == RecordNumber{}) {
        return Fault{"The copy in " + options.from_copy.string() + " has no record yet."};
    }
    (*copy)->close();
    spdlog::info("Copied {} records from {}. What tables have that is not among them, they send "
                 "again.",
                 (*copy)->end().number.value, options.from_copy.string());
    return {};
}

}  // namespace honbu

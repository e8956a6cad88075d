#include "hub/serve_options.h"

#include <algorithm>
#include <string>
#include <variant>
#include <vector>

#include <spdlog/spdlog.h>

#include "engine/record/canon.h"
#include "hub/certificates/folder.h"
#include "hub/competition/competition_file.h"
#include "hub/journal/copy.h"
#include "hub/journal/reader.h"
#include "hub/journal/schema.h"
#include "hub/rule_files.h"
#include "hub/text_file.h"

namespace honbu {
namespace {

std::string title_of(const ServeOptions& options) {
    if (!options.title.empty() || options.competition.empty()) return options.title;
    return std::filesystem::path(options.competition).stem().string();
}

// The folder has a hub's own journal: has it all of the copy, as when a hub that went on from it is
// started again with the same command? Then it simply goes on.
OrFault<bool> has_gone_on(const ServeOptions& options) {
    const auto own = JournalReader::open(options.data);
    if (!own) return false;  // an empty one, or one that is refused in a moment
    const auto mark = (*own)->mark();
    if (!mark) return mark.error();
    if (*mark != 0) return false;
    const auto copy = JournalReader::open(options.from_copy);
    if (!copy) return copy.error();
    ChainEnd end;
    const auto read = (*copy)->records(
        [&end](RecordNumber number, std::string_view, const Hash& hash) {
            end = {number, hash};
            return std::string();
        });
    if (!read) return read.error();
    const auto there = (*own)->after(RecordNumber{end.number.value - 1}, 1);
    if (end.number != RecordNumber{} && there && !there->empty() &&
        sha256(there->front()) == end.hash) {
        spdlog::info("The journal in {} has all of that copy already, and goes on.",
                     options.data.string());
        return true;
    }
    return Fault{"The folder " + options.data.string() +
                 " holds a journal already, and not one that has gone on from " +
                 options.from_copy.string() +
                 ". To go on with it leave --from-copy out; to go on from the copy choose a new "
                 "--data folder."};
}

// The same name, and other values.
bool changed(const RuleSet& given, const std::vector<RuleSet>& loaded) {
    return std::any_of(loaded.begin(), loaded.end(), [&given](const RuleSet& rules) {
        return rules.name == given.name && encode(rules) != encode(given);
    });
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

OrFault<void> check_mirror(const ServeOptions& options) {
    const std::filesystem::path& mirror = options.mirror;
    std::error_code none;
    if (mirror.empty()) return {};
    if (std::filesystem::exists(mirror, none) && !std::filesystem::is_directory(mirror, none)) {
        return Fault{"The mirror " + mirror.string() + " is a file. Name a folder with --mirror."};
    }
    if (mirror.lexically_normal() == options.data.lexically_normal() ||
        std::filesystem::equivalent(mirror, options.data, none)) {
        return Fault{"A mirror in the same folder as the journal is lost with it. Name another "
                     "folder with --mirror, best on another disk."};
    }
    if (!std::filesystem::exists(journal_file(mirror), none)) return {};
    const auto reader = JournalReader::open(mirror);
    if (!reader) return {};  // said when it is written
    const auto mark = (*reader)->mark();
    if (mark && *mark == 0) {
        return Fault{"The folder " + mirror.string() +
                     " holds a hub's own journal, not a mirror. Name another folder with "
                     "--mirror."};
    }
    return {};
}

OrFault<bool> take_copy(const ServeOptions& options) {
    const std::filesystem::path& from = options.from_copy;
    if (from.empty()) return false;
    std::error_code none;
    if (std::filesystem::exists(journal_file(options.data), none)) {
        const auto gone_on = has_gone_on(options);
        if (!gone_on) return gone_on.error();
        if (*gone_on) return false;
    }
    const auto copy = JournalCopy::open(from, options.data, JournalFile::Use::fill);
    if (!copy) return copy.error();
    for (;;) {
        const auto more = (*copy)->follow(10'000);
        if (!more) return more.error();
        if (!*more) break;
    }
    const RecordNumber end = (*copy)->end().number;
    if (end == RecordNumber{}) return Fault{"The copy in " + from.string() + " has no record yet."};
    (*copy)->close();
    if (const auto taken = take_certificates(from, options.data); !taken) return taken.error();
    spdlog::info("Copied {} records from {}. What tables have that is not among them, they send "
                 "again.",
                 end.value, from.string());
    return true;
}

OrFault<void> check_loaded(const ServeOptions& options, const Competition& competition,
                           const Hub& hub) {
    // Without a --title it keeps the one it has, whatever the file is called now.
    Competition given = competition;
    given.loaded.title = hub.title();
    const bool same = hub.same_competition(given);
    if (same && (options.title.empty() || options.title == hub.title())) return {};
    if (same) {
        return Fault{"The journal in " + options.data.string() +
                     " already has this competition, under the title '" + hub.title() +
                     "', which stays. Leave --title out to go on."};
    }
    for (const RuleSet& rules : given.loaded.rules) {
        if (!changed(rules, hub.loaded()->rules)) continue;
        return Fault{"The rule set " + rules.name +
                     " is not the one this competition was loaded with, and a loaded rule set "
                     "can't be changed. Leave --competition and --rules out to go on with it, or "
                     "choose another --data folder."};
    }
    return Fault{"The journal in " + options.data.string() + " already has a competition (" +
                 hub.title() + "), and the file " + options.competition +
                 " is not the same one. Leave --competition out to go on, or choose another --data "
                 "folder for the new one."};
}

}  // namespace honbu

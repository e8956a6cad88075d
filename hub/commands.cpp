#include "hub/commands.h"

#include <algorithm>
#include <iostream>
#include <set>
#include <variant>

#include "engine/bout/rules_shipped.h"
#include "engine/record/canon.h"
#include "hub/clock.h"
#include "hub/competition/competition_file.h"
#include "hub/core/hub.h"
#include "hub/core/nobody.h"
#include "hub/journal/reader.h"
#include "hub/rule_files.h"
#include "hub/text_file.h"
#include "hub/words/how_many.h"
#include "hub/words/record_line.h"

namespace honbu {
namespace {

int fail(const Fault& fault) {
    std::cerr << fault.words << "\n";
    return 1;
}

std::string position(Epoch epoch, const ChainEnd& end) {
    return "epoch " + hex16(epoch.value) + ", record " + std::to_string(end.number.value) +
           ", hash " + hex(end.hash);
}

}  // namespace

int check_competition(const std::filesystem::path& file, const std::vector<std::string>& rules) {
    const auto text = read_text(file);
    if (!text) return fail(text.error());
    const auto known = read_rule_files(rules);
    if (!known) return fail(known.error());
    const auto read = read_competition(*text, file.stem().string(), *known);
    if (const auto* faults = std::get_if<std::vector<CsvFault>>(&read)) {
        std::cerr << "The competition file " << file.string() << " can't be used:\n";
        for (const CsvFault& fault : *faults)
            std::cerr << "  " << words(fault) << "\n";
        return 1;
    }
    const auto& competition = std::get<Competition>(read);
    std::set<MatId> mats;
    for (const BoutEntry& bout : competition.loaded.bouts)
        mats.insert(bout.mat);
    std::cout << file.string()
              << " is good: " << how_many(competition.loaded.bouts.size(), "bout", "bouts") << ", "
              << how_many(mats.size(), "mat", "mats") << ", "
              << how_many(competition.loaded.categories.size(), "category", "categories") << ", "
              << how_many(competition.people.size(), "athlete", "athletes") << ".\n";
    for (const RuleSet& set : competition.loaded.rules) {
        if (set.white_word == word(Side::white) && set.blue_word == word(Side::blue)) continue;
        std::cout << "Under " << set.name << " the columns white and white_club are "
                  << set.white_word << ", called first, and blue and blue_club are "
                  << set.blue_word << ".\n";
    }
    return 0;
}

int replay_journal(const std::filesystem::path& data) {
    const auto reader = JournalReader::open(data);
    if (!reader) return fail(reader.error());
    Nobody nobody;
    Hub hub(nobody, nobody, nobody);
    const auto beside = (*reader)->beside(
        [&hub](std::string_view key, std::string_view value) { hub.replay_beside(key, value); });
    if (!beside) return fail(beside.error());
    const auto end = (*reader)->records(
        [&hub](RecordNumber, std::string_view bytes, const Hash& hash) {
            return hub.replay(bytes, hash);
        });
    if (!end) return fail(end.error());
    hub.replayed();
    std::cout << hub.summary() << position(hub.epoch(), *end) << "\nstate SHA-256 "
              << hex(sha256(hub.state_bytes())) << "\n";
    return 0;
}

int verify_journal(const std::filesystem::path& data) {
    const auto reader = JournalReader::open(data);
    if (!reader) return fail(reader.error());
    if (const auto structure = (*reader)->check_structure(); !structure) {
        return fail(structure.error());
    }
    Epoch epoch;
    const auto end = (*reader)->records(
        [&epoch](RecordNumber number, std::string_view bytes, const Hash&) {
            const auto record = decode_record(bytes);
            if (!record) {
                return "Record " + std::to_string(number.value) +
                       " is intact, but not in a form this version reads. Use the version of honbu "
                       "that wrote it.";
            }
            if (const auto* begun = std::get_if<EpochBegan>(&record->fact)) epoch = begun->epoch;
            return std::string();
        });
    if (!end) return fail(end.error());
    std::cout << "The journal is whole: " << how_many(end->number.value, "record", "records")
              << ".\n"
              << position(epoch, *end) << "\n"
              << "Compare this with what tables and printed sheets last saw: a cut-off end shows "
                 "only there.\n";
    return 0;
}

int show_journal(const std::filesystem::path& data, std::uint32_t from) {
    const auto reader = JournalReader::open(data);
    if (!reader) return fail(reader.error());
    if (const auto begun = (*reader)->begun_wall_ms(); begun && begun->has_value()) {
        std::cout << "begun " << wall_text(**begun) << "\n";
    }
    const auto end = (*reader)->records(
        [from](RecordNumber number, std::string_view bytes, const Hash&) {
            if (number.value < from) return std::string();
            const auto record = decode_record(bytes);
            std::cout << number.value << "  "
                      << (record ? line(*record) : "not in a form this version reads") << "\n";
            return std::string();
        });
    std::cout << std::flush;
    return end ? 0 : fail(end.error());
}

int list_rules() {
    const KnownRules known;
    std::size_t widest = 0;
    for (const RuleSet& rules : known.all())
        widest = std::max(widest, rules.name.size());
    for (const RuleSet& rules : known.all()) {
        std::cout << rules.name << std::string(widest + 2 - rules.name.size(), ' ') << rules.title
                  << "\n";
    }
    return 0;
}

int show_rules(const std::string& name) {
    for (const ShippedRules& shipped : shipped_rules()) {
        if (shipped.name != name) continue;
        std::cout << shipped.text;
        return 0;
    }
    return fail(Fault{"There is no rule set named " + name + ". honbu rules list names them all."});
}

int check_rules(const std::filesystem::path& file) {
    const auto text = read_text(file);
    if (!text) return fail(text.error());
    KnownRules known;
    if (const auto fault = known.add(*text)) return fail(Fault{words(file.string(), *fault)});
    const RuleSet& rules = known.all().back();
    std::cout << file.string() << " is good: " << rules.name << ", " << rules.title << ".\n"
              << "Age groups: " << group_names(rules) << ".\n"
              << "To use it, write " << rules.name
              << " in the column rules of the competition file, and give honbu check and honbu "
                 "serve --rules "
              << file.string() << ".\n"
              << "hash " << hex(sha256(encode(rules))) << "\n";
    return 0;
}

}  // namespace honbu

#include "hub/support_command.h"

#include <algorithm>
#include <array>
#include <cerrno>
#include <fstream>
#include <iostream>
#include <map>
#include <regex>
#include <set>
#include <sstream>
#include <system_error>
#include <vector>

#include <fcntl.h>
#include <unistd.h>

#include "engine/record/canon.h"
#include "hub/ask_http.h"
#include "hub/clock.h"
#include "hub/journal/reader.h"
#include "hub/journal/schema.h"
#include "hub/machine_facts.h"
#include "hub/running.h"
#include "hub/scrubbing.h"
#include "hub/status_command.h"
#include "hub/tar.h"
#include "hub/text_file.h"

namespace honbu {
namespace {

namespace fs = std::filesystem;
constexpr std::streamoff log_tail = 1024 * 1024;

constexpr const char* read_me =
    "What is in here: versions of the program and its parts; how the hub stood; its settings "
    "without\ntitle, folders and files; its figures (/metrics); whether the journal is whole, and "
    "how many\nrecords of which kind it has; what machine it is; and the last lines of its log.\n\n"
    "What is not: names of athletes, clubs, operators and of the competition, addresses, devices, "
    "secrets\nand codes, what anybody called, and what anybody wrote as a reason. Names that the "
    "journal knows are\ntaken out of the log word by word, the rest by its form. That is done by a "
    "program: look through it\nyourself before you give it to anybody.\n";

std::string kind_of(const Fact& fact) {
    constexpr std::array<const char*, std::variant_size_v<Fact>> kinds{
        "epochs",           "competitions loaded", "mats taken",       "calls",
        "mats freed",       "set-aside decisions", "results entered",  "records moved",
        "bouts given back", "devices let in",      "devices shut out", "people erased",
        "calls handed in"};
    return kinds.at(fact.index());
}

std::string word_of(Verdict verdict) {
    switch (verdict) {
    case Verdict::none: return "none";
    case Verdict::applied: return "applied";
    case Verdict::without_effect: return "without effect";
    case Verdict::set_aside: return "set aside";
    }
    return {};
}

// Counts of the journal, and the names in it on the way.
struct Gathered {
    std::string structure;
    std::string counts;
    Scrubbing names;
    bool all_names = false;  // read to the end: else some would stay in a log
};

constexpr const char* without_logs = "The log and how the hub stood are left out: the journal "
                                     "could not be read to its end, so not every name that might "
                                     "stand\nin the log is known.\n";
constexpr const char* no_log =
    "There is no log in the hub's folder: it was written elsewhere (--log-file), or not at all. "
    "Look through\nit yourself before you give it to anybody: no name is taken out of it.\n";

struct Bundle {
    std::vector<TarText> texts;
    std::string left_out;  // why the log is not among them; empty: it is
};

std::uint64_t size_of(const fs::path& file) {
    std::error_code none;
    const std::uintmax_t size = fs::file_size(file, none);
    return none ? 0 : size;
}

std::string counts_of(JournalReader& reader, Gathered& gathered) {
    std::map<std::string, std::uint64_t> kinds;
    std::map<std::string, std::uint64_t> verdicts;
    std::set<std::uint64_t> devices;
    std::set<std::uint64_t> runs;
    std::uint64_t bytes = 0;
    Instant last;
    const auto end = reader.records([&](RecordNumber, std::string_view record, const Hash&) {
        bytes += record.size();
        const auto read = decode_record(record);
        if (!read) {
            gathered.all_names = false;
            ++kinds["not in a form this version reads"];
            return std::string();
        }
        ++kinds[kind_of(read->fact)];
        gathered.names.never(read->hand);
        devices.insert(read->device.value);
        last = read->received;
        if (const auto* call = std::get_if<Call>(&read->fact)) {
            ++verdicts[word_of(read->verdict)];
            runs.insert(call->id.run.value);
        }
        if (const auto* loaded = std::get_if<CompetitionLoaded>(&read->fact)) {
            gathered.names.never(loaded->title);
        }
        if (const auto* handed = std::get_if<CallsHandedIn>(&read->fact)) {
            gathered.names.never(handed->hand);
        }
        return std::string();
    });
    if (!end) gathered.all_names = false;
    gathered.structure += end ? "The chain of records holds.\n" : end.error().words + "\n";
    std::string out = "bytes in records " + std::to_string(bytes) + "\nhub time of the last one " +
                      std::to_string(last.ms) + " ms\ndevices " + std::to_string(devices.size()) +
                      "\nruns " + std::to_string(runs.size()) + "\n";
    for (const auto& [kind, count] : kinds)
        out += kind + " " + std::to_string(count) + "\n";
    for (const auto& [verdict, count] : verdicts)
        out += "calls " + verdict + " " + std::to_string(count) + "\n";
    return out;
}

Gathered gather(const fs::path& data) {
    Gathered gathered;
    gathered.names.never_whole(data.string());
    const fs::path file = journal_file(data);
    fs::path log = file;
    log += "-wal";
    gathered.counts = "journal file " + std::to_string(size_of(file)) + " bytes\nwrite-ahead log " +
                      std::to_string(size_of(log)) + " bytes\n";
    const auto reader = JournalReader::open(data);
    if (!reader) {
        gathered.structure = reader.error().words + "\n";
        return gathered;
    }
    const auto whole = (*reader)->check_structure();
    gathered.structure = whole ? "The file's structure is whole.\n" : whole.error().words + "\n";
    const auto beside = (*reader)->beside(
        [&gathered](std::string_view key, std::string_view value) {
            if (!key.starts_with("device/")) gathered.names.never(value);
        });
    if (!beside) gathered.structure += beside.error().words + "\n";
    gathered.all_names = whole && beside;  // and if the records can be read
    gathered.counts += counts_of(**reader, gathered);
    return gathered;
}

// Values of which nobody can be known; of the others only that there is one, and where it was said.
std::string settings_of(const fs::path& data) {
    const auto text = read_text(data / settings_name);
    if (!text) return "The hub has left none in its folder.\n";
    static const std::regex setting(R"((#? ?[a-z-]+ =)\s*(.*?)\s*# ([^#]*))");
    static const std::regex harmless(R"re([0-9]+|true|false|"(debug|info|warning|error)"|)re");
    std::istringstream lines(*text);
    std::string out;
    for (std::string line; std::getline(lines, line);) {
        std::smatch parts;
        if (!std::regex_match(line, parts, setting)) continue;
        const std::string from = parts[3];
        const bool file = from.find(", line ") != std::string::npos;
        out += parts[1].str() + " " +
               (std::regex_match(parts[2].str(), harmless) ? parts[2].str() : "(left out)") +
               "  # " + (file ? "the file" : from) + "\n";
    }
    return out;
}

std::string end_of(const fs::path& file) {
    std::ifstream in(file, std::ios::binary | std::ios::ate);
    const std::streamoff size = in.tellg();
    in.seekg(std::max<std::streamoff>(0, size - log_tail));
    std::ostringstream text;
    text << in.rdbuf();
    return text.str();
}

std::string metrics_of(const fs::path& data) {
    const auto running = running_in(data);
    if (!running || !still_there(*running)) return "No hub runs.\n";
    HttpQuestion question;
    question.url = running->url;
    question.target = "/metrics";
    question.checked = false;
    const auto answer = ask_http(question);
    return answer ? *answer : answer.error().words + "\n";
}

Bundle bundle(const fs::path& data) {
    const Gathered journal = gather(data);
    const auto clean = [&journal](const std::string& text) { return journal.names.scrubbed(text); };
    StatusOptions asked;
    asked.data = data;
    Bundle out;
    std::vector<TarText>& all = out.texts;
    all = {
        {"read-me.txt", read_me},
        {"versions.txt", versions()},
        {"machine.txt", machine_facts(data)},
        {"status.txt", journal.all_names ? clean(status_of(asked).text) : without_logs},
        {"settings.txt", settings_of(data)},
        {"metrics.txt", metrics_of(data)},
        {"journal-whole.txt", clean(journal.structure)},
        {"journal-counts.txt", journal.counts},
    };
    std::error_code none;
    std::vector<fs::path> logs;
    for (const auto& entry : fs::directory_iterator(data / "log", none))
        logs.push_back(entry.path());
    std::sort(logs.begin(), logs.end());
    if (logs.empty()) out.left_out = no_log;
    if (!journal.all_names) {
        out.left_out += without_logs;
        logs.clear();
    }
    if (!out.left_out.empty()) all.front().text += "\n" + out.left_out;
    for (const fs::path& log : logs) {
        all.push_back({"log-" + std::to_string(all.size()) + ".txt", clean(end_of(log))});
    }
    for (TarText& text : all)
        text.name.insert(0, "honbu-support/");
    return out;
}

OrFault<void> write_new(const fs::path& to, const std::string& bytes) {
    const auto fault = [&to](const std::string& why) {
        return Fault{"The file " + to.string() + " can't be written (" + why +
                     "). Name another one with --to."};
    };
    const int file = open(to.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0640);
    if (file < 0) return fault(std::generic_category().message(errno));
    std::size_t done = 0;
    while (done < bytes.size()) {
        const ssize_t size = write(file, bytes.data() + done, bytes.size() - done);
        if (size < 0) break;
        done += static_cast<std::size_t>(size);
    }
    const int failed = errno;
    const bool closed = close(file) == 0;
    if (done == bytes.size() && closed) return {};
    std::error_code ignored;
    fs::remove(to, ignored);
    return fault(std::generic_category().message(failed));
}

}  // namespace

int support(const SupportOptions& options) {
    std::error_code none;
    if (!fs::is_directory(options.data, none)) {
        std::cerr << "There is no folder " << options.data.string() << ".\n";
        return 1;
    }
    const Bundle made = bundle(options.data);
    const std::string bytes = tar(made.texts, wall_ms() / 1'000);
    if (const auto written = write_new(options.to, bytes); !written) {
        std::cerr << written.error().words << "\n";
        return 1;
    }
    std::cout << "In " << options.to.string() << " are:\n";
    for (const TarText& text : made.texts)
        std::cout << "  " << text.name << "  " << text.text.size() << " bytes\n";
    std::cout << made.left_out;
    std::cout << "Nothing was sent anywhere. Names, addresses and secrets are taken out; look "
                 "through it before you give it to anybody: tar -xf "
              << options.to.string() << "\n";
    return 0;
}

}  // namespace honbu

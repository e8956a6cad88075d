// What clients saw, held against the journal: kept_check --data DIR [--ended] LOG...
//
// The logs are those of honbu-sim (client_log.h), read before the journal, so that whatever stands
// in them must be in it. For a hub that does not run: beside a running one a call could be saved
// and recorded between the two readings. Knows of the hub only how a journal is read.
//
// What must hold (docs/architecture.md, section 1):
//  - the chain is whole;
//  - each acknowledged call is at exactly the record its verdict named, with that verdict and the
//    bytes the table saved, from the device that saved it; every copy of a verdict says the same;
//  - no call is in the journal twice, and those of a run are in order without gaps;
//  - no call is in the journal that its table had not saved first, or saved otherwise;
//  - no view, result or welcome named a record that is not in the journal: durable before visible;
//  - each view names a record that could change it: a taking of its mat, a call that was applied
//    there, or a result, which may tell who comes next;
//  - the numbers of a mat never go back at a client; results come once, in order, none left out;
//  - with --ended, after the quiet end of the one log that is given: every saved call has its
//    verdict, the last view of a mat is the same for all who follow it, and all who follow results
//    have the same.
// Prints counts; or names the first thing that is wrong, and exits with 1.
#include <iostream>
#include <map>
#include <set>
#include <string>
#include <vector>

#include "engine/record/canon.h"
#include "hub/journal/reader.h"
#include "tests/crash/client_log.h"

namespace honbu::crash {
namespace {

class Held {
public:
    Held(const Logs& logs, const std::string& folder) : logs_(logs), folder_(folder) {}
    void against_journal();
    void results();
    void ended() const;
    std::uint32_t records() const { return last_; }
    std::uint64_t calls() const { return calls_; }

private:
    void take(const Record& record);
    void take(const Record& record, const Call& call);
    void acknowledged() const;

    const Logs& logs_;
    const std::string folder_;
    std::uint32_t last_ = 0;
    std::uint64_t calls_ = 0;
    std::map<RunId, std::uint32_t> runs_;                        // the last number of each
    std::map<CallId, std::uint32_t> found_;                      // at which record
    std::set<std::pair<std::uint32_t, std::uint32_t>> changes_;  // mat and record
    std::set<std::uint32_t> may_be_results_;  // applied confirmations and strikes
};

void Held::against_journal() {
    const auto reader = JournalReader::open(folder_);
    if (!reader) throw Wrong(reader.error().words);
    const auto end = (*reader)->records(
        [this](RecordNumber number, std::string_view bytes, const Hash&) {
            const auto record = decode_record(bytes);
            if (!record) throw Wrong("record " + number_text(number.value) + " can't be decoded");
            take(*record);
            return std::string();
        });
    if (!end) throw Wrong(end.error().words);
    if (logs_.last_named > last_) {
        throw Wrong(logs_.last_named_where + ": record " + number_text(logs_.last_named) +
                    " was shown, and the journal ends at record " + number_text(last_));
    }
    acknowledged();
    for (const auto& [mat, number] : logs_.shown) {
        // A result elsewhere may have told who comes next here.
        if (changes_.count({mat, number}) > 0 || may_be_results_.count(number) > 0) continue;
        throw Wrong("mat " + number_text(mat) + " was shown at number " + number_text(number) +
                    ", and that record changed nothing there");
    }
}

void Held::take(const Record& record) {
    last_ = record.number.value;
    if (const auto* began = std::get_if<EpochBegan>(&record.fact)) {
        for (const Epoch epoch : logs_.epochs) {
            if (epoch != began->epoch) throw Wrong("the logs are of another journal as well");
        }
    } else if (const auto* taken = std::get_if<MatTaken>(&record.fact)) {
        changes_.emplace(taken->mat.value, last_);
    } else if (const auto* call = std::get_if<Call>(&record.fact)) {
        take(record, *call);
    }
}

void Held::take(const Record& record, const Call& call) {
    const std::string at = "record " + number_text(record.number.value) + ": ";
    ++calls_;
    if (!found_.emplace(call.id, record.number.value).second) {
        throw Wrong(at + text(call.id) + " is in the journal twice");
    }
    std::uint32_t& last = runs_[call.id.run];
    if (call.id.number.value != last + 1) {
        throw Wrong(at + text(call.id) + " follows number " + number_text(last) + " of its run");
    }
    last = call.id.number.value;
    const auto saved = logs_.calls.find(call.id);
    if (saved == logs_.calls.end()) {
        throw Wrong(at + text(call.id) + " is in the journal, and no table had saved it");
    }
    if (saved->second.bytes != encode(call)) {
        throw Wrong(at + text(call.id) + " is not as it was saved (" + saved->second.where + ")");
    }
    if (saved->second.device != record.device) {
        throw Wrong(at + text(call.id) + " is from another device than saved it (" +
                    saved->second.where + ")");
    }
    const auto& verdict = saved->second.verdict;
    if (verdict && static_cast<int>(record.verdict) != verdict->kind) {
        throw Wrong(at + text(call.id) + " has another verdict than its table heard (" +
                    verdict->where + ")");
    }
    if (record.verdict == Verdict::applied) changes_.emplace(call.mat.value, last_);
    const bool may_end = std::holds_alternative<Confirm>(call.what) ||
                         std::holds_alternative<Strike>(call.what);
    if (may_end && record.verdict == Verdict::applied) may_be_results_.insert(record.number.value);
}

void Held::acknowledged() const {
    for (const auto& [id, call] : logs_.calls) {
        if (!call.verdict) continue;
        const auto found = found_.find(id);
        if (found == found_.end()) {
            throw Wrong(call.verdict->where + ": " + text(id) +
                        " was acknowledged and is not in the journal");
        }
        if (found->second != call.verdict->record) {
            throw Wrong(call.verdict->where + ": " + text(id) + " was acknowledged with record " +
                        number_text(call.verdict->record) + " and is record " +
                        number_text(found->second));
        }
    }
}

// What one client heard as a result, nobody else who got further may have missed.
void Held::results() {
    std::set<std::uint32_t> all;
    for (const auto& [who, client] : logs_.clients)
        all.insert(client.results.begin(), client.results.end());
    for (const std::uint32_t number : all) {
        if (may_be_results_.count(number) == 0) {
            throw Wrong("result " + number_text(number) + " is no confirmation that was applied");
        }
    }
    for (const auto& [who, client] : logs_.clients) {
        if (client.results.empty()) continue;
        auto heard = client.results.begin();
        for (const std::uint32_t number : all) {
            if (number > client.results.back()) break;
            if (*heard != number) throw Wrong(who + " was not sent result " + number_text(number));
            ++heard;
        }
    }
}

void Held::ended() const {
    for (const auto& [id, call] : logs_.calls) {
        if (!call.verdict) throw Wrong(call.where + ": " + text(id) + " never got a verdict");
    }
    std::map<std::uint32_t, std::pair<std::string, LastView>> mats;
    const std::vector<std::uint32_t>* results = nullptr;
    for (const auto& [who, client] : logs_.clients) {
        for (const auto& [mat, last] : client.mats) {
            const auto& [first, same] = mats.try_emplace(mat, who, last).first->second;
            if (last.number != same.number || last.hash != same.hash) {
                throw Wrong("mat " + number_text(mat) + " looks otherwise for " + who +
                            " than for " + first);
            }
        }
        if (client.results.empty()) continue;
        if (results != nullptr && *results != client.results) {
            throw Wrong(who + " ended with other results than another client");
        }
        results = &client.results;
    }
}

int check(const std::string& folder, bool ended, const std::vector<std::string>& files) {
    Logs logs;
    for (const std::string& file : files)
        logs.read(file);
    Held held(logs, folder);
    held.against_journal();
    held.results();
    if (ended) held.ended();
    std::uint64_t acknowledged = 0;
    for (const auto& [id, call] : logs.calls)
        acknowledged += call.verdict ? 1 : 0;
    std::cout << "records " << held.records() << ", calls in them " << held.calls() << ", saved "
              << logs.calls.size() << ", acknowledged " << acknowledged << ", verdicts "
              << logs.verdicts << ", views " << logs.views << ", results " << logs.results
              << ", welcomes " << logs.welcomes << "\n";
    return 0;
}

}  // namespace
}  // namespace honbu::crash

int main(int count, char** words) {
    std::string folder;
    bool ended = false;
    std::vector<std::string> files;
    for (int i = 1; i < count; ++i) {
        const std::string word = words[i];
        if (word == "--data" && i + 1 < count) {
            folder = words[++i];
        } else if (word == "--ended") {
            ended = true;
        } else {
            files.push_back(word);
        }
    }
    if (folder.empty() || files.empty()) {
        std::cerr << "kept_check --data DIR [--ended] LOG...\n";
        return 2;
    }
    try {
        return honbu::crash::check(folder, ended, files);
    } catch (const honbu::crash::Wrong& wrong) {
        std::cout << "WRONG: " << wrong.what() << "\n";
        return 1;
    }
}

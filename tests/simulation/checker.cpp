#include "tests/simulation/checker.h"

#include <algorithm>

#include "tests/simulation/checker_names.h"

namespace honbu::simulation {

std::string difference(const std::string& said, const std::string& truth) {
    const auto [in_said, in_truth] = std::mismatch(said.begin(), said.end(), truth.begin(),
                                                   truth.end());
    const auto line = [](const std::string& all, std::string::const_iterator at) {
        auto first = at;
        while (first != all.begin() && *(first - 1) != '\n')
            --first;
        return std::string(first, std::find(at, all.end(), '\n'));
    };
    return "\n    said:  " + line(said, in_said) + "\n    truth: " + line(truth, in_truth);
}

Checker::Checker(std::map<PersonId, Named> people)
    : people_(std::move(people)), known_(people_), decided_(people_) {}

void Checker::hold(bool fact, const std::string& promise, const std::string& words) {
    ++checks_;
    if (!fact) throw Broken(promise + ": " + words);
}

// Nothing that a crash could take back is shown to anybody.
void Checker::on_disk(RecordNumber number, const std::string& what) {
    hold(number <= kept_, "durable before visible",
         what + " of " + name(number) + " left while the disk held only " + name(kept_));
    hold(number <= told_, "durable before visible",
         what + " of " + name(number) + " left before the disk had answered for it");
    promised_ = std::max(promised_, number);
}

void Checker::read_up_to(Reading& reading, RecordNumber number) {
    while (reading.number() < number) {
        const std::string wrong = reading.take(rows_.at(reading.number().value));
        hold(wrong.empty(), "the journal is what it should be", wrong);
    }
}

// A table that runs our logic folds each of its calls as the hub does, in whatever weather. Only a
// bout that the desk has had meanwhile may be another one than it knows.
void Checker::no_honest_table_differs(const Call& call) {
    if (!saved_.contains(call.id) || lied_) return;
    const Reading::CallRead& read = *decided_.call(call.id);
    const Reading::Bout* bout = decided_.bout(call.bout);
    if (bout != nullptr && bout->given_back) return;
    hold(!read.state_differs && read.verdict != Verdict::without_effect,
         "the table and the hub see the same bout",
         name(call.id) + ", " + name(call.bout) + ": " + std::string(word(call.what)) +
             " was entered into another state than the hub folds");
}

// -- the disk

void Checker::appended(RecordNumber number, Row row) {
    hold(number.value == rows_.size() + 1, "one chain without gaps",
         name(number) + " was written after " + text(rows_.size()));
    const auto record = decode_record(row.bytes);
    hold(record.has_value(), "the journal is what it should be", name(number) + " can't be read");
    was_wished(*record);
    rows_.push_back(std::move(row));
    read_up_to(decided_, number);
    const auto* call = std::get_if<Call>(&record->fact);
    if (call == nullptr) return;
    const std::string content = encode(*call);
    const auto honest = saved_.find(call->id);
    const auto other = strange_.find(call->id);
    const bool known = (honest != saved_.end() &&
                        honest->second == std::pair(record->device, content)) ||
                       (other != strange_.end() &&
                        std::find(other->second.begin(), other->second.end(), content) !=
                            other->second.end());
    hold(known, "nothing comes from nowhere",
         name(number) + " holds " + name(call->id) + ", which no device has saved like that");
    no_honest_table_differs(*call);
}

void Checker::kept(RecordNumber number) {
    hold(number >= kept_ && number.value <= rows_.size(), "the simulator's own disk",
         "it keeps " + name(number) + " of " + text(rows_.size()));
    kept_ = number;
}

void Checker::cut(RecordNumber kept) {
    kept_ = kept;
    rows_.resize(kept.value);
    decided_ = Reading(people_);
    read_up_to(decided_, kept);
    for (auto& [key, asked] : wishes_) {
        if (asked.record > kept) asked.record = RecordNumber{};
    }
}

void Checker::power_cut(RecordNumber kept) {
    hold(kept >= promised_ && kept >= kept_, "acknowledged means kept",
         "after the cut the disk holds " + name(kept) + ", and " + name(promised_) + " was seen");
    cut(kept);
}

// Only the seeds in which this happens may lose what anybody was shown. Then it has to be said.
void Checker::lost(RecordNumber kept, bool lie) {
    hold(kept <= kept_, "the simulator's own disk", "it loses what it never had");
    lied_ = lied_ || lie;
    promised_ = std::min(promised_, kept);
    cut(kept);
    if (known_.number() > kept) known_ = Reading(people_);
    for (auto& [who, screen] : screens_) {
        if (screen.seen > kept) screen.owed = true;
    }
}

// -- the hub

void Checker::hub_began(RecordNumber number) {
    hold(number == kept_, "same journal, same state",
         "the hub began with " + name(number) + " of " + name(kept_));
    told_ = number;
    read_up_to(known_, number);
    session_results_.clear();
    session_records_.clear();
    answered_.clear();
    missing_.clear();
}

void Checker::hub_told(RecordNumber number) { told_ = number; }
void Checker::hub_through() { read_up_to(known_, told_); }

void Checker::hub_state(const std::string& bytes, const std::string& how) {
    hold(bytes == known_.state_bytes(), "same journal, same state",
         "after " + how + " the hub's state is not the fold of the journal's " +
             text(known_.number().value) + " records");
}

// -- tables

void Checker::saved(DeviceId device, const Call& call) {
    const auto [at, fresh] = saved_.emplace(call.id, std::pair(device, encode(call)));
    hold(fresh || at->second == std::pair(device, encode(call)), "a number is given once",
         name(call.id) + " was saved twice with other content");
}

void Checker::submitted(DeviceId device, const Call& call) {
    const auto at = saved_.find(call.id);
    hold(at != saved_.end() && at->second == std::pair(device, encode(call)), "saved before sent",
         name(call.id) + " was sent and is not saved like that");
}

void Checker::strange(DeviceId, const Call& call) { strange_[call.id].push_back(encode(call)); }

}  // namespace honbu::simulation

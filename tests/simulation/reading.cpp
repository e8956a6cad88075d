#include "tests/simulation/reading.h"

#include <algorithm>

namespace honbu::simulation {
namespace {

std::string text(std::uint64_t number) { return std::to_string(number); }
template<class Enum> std::string choice(Enum value) {
    return text(static_cast<std::uint64_t>(value));
}

}  // namespace

std::string Reading::take(const Row& row) {
    const auto record = decode_record(row.bytes);
    const std::string place = "record " + text(number_.value + 1);
    if (!record) return place + " can't be read";
    if (encode(*record) != row.bytes) return place + " is not in the canonical form";
    if (record->number.value != number_.value + 1) {
        return "record " + text(record->number.value) + " stands where " + text(number_.value + 1) +
               " belongs";
    }
    if (record->previous != last_hash_) return place + " breaks the chain of hashes";
    if (record->received < last_received_) return place + " goes back in time";
    number_ = record->number;
    last_hash_ = sha256(row.bytes);
    std::uint64_t first_bytes = 0;
    for (std::size_t i = 0; i < 8; ++i)
        first_bytes = first_bytes << 8 | last_hash_[i];
    hashes_.push_back(first_bytes);
    last_received_ = record->received;
    if (const auto* call = std::get_if<Call>(&record->fact); call != nullptr && row.typed) {
        if (bouts_.contains(call->bout)) return place + " types names for a bout of the plan";
        if (typed_.contains(call->bout)) return place + " types names for a bout that has some";
        if (typed_erased_.contains(call->bout)) return place + " brings back what was erased";
        typed_[call->bout] = *row.typed;
    } else if (row.typed) {
        return place + " has typed names beside it and is no call";
    }
    if (!row.erased.empty() && !std::holds_alternative<PersonErased>(record->fact)) {
        return place + " takes something away beside it and does not say so";
    }
    const std::string wrong = take_fact(*record, row);
    if (!wrong.empty()) return place + " " + wrong;
    note_shown();
    return {};
}

std::string Reading::take_fact(const Record& record, const Row& row) {
    struct Take {
        Reading& in;
        const Record& record;
        const Row& row;
        std::string operator()(const EpochBegan& f) const { return in.take_epoch(record, f); }
        std::string operator()(const CompetitionLoaded& f) const {
            return in.take_competition(record, f);
        }
        std::string operator()(const MatTaken& f) const { return in.take_taken(record, f); }
        std::string operator()(const Call& f) const { return in.take_call(record, f); }
        std::string operator()(const MatFreed& f) const { return in.take_freed(record, f); }
        std::string operator()(const SetAsideDecided& f) const {
            return in.take_decision(record, f);
        }
        std::string operator()(const ResultEntered& f) const { return in.take_result(record, f); }
        std::string operator()(const RecordMoved& f) const { return in.take_moved(record, f); }
        std::string operator()(const BoutGivenBack& f) const {
            return in.take_given_back(record, f);
        }
        std::string operator()(const DeviceLetIn&) const { return {}; }
        std::string operator()(const DeviceShutOut&) const { return {}; }
        std::string operator()(const PersonErased& f) const {
            return in.take_erased(record, f, row);
        }
        std::string operator()(const CallsHandedIn&) const {
            return "hands calls in, as none here";
        }
    };
    const bool numbered = std::holds_alternative<Call>(record.fact);
    if (numbered == (record.verdict == Verdict::none)) {
        return numbered ? "is a call without a verdict" : "has a verdict and is no call";
    }
    return std::visit(Take{*this, record, row}, record.fact);
}

// The first record, and where a copy goes on: then nobody has a mat, and terms grow by 1,000 and
// by the number of the epoch modulo a million (docs/journal.md): none is given twice.
std::string Reading::take_epoch(const Record& record, const EpochBegan& began) {
    if (record.device != DeviceId{}) return "begins an epoch and comes from a client";
    if (began.epoch == Epoch{}) return "begins an epoch without a name";
    if (began.fold_version != fold_version) return "names another fold than the running one";
    for (const Span& known : epochs_) {
        if (known.epoch == began.epoch) return "begins an epoch that there was before";
    }
    const Epoch parent = epochs_.empty() ? Epoch{} : epochs_.back().epoch;
    if (began.parent != parent) return "names another parent than the epoch before it";
    if (!epochs_.empty() && began.rehearsal_rate != rate_) return "changes the rehearsal's rate";
    rate_ = began.rehearsal_rate;
    epochs_.push_back({began.epoch, record.number});
    for (auto& [id, mat] : mats_) {
        mat.holder = DeviceId{};
        mat.term.value += 1'000 + static_cast<std::uint32_t>(began.epoch.value % 1'000'000);
        mat.before_epoch = mat.term;
    }
    return {};
}

std::string Reading::take_competition(const Record& record, const CompetitionLoaded& loaded) {
    if (record.device != DeviceId{}) return "loads a competition and comes from a client";
    if (competition_ || epochs_.empty()) return "loads a competition where none belongs";
    competition_ = loaded;
    for (const BoutEntry& entry : loaded.bouts) {
        bouts_[entry.bout].entry = entry;
        mats_[entry.mat].order.push_back(entry.bout);
    }
    return {};
}

// Terms rise by one. That none is given that a lost part has given the checker sees, who knows it.
std::string Reading::take_taken(const Record& record, const MatTaken& taken) {
    const auto found = mats_.find(taken.mat);
    if (found == mats_.end()) return "takes a mat that there is not";
    Mat& mat = found->second;
    if (record.device == DeviceId{} || is_desk(record.device)) return "takes a mat for no table";
    if (mat.holder == record.device) return "takes a mat for the table that has it";
    if (taken.term.value != mat.term.value + 1) {
        return "takes a mat with term " + text(taken.term.value) + " after term " +
               text(mat.term.value);
    }
    mat.term = taken.term;
    mat.holder = record.device;
    mat.hand = record.hand;
    mat.taken = record.received;
    mat.taken_by = record.number;
    mat.differs = false;
    return {};
}

// By the table that has it, or by the desk.
std::string Reading::take_freed(const Record& record, const MatFreed& freed) {
    const auto found = mats_.find(freed.mat);
    if (found == mats_.end()) return "frees a mat that there is not";
    Mat& mat = found->second;
    if (mat.holder == DeviceId{}) return "frees a mat that nobody has";
    if (freed.term != mat.term) return "frees a mat and changes its term";
    if (record.device != mat.holder && !is_desk(record.device)) {
        return "frees a mat for a table that does not have it";
    }
    if (freed.by_desk != is_desk(record.device)) return "frees a mat and says wrongly who did";
    mat.holder = DeviceId{};
    return {};
}

std::string Reading::take_call(const Record& record, const Call& call) {
    std::vector<CallRead>& run = runs_[call.id.run];
    const std::string which = "is call " + text(call.id.number.value) + " of its run and ";
    if (call.id.number.value != run.size() + 1) {
        return which + "out of turn: number " + text(run.size() + 1) + " comes next";
    }
    if (!run.empty() && run.front().device != record.device) {
        return which + "comes from another device than the run";
    }
    const auto found = bouts_.find(call.bout);
    const auto mat = mats_.find(call.mat);
    const bool planned = found != bouts_.end() && mat != mats_.end() &&
                         found->second.entry.mat == call.mat;
    const bool desk = is_desk(record.device);
    if (desk && (!planned || !desk_may_write(found->second) || call.term != Term{})) {
        return which + "the desk had no right to it";
    }
    if (!desk && std::holds_alternative<Accept>(call.what)) return which + "no table accepts";
    const bool may = desk || (planned && !found->second.at_desk &&
                              mat->second.holder == record.device && mat->second.term == call.term);
    CallRead read{call,          encode(call), record.device, record.hand, Verdict::set_aside,
                  record.number, false};
    if (may) {
        const Bout& bout = found->second;
        read.verdict = no_entry(under(bout), bout.calls, call) ? Verdict::without_effect
                                                               : Verdict::applied;
        read.state_differs = call.seen != 0 &&
                             short_hash(before(under(bout), bout.calls, call)) != call.seen;
    }
    if (record.verdict != read.verdict) {
        return which + "has verdict " + choice(record.verdict) +
               ", and by term, holder, desk and fold it is " + choice(read.verdict);
    }
    // A confirmation is taken at its word, and marked where it is not what the calls come to.
    if (const auto* confirm = std::get_if<Confirm>(&call.what);
        confirm != nullptr && read.verdict == Verdict::applied) {
        Bout with = found->second;
        with.calls.push_back(call);
        if (!confirmed_as_folded(with, confirm->result)) read.state_differs = true;
    }
    run.push_back(read);
    if (read.state_differs && mat->second.term == call.term) mat->second.differs = true;
    if (read.verdict != Verdict::applied) {
        aside_.insert(call.id);
        aside_changed_ = record.number;
        return {};
    }
    Bout& bout = found->second;
    bout.calls.push_back(call);
    bout.changed = record.number;
    fold_again(bout);
    if (desk) {
        bout.at_desk = true;
    } else {
        mat->second.current = call.bout;
    }
    note_results(record, bout, std::holds_alternative<Confirm>(call.what));
    return {};
}

const Reading::CallRead* Reading::call(CallId id) const {
    const auto run = runs_.find(id.run);
    if (run == runs_.end() || id.number.value == 0 || id.number.value > run->second.size()) {
        return nullptr;
    }
    return &run->second[id.number.value - 1];
}

const Reading::Bout* Reading::bout(BoutId id) const {
    const auto found = bouts_.find(id);
    return found == bouts_.end() ? nullptr : &found->second;
}

std::uint64_t Reading::hash(RecordNumber number) const {
    if (number.value == 0 || number.value > hashes_.size()) return 0;
    return hashes_[number.value - 1];
}

Conditions Reading::under(const Bout& bout) const {
    const CategoryEntry& category = competition_->categories.at(bout.entry.category);
    return Conditions{competition_->rules.at(category.rules), category.time, category.golden};
}

}  // namespace honbu::simulation

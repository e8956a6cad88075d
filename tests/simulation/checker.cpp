#include "tests/simulation/checker.h"

#include <algorithm>

namespace honbu::simulation {
namespace {

std::string text(std::uint64_t number) { return std::to_string(number); }
std::string name(RecordNumber number) { return "record " + text(number.value); }
std::string name(CallId id) {
    return "call " + text(id.number.value) + " of run " + text(id.run.value % 10'000);
}

// The first line in which two texts differ, of each.
std::string difference(const std::string& a, const std::string& b) {
    const auto [in_a, in_b] = std::mismatch(a.begin(), a.end(), b.begin(), b.end());
    const auto line = [](const std::string& all, std::string::const_iterator at) {
        auto first = at;
        while (first != all.begin() && *(first - 1) != '\n')
            --first;
        return std::string(first, std::find(at, all.end(), '\n'));
    };
    return "\n    said:  " + line(a, in_a) + "\n    truth: " + line(b, in_b);
}

}  // namespace

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
        if (&reading == &decided_) no_honest_table_differs();
    }
}

// A table that runs our logic folds each of its calls as the hub does, in whatever weather.
void Checker::no_honest_table_differs() {
    const auto record = decode_record(rows_.at(decided_.number().value - 1));
    const auto* call = std::get_if<Call>(&record->fact);
    if (call == nullptr || !saved_.contains(call->id)) return;
    const Reading::CallRead& read = *decided_.call(call->id);
    hold(!read.state_differs && read.verdict != Verdict::without_effect,
         "the table and the hub see the same bout",
         name(call->id) + " was entered into another state than the hub folds");
}

// -- the disk

void Checker::appended(RecordNumber number, const std::string& bytes) {
    hold(number.value == rows_.size() + 1, "one chain without gaps",
         name(number) + " was written after " + text(rows_.size()));
    rows_.push_back(bytes);
    read_up_to(decided_, number);
    const auto record = decode_record(bytes);
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
}

void Checker::kept(RecordNumber number) {
    hold(number >= kept_ && number.value <= rows_.size(), "the simulator's own disk",
         "it keeps " + name(number) + " of " + text(rows_.size()));
    kept_ = number;
}

void Checker::power_cut(RecordNumber kept) {
    hold(kept >= promised_ && kept >= kept_, "acknowledged means kept",
         "after the cut the disk holds " + name(kept) + ", and " + name(promised_) + " was seen");
    kept_ = kept;
    rows_.resize(kept.value);
    decided_ = Reading(people_);
    read_up_to(decided_, kept);
}

// -- the hub

void Checker::hub_began(RecordNumber number) {
    hold(number == kept_, "same journal, same state",
         "the hub began with " + name(number) + " of " + name(kept_));
    told_ = number;
    read_up_to(known_, number);
    session_results_.clear();
}

void Checker::hub_told(RecordNumber number) { told_ = number; }
void Checker::hub_through() { read_up_to(known_, told_); }

void Checker::hub_state(const std::string& bytes, const std::string& how) {
    hold(bytes == known_.state_bytes(), "same journal, same state",
         "after " + how + " the hub's state is not the fold of the journal's " +
             text(known_.number().value) + " records");
}

// -- what leaves the hub

void Checker::welcome_left(DeviceId device, RecordNumber number,
                           const std::vector<RunHead>& heads) {
    on_disk(number, "a welcome");
    hold(number == known_.number(), "a snapshot includes what was acknowledged",
         "a welcome names " + name(number) + " and the hub has " + name(known_.number()));
    for (const auto& [run, calls] : known_.runs()) {
        if (calls.front().device != device) continue;
        const auto head = std::find_if(heads.begin(), heads.end(),
                                       [run = run](const RunHead& h) { return h.run == run; });
        hold(head != heads.end() && head->last.value == calls.size(), "exactly once",
             "a welcome says the hub has up to " +
                 text(head == heads.end() ? 0 : head->last.value) + " of a run of which it has " +
                 text(calls.size()));
    }
}

void Checker::verdict_left(CallId call, Verdict verdict, RecordNumber record, bool differs) {
    on_disk(record, "a verdict");
    read_up_to(known_, record);
    const Reading::CallRead* read = known_.call(call);
    hold(read != nullptr, "acknowledged means kept",
         name(call) + " was answered and is in no record");
    hold(read->record == record && read->verdict == verdict, "the same answer for every copy",
         name(call) + " is " + name(read->record) + " with verdict " +
             text(static_cast<std::uint64_t>(read->verdict)) + "; the answer was " + name(record) +
             ", " + text(static_cast<std::uint64_t>(verdict)));
    hold(read->state_differs == differs, "a difference raises the alarm",
         name(call) + (differs ? " is said to differ and does not" : " differs in silence"));
}

void Checker::refusal_left(DeviceId device, const Call& call, Refused why) {
    const auto run = decided_.runs().find(call.id.run);
    const std::size_t given = run == decided_.runs().end() ? 0 : run->second.size();
    const std::uint32_t number = call.id.number.value;
    if (why == Refused::gap) {
        hold(number == 0 || number > given + 1, "a table's order",
             name(call.id) + " was refused as a gap, and " + text(given) + " were there");
    } else if (why == Refused::other_content) {
        const bool other_device = given > 0 && run->second.front().device != device;
        const Reading::CallRead* read = decided_.call(call.id);
        hold(other_device || (read != nullptr && read->bytes != encode(call)), "exactly once",
             name(call.id) + " was refused as another call, and it is the same");
    }
}

bool Checker::must_refuse(DeviceId device, const Call& call) const {
    const auto run = decided_.runs().find(call.id.run);
    if (run == decided_.runs().end()) return call.id.number.value != 1;
    if (run->second.front().device != device) return true;
    if (call.id.number.value > run->second.size() + 1) return true;
    const Reading::CallRead* read = decided_.call(call.id);
    return read != nullptr && read->bytes != encode(call);
}

void Checker::not_refused(const Call& call) {
    hold(false, "exactly once, and in the table's order",
         name(call.id) + " can't be taken and was not refused");
}

void Checker::allotment_left(DeviceId device, const Allotment& allotment) {
    std::string wrong = wrong_with(allotment, device);
    while (!wrong.empty() && known_.number() < told_) {
        read_up_to(known_, RecordNumber{known_.number().value + 1});
        wrong = wrong_with(allotment, device);
    }
    hold(wrong.empty(), "a snapshot includes what was acknowledged", wrong);
}

// Empty: the allotment is that of this instant.
std::string Checker::wrong_with(const Allotment& allotment, DeviceId device) const {
    const std::string which = "mat " + text(allotment.mat.value);
    const auto found = known_.mats().find(allotment.mat);
    if (found == known_.mats().end()) return which + " was given and does not exist";
    const Reading::Mat& mat = found->second;
    if (mat.holder != device || mat.term != allotment.term) {
        return which + " was given with term " + text(allotment.term.value) + "; it has term " +
               text(mat.term.value);
    }
    if (allotment.bouts.size() != mat.order.size()) return which + " was not given whole";
    for (const BoutGiven& bout : allotment.bouts) {
        const BoutId id = bout.head.bout;
        const std::string head = described(bout.head);
        const std::string truth = described(known_.listed(id));
        if (head != truth) return "a bout was given with other names" + difference(head, truth);
        if (bout.confirmed != known_.confirmed(id)) {
            return "bout " + text(id.value) + " was given as if it were " +
                   (bout.confirmed ? "confirmed" : "open");
        }
        if (bout.confirmed) continue;
        const std::vector<Call>& calls = known_.applied(id);
        const bool same = std::equal(
            bout.calls.begin(), bout.calls.end(), calls.begin(), calls.end(),
            [](const Call& a, const Call& b) { return encode(a) == encode(b); });
        if (!same) {
            return "bout " + text(id.value) + " was given with " + text(bout.calls.size()) +
                   " calls; the journal applies " + text(calls.size());
        }
    }
    return {};
}

void Checker::view_left(const MatView& view) {
    const std::string what = "a view of mat " + text(view.mat.value);
    on_disk(view.number, what);
    const Reading::Mat& mat = known_.mats().at(view.mat);
    hold(view.number >= mat.changed_shown, "a snapshot includes what was acknowledged",
         what + " has number " + text(view.number.value) + ", and " + name(mat.changed_shown) +
             " changed what it shows");
    const std::string shown = described(view);
    hold(shown == mat.shown, "screens show what the journal says",
         what + " at " + name(view.number) + difference(shown, mat.shown));
    const bool taken = mat.holder != DeviceId{};
    hold((view.table == TableLine::none) == !taken, "screens show what the journal says",
         what + " is wrong about whether a table has it");
}

void Checker::subscribed(Who session, RecordNumber after) { session_results_[session] = after; }

const Reading::Item* Checker::next_result(RecordNumber after) const {
    const auto& all = known_.results();
    const auto next = std::find_if(
        all.begin(), all.end(), [after](const Reading::Item& item) { return item.number > after; });
    return next == all.end() ? nullptr : &*next;
}

void Checker::same_item(const Reading::Item& item, const Reading::Item& expected) {
    hold(item.number == expected.number, "never a silent skip",
         "result " + text(item.number.value) + " came where " + text(expected.number.value) +
             " is next");
    hold(item.mat == expected.mat && item.bout == expected.bout && item.result == expected.result &&
             item.words == expected.words && item.confirmed == expected.confirmed,
         "screens show what the journal says",
         "the result of " + name(item.number) + " is not as recorded" +
             difference(item.bout + "\n" + item.words, expected.bout + "\n" + expected.words));
}

void Checker::result_left(Who session, const Reading::Item& item) {
    on_disk(item.number, "a result");
    RecordNumber& cursor = session_results_[session];
    const Reading::Item* expected = next_result(cursor);
    hold(expected != nullptr, "never a silent skip",
         "result " + text(item.number.value) + " came after the last one, " + text(cursor.value));
    same_item(item, *expected);
    cursor = item.number;
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

// -- screens

void Checker::screen_began(Who screen) { screens_[screen] = Screen(); }

void Checker::view_read(Who screen, const MatView& view, const std::string& bytes) {
    Screen& s = screens_[screen];
    RecordNumber& number = s.numbers[view.mat];
    hold(view.number >= number, "never backwards on a screen",
         "mat " + text(view.mat.value) + ": number " + text(view.number.value) + " after " +
             text(number.value));
    number = view.number;
    s.latest[view.mat] = {view, bytes};
}

void Checker::result_read(Who screen, const Reading::Item& item) {
    RecordNumber& last = screens_[screen].last_result;
    const Reading::Item* expected = next_result(last);
    hold(expected != nullptr, "never a silent skip",
         "a screen read result " + text(item.number.value) + " after the last one");
    same_item(item, *expected);
    last = item.number;
}

// -- the end

void Checker::all_quiet(const std::vector<Who>& screens, const std::vector<Who>& with_results) {
    hold(told_ == kept_ && kept_.value == rows_.size(), "after faults all is kept",
         "the hub knows of " + text(told_.value) + " of " + text(rows_.size()) + " records");
    for (const auto& [id, device_and_bytes] : saved_) {
        const Reading::CallRead* read = known_.call(id);
        hold(read != nullptr, "saved here means sent later",
             name(id) + " was saved at a table and never came to the journal");
        hold(read->bytes == device_and_bytes.second && read->device == device_and_bytes.first,
             "exactly once", name(id) + " is in the journal with other content");
        hold(read->verdict != Verdict::none, "every call has a verdict", name(id) + " has none");
    }
    std::map<MatId, std::string> seen;
    for (const Who screen : screens) {
        for (const auto& [id, mat] : known_.mats()) {
            const auto at = screens_[screen].latest.find(id);
            hold(at != screens_[screen].latest.end(), "after faults all reach the latest",
                 "a screen shows nothing of mat " + text(id.value));
            const auto& [view, bytes] = at->second;
            hold(described(view) == mat.shown, "after faults all reach the latest",
                 "a screen stayed at " + name(view.number) + " of mat " + text(id.value) +
                     difference(described(view), mat.shown));
            const auto [first, fresh] = seen.emplace(id, bytes);
            hold(fresh || first->second == bytes, "all screens show the same",
                 "two screens show mat " + text(id.value) + " differently");
        }
    }
    for (const Who screen : with_results) {
        hold(next_result(screens_[screen].last_result) == nullptr,
             "after faults all reach the latest",
             "a screen has results up to " + text(screens_[screen].last_result.value) + " only");
    }
}

void Checker::table_quiet(DeviceId device, std::size_t unsent) {
    hold(unsent == 0, "every call has a verdict",
         "table " + text(device.value) + " still waits for " + text(unsent) + " answers");
}

// The table that has a mat sees its bout as everybody does.
void Checker::table_agrees(DeviceId device, const MatView& own) {
    const Reading::Mat& mat = known_.mats().at(own.mat);
    if (!own.has_bout || mat.holder != device || mat.current != own.bout.bout) return;
    MatView frames_only;
    frames_only.mat = own.mat;
    frames_only.frames = own.frames;
    const std::string mine = described(frames_only);
    const std::string truth = "mat " + text(own.mat.value) + "\n" + known_.frames_of(own.bout.bout);
    hold(mine == truth, "the table and the hub see the same bout",
         "table " + text(device.value) + ", bout " + text(own.bout.bout.value) +
             difference(mine, truth));
}

void Checker::verdict_kept(DeviceId device, CallId call, Verdict verdict) {
    const Reading::CallRead* read = known_.call(call);
    hold(read != nullptr && read->verdict == verdict, "the same answer for every copy",
         "table " + text(device.value) + " keeps another verdict of " + name(call));
}

}  // namespace honbu::simulation

// What leaves the hub: never before the disk has it, and always as the journal says.
#include <algorithm>

#include "tests/simulation/checker.h"
#include "tests/simulation/checker_names.h"

namespace honbu::simulation {
namespace {

constexpr const char* as_journal = "screens show what the journal says";
constexpr const char* snapshot = "a snapshot includes what was acknowledged";

// The last record of each epoch; 0: this journal knows nothing of it.
RecordNumber last_of(const Reading& reading, Epoch epoch) {
    const auto& all = reading.epochs();
    for (std::size_t i = 0; i < all.size(); ++i) {
        if (all[i].epoch != epoch) continue;
        return i + 1 < all.size() ? RecordNumber{all[i + 1].first.value - 1} : reading.number();
    }
    return {};
}

}  // namespace

void Checker::welcome_left(const Welcomed& who, const Position& seen, const WelcomeTold& welcome,
                           const std::vector<RunHead>& heads) {
    on_disk(welcome.at.number, "a welcome");
    hold(welcome.at.number == known_.number(), snapshot,
         "a welcome names " + name(welcome.at.number) + " and the hub has " +
             name(known_.number()));
    hold(welcome.at.epoch == known_.epochs().back().epoch &&
             welcome.at.hash == known_.hash(known_.number()),
         as_journal, "a welcome names another position than " + name(known_.number()));
    std::vector<Epoch> earlier;
    for (const Reading::Span& span : known_.epochs())
        earlier.push_back(span.epoch);
    earlier.pop_back();
    hold(welcome.earlier == earlier, as_journal, "a welcome names other epochs before this one");
    // A chain can't show that its own end was cut off; whoever has seen further can.
    const RecordNumber last = last_of(known_, seen.epoch);
    const bool compares = last != RecordNumber{};
    const std::uint32_t missing = compares && seen.number > last ? seen.number.value - last.value
                                                                 : 0;
    const bool differs = compares && seen.hash != 0 && seen.number <= last &&
                         known_.hash(seen.number) != seen.hash;
    hold(welcome.missing == missing && welcome.differs == differs, "what is missing is said",
         "who has seen " + name(seen.number) + " is told that " + text(welcome.missing) +
             " are missing" + (welcome.differs ? " and it differs" : "") + "; it is " +
             text(missing) + (differs ? " and it differs" : ""));
    // Who can name a record's hash, or has calls here, has seen this journal for certain.
    const bool has_calls = std::any_of(
        decided_.runs().begin(), decided_.runs().end(),
        [&who](const auto& run) { return run.second.front().device == who.device; });
    if (who.believed && (seen.hash != 0 || has_calls) && missing > 0) {
        missing_[who.session] = missing;
    }
    for (const auto& [run, calls] : known_.runs()) {
        if (!who.writes || calls.front().device != who.device) continue;
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
    } else if (why == Refused::at_the_table) {
        const Reading::Bout* bout = decided_.bout(call.bout);
        const bool waits = told_.value < rows_.size();
        hold(waits || (bout != nullptr && !decided_.desk_may_write(*bout)),
             "what can be taken is not refused",
             name(call.id) + " was refused as if a table might be writing " + name(call.bout));
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

// Its mat was freed meanwhile: then a person says whether it is taken again. Where the journal went
// on from a copy nobody has freed anything.
void Checker::came_back(MatId mat, Term term, std::size_t rows_before) {
    const auto known = decided_.mats().find(mat);
    if (rows_.size() == rows_before || known == decided_.mats().end()) return;
    hold(term <= known->second.before_epoch, "a freed mat is taken by people",
         "a table that had term " + text(term.value) + " of mat " + text(mat.value) +
             " came back to it, and took it anew");
}

// -- allotments

// `wrong` is asked of each instant from the last one known to the last one that is kept.
template<class Wrong> void Checker::of_this_instant(const Wrong& wrong) {
    std::string words = wrong();
    while (!words.empty() && known_.number() < told_) {
        read_up_to(known_, RecordNumber{known_.number().value + 1});
        words = wrong();
    }
    hold(words.empty(), snapshot, words);
}

void Checker::allotment_left(DeviceId device, const Allotment& allotment) {
    of_this_instant([&] { return wrong_with(allotment, device); });
    // A term is given to one table, by one record, once and for all time.
    const Reading::Mat& mat = known_.mats().at(allotment.mat);
    const std::uint64_t by = known_.hash(mat.taken_by);
    const auto [first, fresh] = terms_.emplace(std::pair(allotment.mat, allotment.term), by);
    hold(fresh || first->second == by || lied_, "one author for each bout",
         "term " + text(allotment.term.value) + " of mat " + text(allotment.mat.value) +
             " was given before, by a record that is lost");
    if (!fresh) first->second = by;
}

void Checker::opened_left(const Allotment& allotment) {
    of_this_instant([&]() -> std::string {
        if (allotment.term != Term{} || allotment.bouts.size() != 1) {
            return "a desk was given something else than one bout without a term";
        }
        const BoutGiven& given = allotment.bouts.front();
        const Reading::Bout* bout = known_.bout(given.head.bout);
        if (bout == nullptr || bout->entry.mat != allotment.mat) {
            return "a desk was given a bout of another mat";
        }
        if (!decided_.desk_may_write(*decided_.bout(given.head.bout))) {
            return "a desk was given " + name(given.head.bout) + ", which a table may be fighting";
        }
        return wrong_with(given, true, false);
    });
}

// Empty: the allotment is that of this instant.
std::string Checker::wrong_with(const Allotment& allotment, DeviceId device) const {
    const std::string which = "mat " + text(allotment.mat.value);
    const Reading::Mat& mat = known_.mats().at(allotment.mat);
    if (allotment.term != mat.term || mat.holder != device) {
        return which + " was given with term " + text(allotment.term.value) + " to device " +
               text(device.value) + "; the journal has term " + text(mat.term.value) +
               " for device " + text(mat.holder.value);
    }
    if (allotment.bouts.size() != mat.order.size()) return which + " was not given whole";
    for (const BoutGiven& given : allotment.bouts) {
        const Reading::Bout* bout = known_.bout(given.head.bout);
        if (bout == nullptr) return which + " was given with a bout that there is not";
        // Of what is over only what ended last here may be opened again.
        const bool over = bout->confirmed || bout->standing;
        const bool with_calls = !bout->at_desk && (!over || mat.current == given.head.bout);
        std::string wrong = wrong_with(given, with_calls, bout->at_desk);
        if (!wrong.empty()) return wrong;
    }
    return {};
}

std::string Checker::wrong_with(const BoutGiven& given, bool with_calls, bool at_desk) const {
    const Reading::Bout& bout = *known_.bout(given.head.bout);
    const std::string which = name(given.head.bout) + " was given ";
    const std::string head = described(given.head);
    const std::string truth = described(known_.listed(given.head.bout));
    if (head != truth) return which + "with other names" + difference(head, truth);
    const bool over = bout.confirmed || bout.standing;
    if (given.confirmed != over) {
        return which + "as if it were " + (given.confirmed ? "confirmed" : "open");
    }
    if (given.at_desk != at_desk) {
        return which + "as if it were at " + (given.at_desk ? "the desk" : "the table");
    }
    const std::vector<Call> none;
    const std::vector<Call>& calls = with_calls ? bout.calls : none;
    const bool same = std::equal(
        given.calls.begin(), given.calls.end(), calls.begin(), calls.end(),
        [](const Call& a, const Call& b) { return encode(a) == encode(b); });
    if (!same) {
        return which + "with " + text(given.calls.size()) + " calls; it should have " +
               text(calls.size());
    }
    return wrong_with_gone(given);
}

// Of a record that was moved the table has to know: what was entered for this bout and counts as
// another one's.
std::string Checker::wrong_with_gone(const BoutGiven& given) const {
    const auto is_gone = [&given](CallId id) {
        return std::find(given.gone.begin(), given.gone.end(), id) != given.gone.end();
    };
    for (const auto& [id, bout] : known_.bouts()) {
        for (const Call& call : bout.calls) {
            if (call.id.number.value == 0) continue;  // a joint of the hub's own
            const Reading::CallRead* read = known_.call(call.id);
            const bool was_here = read != nullptr && read->verdict == Verdict::applied &&
                                  call.bout == given.head.bout;
            const bool is_here = id == given.head.bout;
            if (is_here ? is_gone(call.id) : was_here && !is_gone(call.id)) {
                return name(given.head.bout) + " was given as if " + name(call.id) +
                       (is_here ? " were another bout's" : " were still its own");
            }
        }
    }
    return {};
}

// -- views

void Checker::view_left(const MatView& view) {
    const std::string what = "a view of mat " + text(view.mat.value);
    on_disk(view.number, what);
    const Reading::Mat& mat = known_.mats().at(view.mat);
    hold(view.number >= mat.changed_shown, snapshot,
         what + " has number " + text(view.number.value) + ", and " + name(mat.changed_shown) +
             " changed what it shows");
    const std::string shown = described(view) +
                              (view.table == TableLine::none ? "no table" : "has a table");
    same_text(what, view.number, shown, mat.shown);
}

void Checker::same_text(const std::string& what, RecordNumber number, const std::string& said,
                        const std::string& truth) {
    hold(said == truth, as_journal, what + " at " + name(number) + difference(said, truth));
}

void Checker::call_list_left(RecordNumber number, const std::string& list) {
    on_disk(number, "the call list");
    same_text("the call list", number, list, described(known_.call_list()));
}

void Checker::set_aside_left(RecordNumber number, const std::string& waiting) {
    on_disk(number, "what was set aside");
    same_text("what was set aside", number, waiting, known_.set_aside());
    hold(number == known_.aside_changed(), as_journal,
         "what was set aside has " + name(number) + ", and " + name(known_.aside_changed()) +
             " changed it last");
}

void Checker::tables_left(RecordNumber number, std::uint32_t missing, const std::string& tables) {
    on_disk(number, "how the tables stand");
    same_text("how the tables stand", number, tables, described(known_.tables()));
    std::uint32_t most = 0;
    for (const auto& [session, misses] : missing_)
        most = std::max(most, misses);
    hold(missing == most, "what is missing is said",
         "the desk is shown " + text(missing) + " missing records; who is there misses " +
             text(most));
}

// Its lines: of what counted and is everybody's business, in order.
void Checker::sheet_left(RecordNumber number, const SheetTold& sheet) {
    const std::string what = "the sheet of " + name(sheet.bout.bout);
    on_disk(number, what);
    const SheetTold truth = known_.sheet(sheet.bout.bout);
    same_text(what, number, described(sheet), described(truth));
    hold(number >= truth.changed, snapshot, what + " has an older number than its last change");
    auto at = truth.lines.begin();
    for (const SheetTold::Line& line : sheet.lines) {
        at = std::find(at, truth.lines.end(), line);
        hold(at != truth.lines.end(), as_journal,
             what + " has a line '" + line.call + "' that is not in the bout, or not there");
        ++at;
    }
}

// -- streams

void Checker::subscribed(Who session, RecordNumber results_after, RecordNumber audit_after) {
    session_results_[session] = results_after;
    session_records_[session] = audit_after;
}

const Item* Checker::next_result(RecordNumber after) const {
    const auto& all = known_.results();
    const auto next = std::find_if(all.begin(), all.end(),
                                   [after](const Item& item) { return item.number > after; });
    return next == all.end() ? nullptr : &*next;
}

void Checker::same_item(const Item& item, const Item& expected) {
    hold(item.number == expected.number, "never a silent skip",
         "result " + text(item.number.value) + " came where " + text(expected.number.value) +
             " is next");
    const std::string said = described(item);
    const std::string truth = described(expected);
    hold(said == truth, as_journal,
         "the result of " + name(item.number) + " is not as recorded" + difference(said, truth));
}

void Checker::result_left(Who session, const Item& item) {
    on_disk(item.number, "a result");
    RecordNumber& cursor = session_results_[session];
    const Item* expected = next_result(cursor);
    hold(expected != nullptr, "never a silent skip",
         "result " + text(item.number.value) + " came after the last one, " + text(cursor.value));
    same_item(item, *expected);
    cursor = item.number;
}

void Checker::record_left(Who session, RecordNumber number, const std::string& bytes) {
    on_disk(number, "a record");
    RecordNumber& cursor = session_records_[session];
    hold(number.value == cursor.value + 1, "never a silent skip",
         name(number) + " was shown after " + name(cursor));
    hold(bytes == rows_.at(number.value - 1).bytes, as_journal,
         name(number) + " was shown with other bytes than were recorded");
    cursor = number;
}

}  // namespace honbu::simulation

// What screens read, and how everything must stand when the weather has cleared.
#include <algorithm>

#include "tests/simulation/checker.h"
#include "tests/simulation/checker_names.h"

namespace honbu::simulation {
namespace {

constexpr const char* latest = "after faults all reach the latest";

}  // namespace

void Checker::screen_began(Who screen) { screens_[screen] = Screen(); }

// Numbers of another journal, and of records that are lost, compare with nothing. Whoever has seen
// what is lost is told so, or had only a number to go by that the hub has reached again.
bool Checker::welcome_read(Who screen, const Position& said, const WelcomeTold& welcome) {
    Screen& s = screens_[screen];
    const bool another = welcome.at.epoch != s.epoch;
    const bool told = welcome.missing > 0 || welcome.differs;
    // A journal whose copy is older than an epoch's beginning has never heard of that epoch.
    const auto& earlier = welcome.earlier;
    const bool known = !another ||
                       std::find(earlier.begin(), earlier.end(), s.epoch) != earlier.end();
    if (s.owed && !told && known) {
        hold(said.hash == 0 && said.number <= welcome.at.number, "what is missing is said",
             "a screen has seen " + name(s.seen) + ", which is lost, and is told nothing");
        if (!another) {
            s.misled = true;
            ++misled_;
        }
    }
    s.owed = false;
    const bool forgets = another || told;
    if (forgets) {
        s = Screen();
        s.epoch = welcome.at.epoch;
    }
    s.seen = std::max(s.seen, welcome.at.number);
    return forgets;
}

void Checker::view_read(Who screen, const MatView& view, const std::string& bytes) {
    Screen& s = screens_[screen];
    s.seen = std::max(s.seen, view.number);
    if (s.misled) return;
    RecordNumber& number = s.numbers[view.mat];
    hold(view.number >= number, "never backwards on a screen",
         "mat " + text(view.mat.value) + ": number " + text(view.number.value) + " after " +
             text(number.value));
    number = view.number;
    s.latest[view.mat] = {view, bytes};
}

void Checker::result_read(Who screen, const Item& item) {
    Screen& s = screens_[screen];
    s.seen = std::max(s.seen, item.number);
    if (s.misled) return;
    const Item* expected = next_result(s.last_result);
    hold(expected != nullptr, "never a silent skip",
         "a screen read result " + text(item.number.value) + " after the last one");
    same_item(known_.with_names_of_now(item), *expected);
    s.last_result = item.number;
}

void Checker::record_read(Who screen, RecordNumber number, const std::string& bytes) {
    Screen& s = screens_[screen];
    s.seen = std::max(s.seen, number);
    hold(number.value == s.last_record.value + 1, "never a silent skip",
         "a desk read " + name(number) + " after " + name(s.last_record));
    hold(bytes == rows_.at(number.value - 1).bytes, "screens show what the journal says",
         "a desk read " + name(number) + " with other bytes than were recorded");
    s.last_record = number;
}

void Checker::other_view_read(Who screen, const std::string& what, RecordNumber number,
                              const std::string& shown) {
    Screen& s = screens_[screen];
    s.seen = std::max(s.seen, number);
    if (s.misled) return;
    auto& [last, is] = s.views[what];
    hold(number >= last, "never backwards on a screen",
         what + ": number " + text(number.value) + " after " + text(last.value));
    last = number;
    is = shown;
}

void Checker::call_list_read(Who screen, RecordNumber number, const std::string& list) {
    other_view_read(screen, "call list", number, list);
}
void Checker::set_aside_read(Who screen, RecordNumber number, const std::string& waiting) {
    other_view_read(screen, "set aside", number, waiting);
}
void Checker::tables_read(Who screen, RecordNumber number, const std::string& tables) {
    other_view_read(screen, "tables", number, tables);
}

void Checker::sheet_read(Who screen, RecordNumber number, const SheetTold& sheet) {
    other_view_read(screen, "sheet of " + name(sheet.bout.bout), number, described(sheet));
}

// -- the end

void Checker::all_quiet(const std::vector<Followed>& screens) {
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
    for (const Followed& followed : screens)
        end_of(followed, seen);
}

void Checker::end_of(const Followed& followed, std::map<MatId, std::string>& seen) {
    Screen& screen = screens_[followed.who];
    if (screen.misled) return;
    hold(!screen.owed, "what is missing is said", "a screen was never told what is lost");
    for (const auto& [id, mat] : known_.mats()) {
        const auto at = screen.latest.find(id);
        hold(at != screen.latest.end(), latest, "a screen shows nothing of mat " + text(id.value));
        const auto& [view, bytes] = at->second;
        const std::string shown = described(view) +
                                  (view.table == TableLine::none ? "no table" : "has a table");
        hold(shown == mat.shown, latest,
             "a screen stayed at " + name(view.number) + " of mat " + text(id.value) +
                 difference(shown, mat.shown));
        const auto [first, fresh] = seen.emplace(id, bytes);
        hold(fresh || first->second == bytes, "all screens show the same",
             "two screens show mat " + text(id.value) + " differently");
    }
    const auto same = [&](const std::string& what, const std::string& truth) {
        const auto at = screen.views.find(what);
        hold(at != screen.views.end(), latest, "a screen shows nothing of " + what);
        hold(at->second.second == truth, latest,
             what + " stayed at " + name(at->second.first) + difference(at->second.second, truth));
    };
    if (followed.call_list) same("call list", described(known_.call_list()));
    for (const BoutId bout : followed.sheets)
        same("sheet of " + name(bout), described(known_.sheet(bout)));
    if (followed.results) {
        hold(next_result(screen.last_result) == nullptr, latest,
             "a screen has results up to " + text(screen.last_result.value) + " only");
    }
    if (!followed.of_the_desk) return;
    same("set aside", known_.set_aside());
    same("tables", described(known_.tables()));
    hold(screen.last_record == known_.number(), latest,
         "a desk has records up to " + text(screen.last_record.value) + " only");
}

void Checker::table_quiet(DeviceId device, std::size_t unsent) {
    hold(unsent == 0, "every call has a verdict",
         "table " + text(device.value) + " still waits for " + text(unsent) + " answers");
}

// The table that has a mat sees its bout as everybody does; what the desk has is not its own.
void Checker::table_agrees(DeviceId device, const MatView& own) {
    const Reading::Mat& mat = known_.mats().at(own.mat);
    if (!own.has_bout || mat.holder != device || mat.current != own.bout.bout) return;
    const Reading::Bout& bout = *known_.bout(own.bout.bout);
    if (bout.at_desk || bout.given_back) return;
    MatView frames_only;
    frames_only.mat = own.mat;
    frames_only.frames = own.frames;
    const std::string mine = described(frames_only);
    const std::string truth = known_.frames_of(own.bout.bout);
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

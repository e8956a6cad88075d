#include "tests/simulation/reading.h"

#include <algorithm>

namespace honbu::simulation {
namespace {

std::string text(std::uint64_t number) { return std::to_string(number); }
template<class Enum> std::string choice(Enum value) {
    return text(static_cast<std::uint64_t>(value));
}

std::string described(const BoardSide& side) {
    std::string out;
    for (const std::uint8_t score : side.score)
        out += text(score) + ".";
    return out + "s" + text(side.shido) + (side.hansoku_make ? "h" : "");
}

std::string described(const FrameShown& f, std::uint32_t from) {
    std::string out = "  +" + text(f.from.ms - from) + " why " + choice(f.why) + " phase " +
                      choice(f.phase) + (f.golden ? " golden" : "") + (f.time_up ? " up" : "") +
                      " clock " + (f.clock_running ? "runs " : "stands ") +
                      (f.clock_down ? "down " : "") + text(f.clock.ms);
    if (f.hold_on) {
        out += " hold " + choice(f.hold_by) + (f.hold_running ? " runs " : " stands ") +
               text(f.hold.ms) + " reached " + text(f.hold_reached);
    }
    if (f.past_hold) {
        out += " past hold " + choice(f.past_hold_by) + " " + text(f.past_hold_value.ms);
    }
    if (f.absent.bits != 0) {
        out += " absent " + text(f.absent.bits) + " " + text(f.absent_calls) +
               (f.absent_running ? " runs " : " stands ") + text(f.absent_left.ms) +
               (f.absent_over ? " over" : "");
    }
    out += " white " + described(f.white) + " blue " + described(f.blue) + " winner " +
           choice(f.winner) + " way " + choice(f.way) + " regular " + text(f.regular.ms) +
           " limit " + text(f.limit.ms) + (f.decided ? " decided" : "") +
           (f.review ? " review" : "") + (f.signal_waits ? " signal waits" : "");
    return out + " '" + f.words + "'";
}

std::string described(const Seat& seat) {
    return text(seat.person.value) + " " + seat.name + " (" + seat.club + ") from " +
           choice(seat.from) + " " + text(seat.from_bout.value);
}

std::string described(const std::vector<FrameShown>& frames) {
    std::string out;
    for (const FrameShown& frame : frames)
        out += described(frame, frames.front().from.ms) + "\n";
    return out;
}

std::string name(RecordNumber number) { return "record " + text(number.value); }

}  // namespace

std::string described(const BoutHead& head) {
    std::string out = "bout " + text(head.bout.value) + ", " + head.category + ", " + head.round +
                      ": " + head.white_word + " " + described(head.white) + ", " + head.blue_word +
                      " " + described(head.blue) + ", levels";
    for (const Level level : head.levels)
        out += " " + choice(level);
    return out;
}

std::string described(const MatView& view) {
    std::string out = "mat " + text(view.mat.value) + "\n";
    if (view.has_bout) out += described(view.bout) + "\n";
    out += described(view.frames);
    for (const BoutHead& next : view.next)
        out += "then " + described(next) + "\n";
    return out;
}

std::string Reading::take(const std::string& bytes) {
    const auto record = decode_record(bytes);
    const RecordNumber expected{number_.value + 1};
    if (!record) return name(expected) + " can't be read";
    if (record->number != expected) return name(record->number) + " stands where another belongs";
    if (record->previous != last_hash_) return name(expected) + " breaks the chain of hashes";
    if (record->received < last_received_) return name(expected) + " goes back in time";
    number_ = expected;
    last_hash_ = sha256(bytes);
    last_received_ = record->received;

    if (const auto* loaded = std::get_if<CompetitionLoaded>(&record->fact)) {
        competition_ = *loaded;
        for (const BoutEntry& entry : loaded->bouts) {
            bouts_[entry.bout].entry = entry;
            mats_[entry.mat].order.push_back(entry.bout);
        }
    } else if (const auto* taken = std::get_if<MatTaken>(&record->fact)) {
        Mat& mat = mats_.at(taken->mat);
        if (taken->term.value != mat.term.value + 1) {
            return name(expected) + " takes a mat with term " + text(taken->term.value) +
                   " after term " + text(mat.term.value);
        }
        mat.term = taken->term;
        mat.holder = record->device;
    } else if (const auto* call = std::get_if<Call>(&record->fact)) {
        if (std::string wrong = take_call(*record, *call); !wrong.empty()) return wrong;
    }
    note_shown();
    return {};
}

std::string Reading::take_call(const Record& record, const Call& call) {
    std::vector<CallRead>& run = runs_[call.id.run];
    const std::string which = name(record.number) + ", call " + text(call.id.number.value) +
                              " of its run,";
    if (call.id.number.value != run.size() + 1) {
        return which + " is out of turn: number " + text(run.size() + 1) + " comes next";
    }
    if (!run.empty() && run.front().device != record.device) {
        return which + " comes from another device than the run";
    }
    CallRead read;
    read.call = call;
    read.bytes = encode(call);
    read.device = record.device;
    read.record = record.number;
    read.verdict = Verdict::set_aside;
    const auto found = bouts_.find(call.bout);
    const auto mat = mats_.find(call.mat);
    const bool in_charge = found != bouts_.end() && mat != mats_.end() &&
                           found->second.entry.mat == call.mat &&
                           mat->second.holder == record.device && mat->second.term == call.term;
    if (in_charge) {
        Bout& bout = found->second;
        read.verdict = no_entry(under(bout), bout.calls, call) ? Verdict::without_effect
                                                               : Verdict::applied;
        read.state_differs = call.seen != 0 &&
                             short_hash(before(under(bout), bout.calls, call)) != call.seen;
    }
    if (record.verdict != read.verdict) {
        return which + " has verdict " + choice(record.verdict) +
               ", and by term, holder and fold " + "it is " + choice(read.verdict);
    }
    run.push_back(read);
    if (read.verdict != Verdict::applied) return {};
    Bout& bout = found->second;
    bout.calls.push_back(call);
    bout.state = frames(under(bout), bout.calls).front().state;
    mat->second.current = call.bout;
    note_results(record, bout);
    return {};
}

void Reading::note_results(const Record& record, Bout& bout) {
    const bool confirmed = bout.state.phase == Phase::confirmed ||
                           bout.state.phase == Phase::accepted;
    const auto last = std::find_if(bout.calls.rbegin(), bout.calls.rend(), [](const Call& c) {
        return std::holds_alternative<Confirm>(c.what);
    });
    // Confirmed again with another result, it has another result.
    const bool another = confirmed && last == bout.calls.rbegin() &&
                         std::get<Confirm>(last->what).result != bout.standing;
    if (confirmed == bout.confirmed && !another) return;
    bout.confirmed = confirmed;
    const BoutId id = bout.entry.bout;
    if (!confirmed) {
        bout.standing.reset();
        bout.standing_since = {};
        // Names stay where a bout that waits for them has begun: people say what becomes of it.
        const bool begun_after = std::any_of(bouts_.begin(), bouts_.end(), [id](const auto& other) {
            const BoutEntry& entry = other.second.entry;
            const auto from_it = [id](const Slot& slot) {
                return slot.from != Slot::From::person && slot.value == id.value;
            };
            return !other.second.calls.empty() && (from_it(entry.white) || from_it(entry.blue));
        });
        if (!begun_after) standing_.erase(id);
        return;
    }
    const Result& result = std::get<Confirm>(last->what).result;
    bout.standing = result;
    bout.standing_since = record.number;
    standing_[id] = result;
    results_.push_back({record.number, bout.entry.mat, described(head(bout)), result,
                        words(under(bout).rules, result), record.received});
}

void Reading::note_shown() {
    for (auto& [id, mat] : mats_) {
        std::string now = described(view(id));
        if (now == mat.shown) continue;
        const bool first = mat.shown.empty();  // by the loading: nobody can have seen it before
        mat.shown = std::move(now);
        if (!first) mat.changed_shown = number_;
    }
}

const Reading::CallRead* Reading::call(CallId id) const {
    const auto run = runs_.find(id.run);
    if (run == runs_.end() || id.number.value == 0 || id.number.value > run->second.size()) {
        return nullptr;
    }
    return &run->second[id.number.value - 1];
}

Conditions Reading::under(const Bout& bout) const {
    const CategoryEntry& category = competition_->categories.at(bout.entry.category);
    return Conditions{competition_->rules.at(category.rules), category.time, category.golden};
}

// The person in a slot, through the results that stand.
std::optional<PersonId> Reading::person_in(const Slot& slot) const {
    if (slot.from == Slot::From::person) return PersonId{slot.value};
    const auto bout = bouts_.find(BoutId{slot.value});
    const auto stands = standing_.find(BoutId{slot.value});
    if (bout == bouts_.end() || stands == standing_.end()) return std::nullopt;
    const Result& result = stands->second;
    if (result.winner != Winner::white && result.winner != Winner::blue) return std::nullopt;
    const bool want_winner = slot.from == Slot::From::winner_of;
    const bool white = (result.winner == Winner::white) == want_winner;
    const BoutEntry& entry = bout->second.entry;
    return person_in(white != result.names_exchanged ? entry.white : entry.blue);
}

Seat Reading::seat(const Slot& slot) const {
    Seat out;
    out.from = slot.from;
    if (slot.from != Slot::From::person) out.from_bout = BoutId{slot.value};
    if (const auto person = person_in(slot)) {
        out.person = *person;
        out.name = people_.at(*person).name;
        out.club = people_.at(*person).club;
    }
    return out;
}

BoutHead Reading::listed(BoutId id) const {
    const Bout& bout = bouts_.at(id);
    BoutHead out;
    out.bout = id;
    out.category = competition_->categories.at(bout.entry.category).name;
    out.round = bout.entry.round;
    out.white = seat(bout.entry.white);
    out.blue = seat(bout.entry.blue);
    out.white_word = under(bout).rules.white_word;
    out.blue_word = under(bout).rules.blue_word;
    out.levels = board_levels(under(bout).rules);
    return out;
}

BoutHead Reading::head(const Bout& bout) const {
    return seated(listed(bout.entry.bout), bout.state.names_exchanged);
}

std::string Reading::frames_of(BoutId id) const {
    const Bout& bout = bouts_.at(id);
    return described(show_all(under(bout), bout.calls, 0));
}

MatView Reading::view(MatId id) const {
    const Mat& mat = mats_.at(id);
    MatView out;
    out.mat = id;
    if (mat.current) {
        const Bout& bout = bouts_.at(*mat.current);
        out.has_bout = true;
        out.bout = head(bout);
        out.frames = show_all(under(bout), bout.calls, 0);
    }
    for (const BoutId next : mat.order) {
        const Bout& bout = bouts_.at(next);
        if (bout.calls.empty() && out.next.size() < next_shown) out.next.push_back(head(bout));
    }
    return out;
}

std::string Reading::state_bytes() const {
    std::string out;
    const auto u32 = [&out](std::size_t value) {
        for (int i = 0; i < 4; ++i)
            out += static_cast<char>(value >> (8 * i));
    };
    for (const auto& [id, bout] : bouts_) {
        u32(id.value);
        u32(bout.calls.size());
        if (!bout.calls.empty()) out += encode(bout.state);
        out += '\0';  // no bout is the desk's
        u32(bout.standing_since.value);
        if (!bout.standing) continue;
        const std::string said = words(under(bout).rules, *bout.standing);
        u32(said.size());
        out += said;
    }
    return out;
}

}  // namespace honbu::simulation

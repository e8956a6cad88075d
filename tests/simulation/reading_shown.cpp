// What people should be told, by the journal as far as it was read.
#include <algorithm>

#include "tests/simulation/reading.h"

namespace honbu::simulation {
namespace {

constexpr std::size_t on_call_list = 8;
constexpr std::size_t aside_listed = 500;  // the oldest calls

// What is about an athlete's body is on no sheet.
bool about_the_body(const What& what) {
    return std::holds_alternative<Doctor>(what) || std::holds_alternative<Bleeding>(what) ||
           std::holds_alternative<Injury>(what) || std::holds_alternative<honbu::Judogi>(what);
}

void put_u32(std::string& out, std::size_t value) {
    for (int i = 0; i < 4; ++i)
        out += static_cast<char>(value >> (8 * i));
}

}  // namespace

void Reading::note_shown() {
    for (auto& [id, mat] : mats_) {
        std::string now = described(view(id)) +
                          (mat.holder == DeviceId{} ? "no table" : "has a table");
        if (now == mat.shown) continue;
        const bool first = mat.shown.empty();  // by the loading: nobody can have seen it before
        mat.shown = std::move(now);
        if (!first) mat.changed_shown = number_;
    }
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
    out.white_colour = under(bout).rules.white_colour;
    out.blue_colour = under(bout).rules.blue_colour;
    out.levels = board_levels(under(bout).rules);
    return out;
}

// As they stand: by the result, if there is one, else by what was called.
BoutHead Reading::head(const Bout& bout) const {
    const bool exchanged = bout.standing ? bout.standing->names_exchanged
                                         : bout.state.names_exchanged;
    return seated(listed(bout.entry.bout), exchanged);
}

// What people see of it: what was called; but a result that the desk has put right stands alone,
// and one that it has taken away is not seen any longer.
std::vector<FrameShown> Reading::frames_shown(const Bout& bout) const {
    std::vector<FrameShown> out = show_all(under(bout), bout.calls, 0);
    if (as_called(bout)) return out;
    if (bout.standing) {
        out.resize(1);
        out[0].phase = Phase::confirmed;
        out[0].winner = bout.standing->winner;
        out[0].way = bout.standing->way;
        out[0].words = words(under(bout).rules, *bout.standing);
        out[0].decided = true;
        out[0].white = bout.standing->white;
        out[0].blue = bout.standing->blue;
    } else {
        out.resize(1);
        out[0].phase = Phase::over;
        out[0].winner = Winner::undecided;
        out[0].way = Way::none;
        out[0].words.clear();
        out[0].decided = false;
    }
    return out;
}

std::string Reading::frames_of(BoutId id) const {
    const Bout& bout = bouts_.at(id);
    MatView frames_only;
    frames_only.mat = bout.entry.mat;
    frames_only.frames = show_all(under(bout), bout.calls, 0);
    return described(frames_only);
}

// Nobody has begun it or decided it otherwise.
bool Reading::waits_its_turn(const Bout& bout) const {
    return bout.calls.empty() && !bout.standing && !bout.at_desk;
}

MatView Reading::view(MatId id) const {
    const Mat& mat = mats_.at(id);
    MatView out;
    out.mat = id;
    if (mat.current) {
        const Bout& bout = bouts_.at(*mat.current);
        out.has_bout = true;
        out.bout = head(bout);
        out.frames = frames_shown(bout);
    }
    for (const BoutId next : mat.order) {
        if (!waits_its_turn(bouts_.at(next)) || out.next.size() == next_shown) continue;
        out.next.push_back(listed(next));
    }
    return out;
}

std::vector<CalledTold> Reading::call_list() const {
    std::vector<CalledTold> out;
    for (const auto& [id, mat] : mats_) {
        CalledTold told;
        told.mat = id;
        told.taken = mat.holder != DeviceId{};
        if (mat.current) {
            const Bout& bout = bouts_.at(*mat.current);
            const Phase phase = frames_shown(bout).front().phase;
            if (phase != Phase::confirmed && phase != Phase::accepted) {
                told.on = head(bout);
                told.phase = phase;
            }
        }
        for (const BoutId next : mat.order) {
            if (!waits_its_turn(bouts_.at(next)) || told.next.size() == on_call_list) continue;
            told.next.push_back(listed(next));
        }
        out.push_back(std::move(told));
    }
    return out;
}

// In the order of bouts, then of devices; within, as they were recorded.
std::string Reading::set_aside() const {
    std::vector<const CallRead*> all;
    for (const CallId id : aside_)
        all.push_back(call(id));
    std::sort(all.begin(), all.end(),
              [](const auto* a, const auto* b) { return a->record < b->record; });
    const std::size_t listed_here = std::min(all.size(), aside_listed);
    std::map<std::pair<BoutId, DeviceId>, AsideTold> groups;
    for (std::size_t i = 0; i < listed_here; ++i) {
        const CallRead& read = *all[i];
        AsideTold& group = groups[{read.call.bout, read.device}];
        if (group.calls.empty()) {
            group.bout = read.call.bout;
            group.device = read.device;
            group.hand = read.hand;
            group.mat = read.call.mat;
            if (const Bout* known = bout(read.call.bout)) group.head = head(*known);
            if (const auto names = typed_.find(read.call.bout); names != typed_.end()) {
                group.typed = names->second;
            }
        }
        group.calls.push_back({read.call, read.record, read.verdict});
    }
    std::vector<AsideTold> out;
    for (auto& [key, group] : groups)
        out.push_back(std::move(group));
    return described(out, static_cast<std::uint32_t>(all.size() - listed_here));
}

std::vector<TableTold> Reading::tables() const {
    std::vector<TableTold> out;
    for (const auto& [id, mat] : mats_) {
        TableTold told;
        told.mat = id;
        told.term = mat.term;
        told.device = mat.holder;
        if (mat.holder != DeviceId{}) {
            told.hand = mat.hand;
            told.taken = mat.taken;
            told.differs = mat.differs;
        }
        out.push_back(std::move(told));
    }
    return out;
}

SheetTold Reading::sheet(BoutId id) const {
    const Bout& bout = bouts_.at(id);
    const Conditions conditions = under(bout);
    SheetTold out;
    out.mat = bout.entry.mat;
    out.bout = head(bout);
    out.rules = conditions.rules.title;
    out.time = conditions.time;
    out.golden = conditions.golden;
    out.phase = bout.state.phase;
    if (!as_called(bout)) out.phase = bout.standing ? Phase::confirmed : Phase::over;
    out.result = bout.standing;
    out.result_number = bout.standing_since;
    out.changed = bout.changed;
    out.at_desk = bout.at_desk;
    if (bout.standing) {
        out.words = words(conditions.rules, *bout.standing);
    } else if (!bout.confirmed && !bout.calls.empty()) {
        out.words = words(conditions.rules, bout.state);
    }
    if (bout.calls.empty()) return out;
    const Instant last = frames(conditions, bout.calls).front().from;
    for (const Step& step : steps(conditions, bout.calls, last)) {
        if (step.standing != Standing::counts) continue;
        if (step.call && about_the_body(step.what)) continue;
        out.lines.push_back({step.state.contest.at(step.at), step.state.golden, step.why,
                             step.call ? std::string(word(step.what)) : std::string(),
                             honbu::shown(conditions.rules, step.state, Side::white),
                             honbu::shown(conditions.rules, step.state, Side::blue)});
    }
    return out;
}

std::string Reading::state_bytes() const {
    std::string out;
    for (const auto& [id, bout] : bouts_) {
        put_u32(out, id.value);
        put_u32(out, bout.calls.size());
        if (!bout.calls.empty()) out += encode(bout.state);
        out += static_cast<char>(bout.at_desk ? 1 : 0);
        put_u32(out, bout.standing_since.value);
        if (!bout.standing) continue;
        const std::string said = words(under(bout).rules, *bout.standing);
        out += static_cast<char>(said.size());
        out += static_cast<char>(said.size() >> 8);
        out += said;
    }
    return out;
}

}  // namespace honbu::simulation

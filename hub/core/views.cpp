// What people see: always from the committed part, whole, in hub time.
#include <algorithm>
#include <set>
#include <utility>

#include "hub/core/inside.h"

namespace honbu {

Conditions Hub::Inside::under(const BoutLog& bout) const {
    const CategoryEntry& category = competition.categories.at(bout.entry.category);
    return Conditions{competition.rules.at(category.rules), category.time, category.golden};
}

std::span<const Call> Hub::Inside::committed_calls(const BoutLog& bout) const {
    return std::span<const Call>(bout.calls).first(bout.committed);
}

const SoFar& Hub::Inside::so_far(const BoutLog& bout) const {
    bout.folded.go_on(under(bout), committed_calls(bout));
    return bout.folded;
}

const SoFar& Hub::Inside::all_so_far(const BoutLog& bout) const {
    bout.all_folded.go_on(under(bout), bout.calls);
    return bout.all_folded;
}

Seat Hub::Inside::seat(const Slot& slot) const {
    Seat seat;
    seat.from = slot.from;
    if (slot.from != Slot::From::person) seat.from_bout = BoutId{slot.value};
    const auto person = progress.person_in(slot);
    if (person) sit(seat, *person);
    return seat;
}

// Nobody: not known yet. Somebody without a name: erased.
void Hub::Inside::sit(Seat& seat, PersonId person) const {
    seat.person = person;
    seat.name.clear();
    seat.club.clear();
    if (person == PersonId{}) return;
    const auto found = people.find(person);
    seat.name = found == people.end() ? name_of_erased(person) : found->second.name;
    if (found != people.end()) seat.club = found->second.club;
}

BoutHead Hub::Inside::listed(const BoutLog& bout) const {
    BoutHead head;
    head.bout = bout.entry.bout;
    head.category = competition.categories.at(bout.entry.category).name;
    head.round = bout.entry.round;
    head.white = seat(bout.entry.white);
    head.blue = seat(bout.entry.blue);
    put_rules(under(bout).rules, head);
    return head;
}

BoutHead Hub::Inside::head(const BoutLog& bout) const {
    const auto calls = committed_calls(bout);
    if (bout.standing) return seated(listed(bout), bout.standing->names_exchanged);
    if (calls.empty()) return listed(bout);
    return seated(listed(bout), so_far(bout).last(under(bout)).names_exchanged);
}

std::int64_t Hub::Inside::to_hub_ms(RunId run) const {
    const auto found = runs.find(run);
    if (found == runs.end()) return 0;
    const KnownRun& known = found->second;
    return known.to_hub_ms.value_or(known.by_its_file_ms.value_or(known.least_delay_ms));
}

// By the run of the last call: its clock is the one the hub knows best.
std::int64_t Hub::Inside::timeline_to_hub_ms(const BoutLog& bout) const {
    const auto calls = committed_calls(bout);
    if (calls.empty()) return 0;
    const RunId run = calls.back().id.run;
    return to_hub_ms(run) - Timeline(calls).shift_ms(run);
}

TableLine Hub::Inside::line(MatId id) const {
    const Mat& mat = mats.at(id);
    if (mat.known_holder == DeviceId{}) return TableLine::none;
    const bool there = std::any_of(
        table_sessions.begin(), table_sessions.end(), [&](SessionId session) {
            const Greeted& table = sessions.at(session);
            return table.hello.device == mat.known_holder && table.mat == id;
        });
    return there ? TableLine::live : TableLine::alone;
}

Hub::Inside::Stands Hub::Inside::stands(const BoutLog& bout) const {
    Stands out;
    out.as_called = bout.standing ? bout.standing == bout.by_calls && bout.confirmed
                                  : !bout.confirmed;
    if (bout.standing) {
        out.phase = Phase::confirmed;
        out.words = words(under(bout).rules, *bout.standing);
    } else if (!out.as_called) {
        out.phase = Phase::over;
    }
    const auto calls = committed_calls(bout);
    if (!out.as_called || calls.empty()) return out;
    const State state = so_far(bout).last(under(bout));
    out.phase = state.phase;
    if (!bout.standing) out.words = words(under(bout).rules, state);
    return out;
}

// No board shows any longer what does not count.
std::vector<FrameShown> Hub::Inside::frames_shown(const BoutLog& bout) const {
    std::vector<FrameShown> frames = show_all(under(bout), so_far(bout).frames(under(bout)),
                                              timeline_to_hub_ms(bout));
    if (!bout.confirmed && !bout.standing) return frames;
    const Stands now = stands(bout);
    if (now.as_called) return frames;
    frames.resize(1);
    FrameShown& frame = frames.front();
    const Result result = bout.standing.value_or(Result{});
    frame.phase = now.phase;
    frame.words = now.words;
    frame.winner = result.winner;
    frame.way = result.way;
    frame.decided = bout.standing.has_value();
    if (bout.standing) {
        frame.white = result.white;
        frame.blue = result.blue;
    }
    return frames;
}

MatView Hub::Inside::view(MatId id) const {
    const Mat& mat = mats.at(id);
    MatView view;
    view.mat = id;
    view.number = mat.number;
    view.table = line(id);
    if (mat.current) {
        const BoutLog& bout = bouts.at(*mat.current);
        view.has_bout = true;
        view.bout = head(bout);
        view.frames = frames_shown(bout);
    }
    for (const BoutId next : still_to_come(mat)) {
        if (view.next.size() == next_shown) break;
        const BoutLog& bout = bouts.at(next);
        if (waits_its_turn(bout)) view.next.push_back(listed(bout));
    }
    return view;
}

BoutGiven Hub::Inside::given(const BoutLog& bout) const {
    BoutGiven out;
    out.head = listed(bout);  // the table exchanges names itself: it has the calls
    out.rules = competition.categories.at(bout.entry.category).rules;
    out.time = under(bout).time;
    out.golden = under(bout).golden;
    out.confirmed = bout.confirmed || bout.standing;
    out.at_desk = bout.known_at_desk;
    out.gone = bout.gone;
    return out;
}

void Hub::Inside::put_calls(const BoutLog& bout, BoutGiven& out, Allotment& allotment) const {
    const auto calls = committed_calls(bout);
    out.calls.assign(calls.begin(), calls.end());
    for (const Call& call : out.calls) {
        const RunId run = call.id.run;
        const bool known = std::any_of(allotment.clocks.begin(), allotment.clocks.end(),
                                       [run](const RunClock& c) { return c.run == run; });
        if (known) continue;
        const std::int64_t on_hub = std::int64_t{call.entered.ms} + to_hub_ms(run);
        allotment.clocks.push_back(
            {run, call.entered,
             Instant{static_cast<std::uint32_t>(std::max<std::int64_t>(on_hub, 0))}});
    }
}

Allotment Hub::Inside::allotment(MatId id) const {
    const Mat& mat = mats.at(id);
    Allotment all;
    all.mat = id;
    all.term = mat.known_term;
    all.rules = competition.rules;
    for (const BoutId bout_id : mat.order) {
        const BoutLog& bout = bouts.at(bout_id);
        BoutGiven out = given(bout);
        // What ended last here may be opened again, also from a device that has just come.
        if (!out.at_desk && (!out.confirmed || mat.current == bout_id)) put_calls(bout, out, all);
        all.bouts.push_back(std::move(out));
    }
    return all;
}

void Hub::Inside::publish(MatId id) {
    if (replaying) return;
    const MatView now = view(id);
    feed.mat(now);
    auto& listed_mats = call_list.mats;
    auto was = std::lower_bound(
        listed_mats.begin(), listed_mats.end(), id,
        [](const CallList::OnMat& one, MatId mat) { return one.mat < mat; });
    if (was == listed_mats.end() || was->mat != id) was = listed_mats.emplace(was);
    CallList::OnMat on = called(id, now);
    const bool line_changed = on.table != was->table;
    if (on != *was) {
        *was = std::move(on);
        publish_call_list();
    }
    if (line_changed) publish_tables();
}

// Its bout has neither begun nor been decided otherwise.
bool Hub::Inside::waits_its_turn(const BoutLog& bout) const {
    return bout.committed == 0 && !bout.standing && !bout.known_at_desk;
}

// From the first that waits its turn on.
std::span<const BoutId> Hub::Inside::still_to_come(const Mat& mat) const {
    while (mat.passed < mat.order.size() && !waits_its_turn(bouts.at(mat.order[mat.passed])))
        ++mat.passed;
    return std::span<const BoutId>(mat.order).subspan(mat.passed);
}

void Hub::Inside::publish_all() {
    publish_door();
    for (const auto& [id, mat] : mats)
        publish(id);
    publish_call_list();
    publish_tables();
    publish_set_aside();
}

void Hub::Inside::give_allotment(MatId id) { mats.at(id).allotment_stale = !replaying; }

void Hub::Inside::give_stale_allotments() {
    for (auto& [id, mat] : mats) {
        if (!std::exchange(mat.allotment_stale, false)) continue;
        for (const auto& [session, known] : sessions) {
            const Hello& hello = known.hello;
            const bool sits = hello.role == Role::table && hello.device == mat.known_holder;
            if (sits && known.mat == id) outlet.reply(session, allotment(id));
        }
    }
}

std::span<const BoutId> Hub::Inside::waiting_for(BoutId bout) const {
    const auto found = awaited.find(bout);
    return found == awaited.end() ? std::span<const BoutId>() : found->second;
}

// A bout of the winner or the loser has begun, or has a result.
bool Hub::Inside::begun_after(BoutId bout) const {
    const auto next = waiting_for(bout);
    return std::any_of(next.begin(), next.end(), [this](BoutId other) {
        const BoutLog& log = bouts.at(other);
        return log.committed > 0 || log.standing;
    });
}

// A result makes names known elsewhere, or changes them: in the queues on the screens and at the
// tables, and also where the winner of a bout is awaited that waits for this one.
void Hub::Inside::tell_mats_waiting_for(BoutId bout) {
    std::set<BoutId> touched;
    std::vector<BoutId> to_look_at{bout};
    while (!to_look_at.empty()) {
        const BoutId source = to_look_at.back();
        to_look_at.pop_back();
        for (const BoutId other : waiting_for(source)) {
            if (touched.insert(other).second) to_look_at.push_back(other);
        }
    }
    aside_stale = aside_stale || !aside.empty();  // it names athletes as well
    std::set<MatId> on;
    for (const BoutId other : touched) {
        feed.sheet_changed(other);
        on.insert(bouts.at(other).entry.mat);
    }
    for (const MatId id : on) {
        mats.at(id).number = committed;
        publish(id);
        give_allotment(id);
    }
}

}  // namespace honbu

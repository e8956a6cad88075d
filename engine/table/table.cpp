#include "engine/table/table.h"

#include <algorithm>

#include "engine/bout/text.h"
#include "engine/record/canon.h"
#include "engine/table/pressed.h"

namespace honbu {
namespace {

constexpr const char* not_in_charge = "This table is not in charge: take the mat first.";
constexpr const char* not_here =
    "That bout is confirmed and its calls are not kept here. Tell the desk.";
std::string at_desk(BoutId bout) {
    return Text() << "The desk has bout " << bout.value
                  << ": what is entered here for it would be set aside. Ask the desk.";
}
constexpr const char* check_time =
    "How long this bout has stood is not known here: check its time with the referee.";

}  // namespace

Table::Table(RunId run, std::string hand) : run_(run), hand_(std::move(hand)) {}

// -- finding things

BoutGiven* Table::given(BoutId bout) {
    for (BoutGiven& candidate : allotment_.bouts) {
        if (candidate.head.bout == bout) return &candidate;
    }
    return nullptr;
}

const BoutGiven* Table::given(BoutId bout) const { return const_cast<Table*>(this)->given(bout); }

Table::Kept* Table::kept(CallId call) {
    const auto found = std::find_if(kept_.rbegin(), kept_.rend(),
                                    [call](const Kept& k) { return k.call.id == call; });
    return found == kept_.rend() ? nullptr : &*found;
}

const Table::Kept* Table::kept(CallId call) const { return const_cast<Table*>(this)->kept(call); }

Conditions Table::under(const BoutGiven& bout) const {
    return Conditions{allotment_.rules.at(bout.rules), bout.time, bout.golden};
}

State Table::state_at(const BoutGiven& bout, Instant now) const {
    const Timeline timeline(bout.calls);
    return fold(under(bout), bout.calls, timeline.place(run_, now)).state;
}

// Of a bout whose confirmation is known here its own calls decide: it may have been opened again.
bool Table::confirmed(const BoutGiven& bout) const {
    const bool known = std::any_of(bout.calls.begin(), bout.calls.end(), [](const Call& c) {
        return std::holds_alternative<Confirm>(c.what);
    });
    if (!known) return bout.confirmed;
    return fold(under(bout), bout.calls, Instant{}).state.phase >= Phase::confirmed;
}

// As the two stand on the mat now.
BoutHead Table::seats(const BoutGiven& bout) const {
    const bool any = std::any_of(bout.calls.begin(), bout.calls.end(), [](const Call& c) {
        return std::holds_alternative<ExchangeNames>(c.what);
    });
    if (!any) return bout.head;
    return seated(bout.head, fold(under(bout), bout.calls, Instant{}).state.names_exchanged);
}

std::int64_t Table::shift_to_run(const BoutGiven& bout) const {
    return -Timeline(bout.calls).shift_ms(run_);
}

// -- what the page tells

void Table::restore(const Call& call, Verdict verdict) {
    kept_.push_back(Kept{call, true, false, verdict});
}

void Table::earlier_run(RunId run, Instant there, Instant here, Joint::Source source) {
    const bool known = std::any_of(others_.begin(), others_.end(),
                                   [run](const OtherRun& other) { return other.run == run; });
    if (!known) others_.push_back({run, there, here, source});
}

// The hub's calls of a bout come first; what is kept here and not refused goes on from there. Since
// only the table in charge writes a bout, that is also the order in which they were entered.
void Table::take_in_kept(BoutGiven& bout) const {
    for (const Kept& k : kept_) {
        if (k.call.bout != bout.head.bout) continue;
        if (k.call.mat != allotment_.mat) continue;
        // What has no answer yet counts only in the term it was made in; an older one is set aside.
        const bool counts = k.verdict == Verdict::applied ||
                            (k.verdict == Verdict::none && k.call.term == allotment_.term);
        if (!counts) continue;
        const bool known = std::any_of(bout.calls.begin(), bout.calls.end(),
                                       [&](const Call& c) { return c.id == k.call.id; });
        const bool gone = std::find(bout.gone.begin(), bout.gone.end(), k.call.id) !=
                          bout.gone.end();
        if (!known && !gone) bout.calls.push_back(k.call);
    }
}

// Nobody but this table has written the bout, and in the term it has now: nothing is missing.
bool Table::all_kept_here(const BoutGiven& bout) const {
    const Kept* first = nullptr;
    for (const Kept& k : kept_) {
        const bool counts = k.verdict == Verdict::applied || k.verdict == Verdict::none;
        if (k.call.bout != bout.head.bout || k.call.mat != allotment_.mat || !counts) continue;
        if (k.call.term != allotment_.term) return false;
        if (first == nullptr) first = &k;
    }
    return first != nullptr && !std::holds_alternative<Joint>(first->call.what);
}

void Table::allot(Allotment allotment, Instant now) {
    const bool other_mat = allotment.mat != allotment_.mat;
    // Of a confirmed bout the hub sends no calls. What is known of it here stays as long as nobody
    // else can have written it; after another term it may be old, and is not shown any more.
    const bool same_term = !other_mat && allotment.term == allotment_.term;
    for (BoutGiven& bout : allotment.bouts) {
        BoutGiven* before = same_term ? given(bout.head.bout) : nullptr;
        const bool may_stay = bout.confirmed && !bout.at_desk && bout.gone.empty();
        if (before != nullptr && may_stay && bout.calls.empty()) {
            bout.calls = std::move(before->calls);
        }
    }
    allotment_ = std::move(allotment);
    charge_ = Charge::in_charge;
    notice_.clear();
    for (BoutGiven& bout : allotment_.bouts) {
        if (bout.at_desk) continue;
        if (!bout.confirmed || !bout.calls.empty() || all_kept_here(bout)) take_in_kept(bout);
    }
    const BoutGiven* shown = current_ ? given(*current_) : nullptr;
    const bool not_known = shown == nullptr || shown->at_desk ||
                           (shown->confirmed && shown->calls.empty());
    if (other_mat || not_known) current_.reset();
    fill_seats();
    if (!current_) {  // go on with the bout that was on the mat
        for (const BoutGiven& bout : allotment_.bouts) {
            if (!bout.calls.empty() && !confirmed(bout)) current_ = bout.head.bout;
        }
    }
    if (!current_) return;
    BoutGiven& bout = *given(*current_);
    if (!confirmed(bout)) join(bout, now);
}

void Table::welcome(const std::vector<RunHead>& heads) {
    line_up_ = true;
    for (Kept& k : kept_) {
        k.sent = false;
        const auto head = std::find_if(heads.begin(), heads.end(),
                                       [&](const RunHead& h) { return h.run == k.call.id.run; });
        // A hub that lacks what was once acknowledged (it was started from an older copy) gets it
        // again.
        const bool lacks = head == heads.end() || k.call.id.number > head->last;
        if (lacks) k.verdict = Verdict::none;
    }
    send_what_can_go();
}

void Table::line_down() { line_up_ = false; }

void Table::verdict(CallId call, Verdict verdict, bool state_differs) {
    Kept* k = kept(call);
    if (k == nullptr) return;
    k->verdict = verdict;
    send_what_can_go();
    if (state_differs) {
        warning_ = Text() << "The hub sees bout " << k->call.bout.value
                          << " differently than this table. Compare the boards and tell the desk.";
    }
    if (verdict == Verdict::applied) return;
    BoutGiven* bout = given(k->call.bout);
    if (bout == nullptr) return;
    std::erase_if(bout->calls, [call](const Call& c) { return c.id == call; });
    if (verdict != Verdict::set_aside) {
        warning_ = "The hub could not apply a call of this table. Look at the list of calls.";
        return;
    }
    if (!aside_.empty()) aside_ += ", ";
    aside_ += words_for(under(*bout).rules, k->call.what);
    warning_ = Text() << "Does not count at the hub, and waits for the desk: " << aside_
                      << ". Compare clock and score with the manual board, enter what is missing, "
                         "and tell the desk.";
}

// A full disk or a gap: from this call on all is to be sent again, not at once but at again().
void Table::refused(CallId call, std::string words) {
    notice_ = std::move(words);
    const auto from = std::find_if(kept_.begin(), kept_.end(),
                                   [call](const Kept& k) { return k.call.id == call; });
    for (auto k = from; k != kept_.end(); ++k)
        k->sent = false;
}

void Table::again() { send_what_can_go(); }

void Table::mat_lost(std::string words) {
    charge_ = Charge::lost;
    notice_ = std::move(words);
}

void Table::saved(CallId call) {
    if (Kept* k = kept(call)) k->saved = true;
    send_what_can_go();
}

// In order, and never past one that is not in lasting storage yet. A newer run waits until the
// older ones have their answers: a full disk may refuse those and have room for these a moment
// later, and only within a run does the hub see that something is missing.
void Table::send_what_can_go() {
    if (!line_up_) return;
    std::optional<RunId> waiting;
    for (Kept& k : kept_) {
        if (k.verdict != Verdict::none) continue;
        if (!k.saved || (waiting && *waiting != k.call.id.run)) return;
        waiting = k.call.id.run;
        if (k.sent) continue;
        k.sent = true;
        doing_.send.push_back(k.call);
    }
}

// -- what the operator does

std::string Table::press(std::string_view key, CallId refers, Instant now) {
    if (charge_ != Charge::in_charge) return not_in_charge;
    BoutGiven* bout = current_ ? given(*current_) : nullptr;
    if (bout == nullptr) return "No bout is on the mat: call the next bout first.";
    if (bout->at_desk) return at_desk(bout->head.bout);
    if (bout->confirmed && bout->calls.empty()) return not_here;
    const Conditions rules = under(*bout);
    const State state = state_at(*bout, now);
    const Instant at = Timeline(bout->calls).place(run_, now);
    Pressed pressed = honbu::pressed({rules, bout->calls, state, at}, key, refers);
    if (!pressed.what) return pressed.why;
    if (auto* confirm = std::get_if<Confirm>(&*pressed.what)) {
        confirm->result = result_of(rules, bout->calls, at);
    }
    const std::string no = enter(*bout, *pressed.what, now, pressed.back);
    if (no.empty()) fill_seats();
    return no;
}

std::string Table::next_bout(Instant now) {
    if (charge_ != Charge::in_charge) return not_in_charge;
    if (const BoutGiven* bout = current_ ? given(*current_) : nullptr;
        bout != nullptr && !confirmed(*bout)) {
        return Text() << "Bout " << bout->head.bout.value
                      << " is not confirmed yet. Confirm it, or open another bout from the list.";
    }
    for (const BoutGiven& bout : allotment_.bouts) {
        const bool free = !bout.confirmed && !bout.at_desk;
        if (bout.calls.empty() && free) return open_bout(bout.head.bout, now);
    }
    return "All bouts of this mat have been called.";
}

std::string Table::open_bout(BoutId id, Instant now) {
    if (charge_ != Charge::in_charge) return not_in_charge;
    BoutGiven* bout = given(id);
    if (bout == nullptr) return Text() << "This mat has no bout " << id.value << ".";
    if (bout->at_desk) return at_desk(id);
    if (bout->confirmed && bout->calls.empty()) return not_here;
    if (const BoutGiven* running = current_ ? given(*current_) : nullptr; running != nullptr) {
        const State state = state_at(*running, now);
        if (running != bout && (state.contest.running || state.hold.on)) {
            return "A clock is running: mate first, then open another bout.";
        }
    }
    show_bout(*bout, now);
    return {};
}

void Table::show_bout(BoutGiven& bout, Instant now) {
    current_ = bout.head.bout;
    warning_.clear();
    aside_.clear();
    join(bout, now);
    // Refused only after kachi, and then the bout is just shown: it may be opened again.
    enter(bout, Called{}, now);
}

// Empty: entered. Otherwise why not; no number is used and nothing has changed.
std::string Table::enter(BoutGiven& bout, const What& what, Instant now, Duration back) {
    last_entered_ = std::max(last_entered_, now);
    Call call;
    call.id = CallId{run_, next_number_};
    call.term = allotment_.term;
    call.mat = allotment_.mat;
    call.bout = bout.head.bout;
    call.entered = last_entered_;
    call.back = back;
    call.what = what;
    if (auto no = no_entry(under(bout), bout.calls, call)) return *no;
    call.seen = short_hash(before(under(bout), bout.calls, call));
    next_number_.value += 1;
    notice_.clear();
    bout.calls.push_back(call);
    kept_.push_back(Kept{call, false, false, Verdict::none});
    doing_.save.push_back(call);
    return {};
}

// A bout begun in another run needs to know how the two clocks meet before anything else is
// entered.
void Table::join(BoutGiven& bout, Instant now) {
    const Timeline timeline(bout.calls);
    if (bout.calls.empty() || timeline.knows(run_)) return;
    for (auto call = bout.calls.rbegin(); call != bout.calls.rend(); ++call) {
        const RunId run = call->id.run;
        if (!timeline.knows(run)) continue;
        for (const OtherRun& other : others_) {
            if (other.run != run) continue;
            // No time runs backwards: a clock that is said to be before the last call stands at it.
            const std::int64_t last = std::int64_t{timeline.place(bout.calls.back()).ms};
            const std::int64_t there = std::int64_t{other.there.ms} + timeline.shift_ms(run);
            const Instant at{other.there.ms +
                             static_cast<std::uint32_t>(std::max<std::int64_t>(last - there, 0))};
            enter(bout, Joint{run, at, other.here, other.source}, now);
            if (there < last) notice_ = check_time;
            return;
        }
    }
    const Call last = bout.calls.back();
    enter(bout, Joint{last.id.run, last.entered, now, Joint::Source::assumed}, now);
    notice_ = check_time;
}

// A slot "winner of bout N" gets its name as soon as this table has confirmed bout N, also offline;
// it loses it when that bout is opened again, unless it has begun itself: then people say.
void Table::fill_seats() {
    const auto fill = [this](Seat& seat) {
        if (seat.from == Slot::From::person) return;
        const BoutGiven* source = given(seat.from_bout);
        if (source == nullptr) return;
        const auto last = std::find_if(source->calls.rbegin(), source->calls.rend(), [](auto& c) {
            return std::holds_alternative<Confirm>(c.what);
        });
        if (last == source->calls.rend()) return;  // what the hub says holds
        seat = Seat{{}, {}, {}, seat.from, seat.from_bout};
        if (!confirmed(*source)) return;
        const Result& result = std::get<Confirm>(last->what).result;
        if (result.winner != Winner::white && result.winner != Winner::blue) return;
        const BoutHead from = seated(source->head, result.names_exchanged);
        const bool want_winner = seat.from == Slot::From::winner_of;
        const Seat& who = (result.winner == Winner::white) == want_winner ? from.white : from.blue;
        seat.person = who.person;
        seat.name = who.name;
        seat.club = who.club;
    };
    for (BoutGiven& bout : allotment_.bouts) {
        for (Seat* seat : {&bout.head.white, &bout.head.blue}) {
            const bool begun = !bout.calls.empty();
            if (!begun || seat->person == PersonId{}) fill(*seat);
        }
    }
}

// -- what the page asks

Doing Table::take_doing() {
    Doing out = std::move(doing_);
    doing_ = Doing{};
    return out;
}

std::size_t Table::unsent() const {
    return static_cast<std::size_t>(std::count_if(
        kept_.begin(), kept_.end(), [](const Kept& k) { return k.verdict == Verdict::none; }));
}

MatView Table::view() const {
    MatView view;
    view.mat = allotment_.mat;
    view.table = TableLine::live;
    if (const BoutGiven* bout = current_ ? given(*current_) : nullptr; bout != nullptr) {
        view.has_bout = true;
        view.bout = seats(*bout);
        view.frames = show_all(under(*bout), bout->calls, shift_to_run(*bout));
    }
    for (const BoutGiven& bout : allotment_.bouts) {
        if (!bout.calls.empty() || bout.confirmed || bout.at_desk) continue;
        if (view.next.size() == next_shown) break;
        view.next.push_back(bout.head);
    }
    return view;
}

}  // namespace honbu

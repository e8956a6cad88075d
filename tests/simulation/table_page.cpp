#include "tests/simulation/table_page.h"

#include <algorithm>

#include "engine/record/canon.h"

namespace honbu::simulation {
namespace {

constexpr std::uint64_t retry_ms = 2'000;
constexpr std::uint64_t tell_clock_ms = 10'000;

std::string name(CallId id) { return "call " + std::to_string(id.number.value); }

}  // namespace

TablePage::TablePage(Hall& hall, const Route& route, Checker& checker, TableStore& store, RunId run,
                     const Habits& habits)
    : Caller(hall, route, "table " + std::to_string(store.device.value)), checker_(checker),
      store_(store), run_(run), habits_(habits), table_(run, "hand"), opened_(hall.agenda.now()),
      mat_(store.mat) {}

// What was being written when the page died is in the storage, or it isn't.
TablePage::~TablePage() {
    if (saving_ && hall_.lots.in_hundred(50)) {
        for (const Call& call : to_save_) {
            checker_.saved(store_.device, call);
            store_.calls.push_back({call, Verdict::none});
        }
        keep_clock();
    }
}

Instant TablePage::now() const {
    const auto gone = static_cast<std::int64_t>(hall_.agenda.now() - opened_);
    return Instant{static_cast<std::uint32_t>(gone + gone * store_.drift_ppm / 1'000'000)};
}
std::int64_t TablePage::wall_ms() const {
    return static_cast<std::int64_t>(hall_.agenda.now()) + store_.wall_skew_ms;
}
std::int64_t TablePage::hub_now() const { return std::int64_t{now().ms} + hub_offset_ms_; }

void TablePage::begin_page() {
    say("opens a page");
    restore();
    begin();
    later(hall_.lots.below(3'000), [this] { operate(); });
}

void TablePage::restore() {
    for (const TableStore::KeptCall& kept : store_.calls) {
        table_.restore(kept.call, kept.verdict);
        entered_[kept.call.bout].push_back(kept.call.id);
    }
    for (const TableStore::KeptRun& kept : store_.runs) {
        const std::int64_t gone = std::max<std::int64_t>(0, wall_ms() - kept.wall_ms);
        const Instant there{kept.on_run.ms + static_cast<std::uint32_t>(gone)};
        table_.earlier_run(kept.run, there, now(), Joint::Source::wall_clock);
    }
    const auto kept = store_.tables.find(mat_);
    if (kept != store_.tables.end() && kept->second.epoch == store_.epoch) {
        given_ = with_typed(kept->second.allotment);
        table_.allot(*given_, now());
    }
    step();
}

Hello TablePage::hello() {
    Hello hello;
    hello.schema = wire_schema;
    hello.role = Role::table;
    hello.device = store_.device;
    hello.run = run_;
    hello.fold_version = fold_version;
    hello.hand = "hand of " + std::to_string(store_.device.value);
    hello.seen_epoch = store_.seen.epoch;
    hello.seen_number = store_.seen.number;
    hello.seen_hash = store_.seen.hash;
    sent_.clear();
    return hello;
}

void TablePage::seen(RecordNumber number, std::uint64_t hash) {
    Position& last = store_.seen;
    if (number < last.number || (number == last.number && hash == 0)) return;
    last.number = number;
    last.hash = hash;
}

void TablePage::hear(const Heard& message, const std::string&) {
    if (const auto* welcome = std::get_if<Welcome>(&message)) {
        on_welcome(*welcome);
    } else if (const auto* allotment = std::get_if<Allotment>(&message)) {
        on_allotment(*allotment);
    } else if (const auto* given = std::get_if<VerdictGiven>(&message)) {
        if (hall_.trace.on()) {
            say(name(given->call) + " has verdict " +
                std::to_string(static_cast<int>(given->verdict)));
        }
        seen(given->record);
        table_.verdict(given->call, given->verdict, given->state_differs);
        for (TableStore::KeptCall& kept : store_.calls) {
            if (kept.call.id == given->call) kept.verdict = given->verdict;
        }
        step();
    } else if (const auto* refusal = std::get_if<Refusal>(&message)) {
        on_refusal(*refusal);
    } else if (const auto* lost = std::get_if<MatLost>(&message)) {
        if (lost->mat != mat_) return;
        say((lost->left ? "has left mat " : "loses mat ") + std::to_string(mat_.value));
        leaving_ = false;
        table_.mat_lost(lost->words);
        store_.tables.erase(mat_);
        step();
    } else if (const auto* clock = std::get_if<ClockAnswer>(&message)) {
        on_clock(*clock);
    } else if (const auto* view = std::get_if<MatView>(&message)) {
        seen(view->number);
        if (view->table == TableLine::none) {
            free_.insert(view->mat);
        } else {
            free_.erase(view->mat);
        }
    } else if (const auto* asked = std::get_if<Asked>(&message)) {
        later(hall_.lots.below(4'000), [this, question = *asked] { answer(question); });
    }
}

// The journal that this one goes on from is the same competition, and what is kept here goes along.
// Of any other one a person says; until then this table goes on alone, and nothing kept here
// reaches the hub.
void TablePage::on_welcome(const Welcome& welcome) {
    seated_ = false;
    leaving_ = false;
    free_.clear();
    hub_offset_ms_ = std::int64_t{welcome.now.ms} - std::int64_t{now().ms};
    best_trip_ms_ = 60'000;
    if (welcome.epoch != store_.seen.epoch || welcome.missing > 0 || welcome.differs) {
        store_.seen = Position{welcome.epoch, {}, 0};
    }
    seen(welcome.number, welcome.hash);
    other_journal_.reset();
    if (welcome.epoch == store_.epoch) return line_up(welcome);
    const auto& earlier = welcome.earlier;
    const bool goes_on = std::find(earlier.begin(), earlier.end(), store_.epoch) != earlier.end();
    if (!store_.calls.empty() && !goes_on) {
        say("is asked whether its calls belong to this journal");
        other_journal_ = welcome;
        later(hall_.lots.from_to(500, 6'000), [this] { settle_journal(); });
        return;
    }
    store_.epoch = welcome.epoch;
    line_up(welcome);
}

// The person's answer is always yes: it is the same competition.
void TablePage::settle_journal() {
    if (!other_journal_ || !up()) return;
    const Welcome welcome = *other_journal_;
    other_journal_.reset();
    store_.epoch = welcome.epoch;
    line_up(welcome);
}

// What is kept goes out first, under the term it was made in. Then the page asks for its mat again.
// What this hub lacks has no answer any more, whatever one has said before.
void TablePage::line_up(const Welcome& welcome) {
    for (TableStore::KeptCall& kept : store_.calls) {
        const auto head = std::find_if(
            welcome.runs.begin(), welcome.runs.end(),
            [&kept](const RunHead& h) { return h.run == kept.call.id.run; });
        const bool lacks = head == welcome.runs.end() || kept.call.id.number > head->last;
        if (lacks) kept.verdict = Verdict::none;
    }
    table_.welcome(welcome.runs);
    step();
    if (table_.charge() == Table::Charge::in_charge) {
        ask_for(mat_, false, given_ ? given_->term : Term{});
        return;
    }
    Subscribe wish;
    wish.all_mats = true;
    send(wish);
}

// What was typed here is offered beside the plan, on whatever mat the table is.
Allotment TablePage::with_typed(Allotment allotment) const {
    for (const TableStore::TypedBout& typed : store_.typed) {
        if (allotment.rules.empty() || allotment.bouts.empty()) break;
        BoutGiven given = allotment.bouts.front();
        given.head.bout = typed.bout;
        given.head.white = Seat{{}, typed.names.white, {}, {}, {}};
        given.head.blue = Seat{{}, typed.names.blue, {}, {}, {}};
        given.confirmed = false;
        given.at_desk = false;
        given.calls.clear();
        allotment.bouts.push_back(std::move(given));
    }
    return allotment;
}

const Typed* TablePage::typed(BoutId bout) const {
    for (const TableStore::TypedBout& typed : store_.typed) {
        if (typed.bout == bout) return &typed.names;
    }
    return nullptr;
}

void TablePage::on_allotment(const Allotment& allotment) {
    if (allotment.mat != mat_) return;
    say("is given mat " + std::to_string(mat_.value) + " with term " +
        std::to_string(allotment.term.value));
    seated_ = true;
    asked_ = false;
    question_ = false;
    send(Subscribe{});
    store_.tables[mat_] = {store_.epoch, allotment};
    given_ = with_typed(allotment);
    for (const RunClock& clock : allotment.clocks) {
        const std::int64_t there = std::int64_t{clock.on_run.ms} + hub_now() -
                                   std::int64_t{clock.on_hub.ms};
        table_.earlier_run(clock.run,
                           Instant{static_cast<std::uint32_t>(std::max<std::int64_t>(0, there))},
                           now(), Joint::Source::hub_clock);
    }
    table_.allot(*given_, now());
    step();
}

void TablePage::on_refusal(const Refusal& refusal) {
    asked_ = false;
    leaving_ = false;
    if (hall_.trace.on()) {
        say("is refused, reason " + std::to_string(static_cast<int>(refusal.reason)) +
            (refusal.about_call ? ", " + name(refusal.call) : ""));
    }
    if (refusal.reason == Cause::mat_held) {
        question_ = true;
        if (table_.charge() == Table::Charge::in_charge) {
            table_.mat_lost(refusal.words);
            store_.tables.erase(mat_);
        }
        return;
    }
    if (refusal.reason == Cause::other_content) {
        throw Broken("exactly once: table " + std::to_string(store_.device.value) +
                     " is told that " + name(refusal.call) + " was another call");
    }
    table_.refused(refusal.about_call ? refusal.call : CallId{}, refusal.words);
    step();
}

void TablePage::on_clock(const ClockAnswer& answer) {
    const std::uint32_t trip = now().ms - answer.sent;
    if (trip < best_trip_ms_) {
        best_trip_ms_ = trip;
        hub_offset_ms_ = std::int64_t{answer.now.ms} - std::int64_t{answer.sent} - trip / 2;
    }
    if (told_clock_ != 0 && hall_.agenda.now() - told_clock_ < tell_clock_ms) return;
    if (hub_now() < 0) return;
    told_clock_ = hall_.agenda.now();
    const RunClock both{run_, now(), Instant{static_cast<std::uint32_t>(hub_now())}};
    send(ClockMeasured{both, best_trip_ms_});
}

void TablePage::down() {
    table_.line_down();
    asked_ = false;
    leaving_ = false;
    other_journal_.reset();
    step();
}

void TablePage::each_second() {
    if (up() && hall_.agenda.now() - last_again_ > retry_ms) {
        last_again_ = hall_.agenda.now();
        sent_.clear();
        table_.again();
        step();
        const bool unseated = !seated_ && !question_ && !other_journal_;
        if (unseated && table_.charge() == Table::Charge::in_charge) {
            ask_for(mat_, false, given_ ? given_->term : Term{});
        }
    }
    if (!entered_.empty()) keep_clock();
}

void TablePage::keep_clock() {
    for (TableStore::KeptRun& kept : store_.runs) {
        if (kept.run != run_) continue;
        kept.on_run = now();
        kept.wall_ms = wall_ms();
        return;
    }
    store_.runs.push_back({run_, now(), wall_ms()});
}

void TablePage::take(MatId mat, bool take_over) {
    if (other_journal_) return;  // what is kept here comes first
    mat_ = mat;
    store_.mat = mat;
    question_ = false;
    asked_ = ask_for(mat, take_over, Term{});
}

bool TablePage::ask_for(MatId mat, bool take_over, Term term) {
    if (!up()) return false;
    return send(TakeMat{mat, take_over, "hand of " + std::to_string(store_.device.value), term});
}

// -- carrying

void TablePage::step() {
    Doing doing = table_.take_doing();
    for (Call& call : doing.save) {
        last_made_ = call.id;
        entered_[call.bout].push_back(call.id);
        if (hall_.trace.on()) {
            say("enters " + name(call.id) + ", bout " + std::to_string(call.bout.value) +
                ", term " + std::to_string(call.term.value) + ": " + std::string(word(call.what)));
        }
        to_save_.push_back(std::move(call));
    }
    if (!to_save_.empty()) save();
    for (const Call& call : doing.send) {
        checker_.submitted(store_.device, call);
        keeps_order(call.id);
        Submit submit{call, {}};
        if (const Typed* names = typed(call.bout)) submit.typed = *names;
        send(submit);
    }
}

// What is left out on the way has its answer already.
void TablePage::keeps_order(CallId call) {
    const auto last = sent_.find(call.run);
    for (const TableStore::KeptCall& kept : store_.calls) {
        const bool left_out = last != sent_.end() && kept.call.id.run == call.run &&
                              kept.call.id.number.value > last->second &&
                              kept.call.id.number < call.number;
        if (left_out && kept.verdict == Verdict::none) {
            throw Broken("in the table's order: " + name(kept.call.id) + " was left out");
        }
    }
    sent_[call.run] = call.number.value;
}

void TablePage::save() {
    if (saving_) return;
    saving_ = true;
    const std::size_t count = to_save_.size();
    later(hall_.lots.from_to(1, store_.save_ms_max), [this, count] {
        const auto cut = to_save_.begin() + static_cast<std::ptrdiff_t>(count);
        const std::vector<Call> done(to_save_.begin(), cut);
        to_save_.erase(to_save_.begin(), cut);
        saving_ = false;
        for (const Call& call : done) {
            checker_.saved(store_.device, call);
            store_.calls.push_back({call, Verdict::none});
        }
        keep_clock();
        for (const Call& call : done)
            table_.saved(call.id);
        step();
    });
}

}  // namespace honbu::simulation

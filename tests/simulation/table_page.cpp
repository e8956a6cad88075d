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
    if (kept != store_.tables.end()) {
        given_ = kept->second;
        table_.allot(kept->second, now());
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
    sent_.clear();
    return hello;
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
        table_.verdict(given->call, given->verdict, given->state_differs);
        for (TableStore::KeptCall& kept : store_.calls) {
            if (kept.call.id == given->call) kept.verdict = given->verdict;
        }
        step();
    } else if (const auto* refusal = std::get_if<Refusal>(&message)) {
        on_refusal(*refusal);
    } else if (const auto* lost = std::get_if<MatLost>(&message)) {
        if (lost->mat != mat_) return;
        say("loses mat " + std::to_string(mat_.value));
        table_.mat_lost(lost->words);
        store_.tables.erase(mat_);
        step();
    } else if (const auto* answer = std::get_if<ClockAnswer>(&message)) {
        on_clock(*answer);
    }
}

// What is kept goes out first, under the term it was made in. Then the page asks for its mat again.
void TablePage::on_welcome(const Welcome& welcome) {
    seated_ = false;
    hub_offset_ms_ = std::int64_t{welcome.now.ms} - std::int64_t{now().ms};
    best_trip_ms_ = 60'000;
    table_.welcome(welcome.runs);
    step();
    if (table_.charge() == Table::Charge::in_charge) {
        ask_for(mat_, false, given_ ? given_->term : Term{});
    } else {
        Subscribe wish;
        wish.all_mats = true;
        send(wish);
    }
}

void TablePage::on_allotment(const Allotment& allotment) {
    if (allotment.mat != mat_) return;
    say("is given mat " + std::to_string(mat_.value) + " with term " +
        std::to_string(allotment.term.value));
    seated_ = true;
    asked_ = false;
    question_ = false;
    send(Subscribe{});
    store_.tables[mat_] = allotment;
    given_ = allotment;
    for (const RunClock& clock : allotment.clocks) {
        const std::int64_t there = std::int64_t{clock.on_run.ms} + hub_now() -
                                   std::int64_t{clock.on_hub.ms};
        table_.earlier_run(clock.run,
                           Instant{static_cast<std::uint32_t>(std::max<std::int64_t>(0, there))},
                           now(), Joint::Source::hub_clock);
    }
    table_.allot(allotment, now());
    step();
}

void TablePage::on_refusal(const Refusal& refusal) {
    asked_ = false;
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
    send(ClockMeasured{{run_, now(), Instant{static_cast<std::uint32_t>(hub_now())}},
                       best_trip_ms_});
}

void TablePage::down() {
    table_.line_down();
    asked_ = false;
    step();
}

void TablePage::each_second() {
    if (up() && hall_.agenda.now() - last_again_ > retry_ms) {
        last_again_ = hall_.agenda.now();
        sent_.clear();
        table_.again();
        step();
        if (!seated_ && !question_ && table_.charge() == Table::Charge::in_charge) {
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
        send(Submit{call});
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

// -- the hands

void TablePage::operate() {
    if (!pressing_) return;
    std::uint32_t wait = 500 + hall_.lots.below(2'000);
    if (table_.charge() != Table::Charge::in_charge) {
        if (up() && !asked_ && mat_ != MatId{} && hall_.lots.in_hundred(30)) {
            take(mat_, question_ && hall_.lots.in_hundred(40));
        }
    } else if (script_.empty() || table_.bout() != scripted_) {
        next_bout();
    } else {
        press_next();
        if (!script_.empty()) wait = script_.front().wait_ms;
    }
    later(wait, [this] { operate(); });
}

void TablePage::press_next() {
    const generate::KeyPress press = script_.front();
    script_.pop_front();
    CallId on;
    if (press.on) {
        const auto real = made_.find(*press.on);
        if (real != made_.end()) on = real->second;
    } else if (press.on_any) {
        on = some_call(*table_.bout());
    }
    const std::string no = table_.press(press.key, on, now());
    ++presses_;
    if (hall_.trace.on()) say("presses " + press.key + (no.empty() ? "" : ": " + no));
    step();
    if (no.empty()) made_[press.as] = last_made_;
}

void TablePage::next_bout() {
    script_.clear();
    const std::string no = table_.next_bout(now());
    step();
    if (no.empty()) {
        endings_ = 0;
        write_script(*table_.bout());
        return;
    }
    // The bout on the mat goes on where it was found, and ends; or one of the list is put right.
    const auto bout = table_.bout();
    if (bout && endings_ < 2 && no.find("not confirmed") != std::string::npos) {
        ++endings_;
        scripted_ = bout;
        if (endings_ == 1 && hall_.lots.in_hundred(50)) {
            write_script(*bout);
            return;
        }
        for (generate::KeyPress& press : generate::ending_script())
            script_.push_back(std::move(press));
        return;
    }
    if (!given_ || given_->bouts.empty() || !hall_.lots.in_hundred(habits_.corrects_share)) return;
    const auto lot = hall_.lots.below(static_cast<std::uint32_t>(given_->bouts.size()));
    const BoutId other = given_->bouts[lot].head.bout;
    if (!table_.open_bout(other, now()).empty()) return;
    step();
    endings_ = 0;
    scripted_ = other;
    for (generate::KeyPress& press : generate::correcting_script(hall_.lots))
        script_.push_back(std::move(press));
}

void TablePage::write_script(BoutId bout) {
    scripted_ = bout;
    if (!given_) return;
    for (const BoutGiven& given : given_->bouts) {
        if (given.head.bout != bout) continue;
        const Conditions under{given_->rules.at(given.rules), given.time, given.golden};
        const bool random = hall_.lots.in_hundred(habits_.random_share);
        for (generate::KeyPress& press :
             random ? generate::random_script(under, hall_.lots, hall_.lots.below(50))
                    : generate::contest_script(under, hall_.lots)) {
            press.wait_ms /= random ? 1 : habits_.haste;
            script_.push_back(std::move(press));
        }
    }
}

CallId TablePage::some_call(BoutId bout) {
    const auto found = entered_.find(bout);
    if (found == entered_.end()) return {};
    return found->second[hall_.lots.below(static_cast<std::uint32_t>(found->second.size()))];
}

}  // namespace honbu::simulation

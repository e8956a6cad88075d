// How it speaks with the hub. The hands: hands.cpp.
#include <algorithm>

#include "clients/sim/played_table.h"

namespace honbu::sim {
namespace {

constexpr std::uint64_t retry_us = 2'000'000;
constexpr std::uint32_t tell_clock_ms = 10'000;

std::string words(CallId call) { return "call " + std::to_string(call.number.value); }

}  // namespace

PlayedTable::PlayedTable(Hall& hall, std::size_t place, DeviceId device, RunId run)
    : Caller(hall, "table-" + std::to_string(place + 1)), place_(place), device_(device), run_(run),
      table_(run, hand()), lots_(hall.wishes.seed * 1'000 + static_cast<std::uint32_t>(place)) {}

Instant PlayedTable::now() const {
    if (speed_ == 0) return {};
    return Instant{static_cast<std::uint32_t>((now_us() - began_us_) * speed_ / 1'000)};
}

Hello PlayedTable::hello() const {
    Hello hello;
    hello.schema = wire_schema;
    hello.role = Role::table;
    hello.device = device_;
    hello.run = run_;
    hello.fold_version = fold_version;
    hello.hand = hand();
    return hello;
}

void PlayedTable::hear(const Heard& message, const std::string&) {
    if (const auto* welcome = std::get_if<Welcome>(&message)) {
        on_welcome(*welcome);
    } else if (const auto* allotment = std::get_if<Allotment>(&message)) {
        on_allotment(*allotment);
    } else if (const auto* given = std::get_if<VerdictGiven>(&message)) {
        on_verdict(*given);
    } else if (const auto* refusal = std::get_if<Refusal>(&message)) {
        on_refusal(*refusal);
    } else if (const auto* lost = std::get_if<MatLost>(&message); lost && lost->mat == mat_) {
        hall_.promises.note(name() + " plays no more: " + lost->words);
        alone_ = true;
        table_.mat_lost(lost->words);
    }
    carry();
}

void PlayedTable::on_welcome(const Welcome& welcome) {
    if (welcome.rehearsal_rate <= 1 && !hall_.wishes.without_rehearsal) {
        hall_.promises.trouble(
            name() + " enters nothing: this hub is not in a rehearsal (" + welcome.title +
            "), and what is played here would stand in its journal for good. Start the hub with "
            "--rehearsal-rate and another --data folder, or say --without-rehearsal here.");
        leave();
        return;
    }
    if (place_ >= welcome.mats.size()) {
        hall_.promises.trouble("There is no mat for " + name() + ": this competition has " +
                               std::to_string(welcome.mats.size()) +
                               ". Ask for fewer with --tables.");
        leave();
        return;
    }
    mat_ = welcome.mats[place_];
    seated_ = false;
    clock_told_ = false;
    if (speed_ == 0) {
        speed_ = rate() * hall_.wishes.faster;
        began_us_ = now_us();
        operate();
    }
    // What is kept goes out first, under the term it was made in.
    table_.welcome(welcome.runs);
    carry();
    ask_for_mat(false);
}

void PlayedTable::ask_for_mat(bool take_over) {
    if (!alone_) send(TakeMat{mat_, take_over, hand()});
}

void PlayedTable::on_allotment(const Allotment& allotment) {
    if (allotment.mat != mat_ || alone_) return;
    seated_ = true;
    given_ = allotment;
    for (const RunClock& clock : allotment.clocks) {
        const std::int64_t gone = std::int64_t{hub_now().ms} - std::int64_t{clock.on_hub.ms};
        const std::int64_t there = std::max<std::int64_t>(0, std::int64_t{clock.on_run.ms} + gone);
        table_.earlier_run(clock.run, Instant{static_cast<std::uint32_t>(there)}, now(),
                           Joint::Source::hub_clock);
    }
    table_.allot(allotment, now());
}

void PlayedTable::on_verdict(const VerdictGiven& given) {
    hall_.log.verdict(name(), given.call, given.verdict, given.record);
    saw(given.record);
    const auto [known, fresh] = verdicts_.try_emplace(given.call,
                                                      Given{given.verdict, given.record});
    const Given& first = known->second;
    if (first.verdict != given.verdict || first.record != given.record) {
        hall_.promises.broken(name() + ": " + words(given.call) + " had its verdict with record " +
                              std::to_string(first.record.value) +
                              ", and now another with record " +
                              std::to_string(given.record.value) + ": a verdict is lasting.");
    }
    if (given.state_differs) {
        hall_.promises.broken(name() + ": the hub saw the bout before " + words(given.call) +
                              " differently than this table, the only one that writes it.");
    }
    table_.verdict(given.call, given.verdict, given.state_differs);
    if (!fresh) return;
    ++hall_.tally.acknowledged;
    if (given.verdict == Verdict::without_effect) ++hall_.tally.without_effect;
    if (given.verdict == Verdict::set_aside) ++hall_.tally.set_aside;
    if (given.call.run != run_ || given.call.number.value > pressed_us_.size()) {
        hall_.promises.broken(name() + " got a verdict for a call it never made.");
        return;
    }
    const std::uint64_t pressed = pressed_us_[given.call.number.value - 1];
    hall_.tally.to_verdict.add(now_us() - pressed);
    if (given.verdict == Verdict::applied) hall_.tally.pressed(given.record, pressed);
}

void PlayedTable::on_refusal(const Refusal& refusal) {
    ++hall_.tally.refusals;
    hall_.tally.last_words = refusal.words;
    if (refusal.reason == Cause::mat_held) {
        if (hall_.wishes.take_over && table_.charge() == Table::Charge::none) {
            ask_for_mat(true);
            return;
        }
        alone_ = true;
        if (in_charge()) {  // taken while the line was down
            hall_.promises.note(name() + " plays no more: " + refusal.words);
            table_.mat_lost(refusal.words);
        } else {
            hall_.promises.trouble(name() + " does not get mat " + std::to_string(mat_.value) +
                                   ": " + refusal.words +
                                   " With --take-over it is taken at the beginning.");
        }
        return;
    }
    if (refusal.reason == Cause::other_content) {
        hall_.promises.broken(name() + " sent a call again and heard: " + refusal.words);
    }
    table_.refused(refusal.about_call ? refusal.call : CallId{}, refusal.words);
}

void PlayedTable::down() { table_.line_down(); }

// The same moment on both clocks, so that all screens change together.
void PlayedTable::clock_known() {
    if (speed_ == 0 || (clock_told_ && (now() - told_clock_).ms < tell_clock_ms)) return;
    clock_told_ = send(ClockMeasured{{run_, now(), hub_now()}, {}});
    told_clock_ = now();
}

void PlayedTable::each_second() {
    if (!up() || now_us() - last_again_us_ < retry_us) return;
    last_again_us_ = now_us();
    table_.again();
    carry();
    if (!seated_) ask_for_mat(false);
}

// What may go out goes; then what was just entered is kept, and may go out as well.
void PlayedTable::carry() {
    for (;;) {
        const Doing doing = table_.take_doing();
        for (const Call& call : doing.send) {
            if (!send(Submit{call})) continue;
            const bool again = call.id.number.value <= sent_;
            ++(again ? hall_.tally.sent_again : hall_.tally.sent);
            sent_ = std::max(sent_, call.id.number.value);
        }
        if (doing.save.empty()) return;
        for (const Call& call : doing.save) {
            hall_.log.saved(name(), device_, call);
            ++hall_.tally.entered;
            pressed_us_.push_back(now_us());
            if (scripted_ == call.bout) entered_.push_back(call.id);
        }
        for (const Call& call : doing.save)
            table_.saved(call.id);
    }
}

}  // namespace honbu::sim

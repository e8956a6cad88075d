#include "clients/sim/caller.h"

#include <algorithm>
#include <utility>

#include "engine/view/json.h"
#include "hub/wire/wire.h"

namespace honbu::sim {
namespace {

constexpr std::uint64_t beat_us = 2'000'000;
constexpr std::uint64_t silent_us = 5'000'000;
constexpr std::uint64_t dead_us = 9'000'000;
constexpr std::uint32_t backoff_ms_min = 300;
constexpr std::uint32_t backoff_ms_max = 5'000;
constexpr std::uint64_t asks_at_once = 5;
constexpr std::uint64_t between_asks_ms = 150;
constexpr std::uint64_t trip_us_worst = 60'000'000;
constexpr std::uint64_t age_us = 200;  // what an answer loses until the next comes, in 2 s

}  // namespace

void Caller::begin() {
    open();
    hall_.loop.in_ms(1'000, [this] { look(); });
}

void Caller::leave() {
    left_ = true;
    lose();
}

void Caller::open() {
    waits_to_open_ = false;
    if (left_) return;
    heard_us_ = now_us();
    line_ = hall_.loop.connect(hall_.wishes.hub, *this);
}

void Caller::opened() {
    open_ = true;
    send(hello());
}

void Caller::gone(const std::string&) { lose(); }

void Caller::lose() {
    line_.reset();
    open_ = false;
    if (std::exchange(welcomed_, false)) {
        hall_.log.gone(name_);
        down();
    }
    if (waits_to_open_ || left_) return;
    waits_to_open_ = true;
    const std::uint32_t most = std::min(backoff_ms_max, backoff_ms_min << std::min(tries_, 5U));
    ++tries_;
    hall_.loop.in_ms(hall_.lots.from_to(backoff_ms_min, most), [this] { open(); });
}

bool Caller::send(const Command& command) {
    if (!open_) return false;
    line_->send(to_wire(command));
    spoke_us_ = now_us();
    return true;
}

void Caller::heard(const std::string& bytes) {
    heard_us_ = now_us();
    const Heard message = honbu::heard(bytes);
    if (std::holds_alternative<Unreadable>(message)) {
        hall_.promises.broken(name_ + " was sent " + std::to_string(bytes.size()) +
                              " bytes that are no message of the schema.");
        return;
    }
    if (const auto* goodbye = std::get_if<Goodbye>(&message)) {
        ++hall_.tally.goodbyes;
        hall_.tally.last_words = goodbye->words;
        if (!goodbye->come_back) {
            hall_.promises.trouble("The hub sent " + name_ + " away: " + goodbye->words);
            left_ = true;
        }
        lose();
        return;
    }
    if (const auto* welcome = std::get_if<Welcome>(&message)) on_welcome(*welcome);
    if (left_) return;
    if (const auto* answer = std::get_if<ClockAnswer>(&message)) on_answer(*answer);
    hear(message, bytes);
}

void Caller::on_welcome(const Welcome& welcome) {
    hall_.log.welcome(name_, welcome.epoch, welcome.number);
    welcomed_ = true;
    if (epoch_ != Epoch{} && welcome.epoch != epoch_) {
        hall_.promises.trouble("The hub came back with another journal than " + name_ +
                               " has seen (" + name_text(welcome.epoch.value) + ", not " +
                               name_text(epoch_.value) +
                               "). What is kept here belongs to the other one.");
        leave();
        return;
    }
    if (welcome.number < seen_) {
        hall_.promises.broken("The hub has lost records: it ends at number " +
                              std::to_string(welcome.number.value) + ", and " + name_ +
                              " has already seen number " + std::to_string(seen_.value) + ".");
    }
    tries_ = 0;
    if (welcomes_++ > 0) ++hall_.tally.reconnects;
    epoch_ = welcome.epoch;
    saw(welcome.number);
    rate_ = std::max(welcome.rehearsal_rate, 1U);
    best_trip_us_ = trip_us_worst;
    middle_us_ = now_us();
    hub_then_ = welcome.now;
    for (std::uint64_t i = 0; i < asks_at_once; ++i)
        hall_.loop.in_ms(i * between_asks_ms, [this] { ask(); });
}

// The answer with the shortest way there and back is believed (docs/protocol.md, section 4).
void Caller::on_answer(const ClockAnswer& answer) {
    const std::uint64_t trip_us = std::uint64_t{ask_clock() - answer.sent} * 1'000;
    best_trip_us_ += age_us;
    if (trip_us <= best_trip_us_) {
        best_trip_us_ = trip_us;
        middle_us_ = now_us() - trip_us / 2;
        hub_then_ = answer.now;
    }
    clock_known();
}

Instant Caller::hub_now() const {
    const std::uint64_t gone_ms = (now_us() - middle_us_) * rate_ / 1'000;
    return Instant{hub_then_.ms + static_cast<std::uint32_t>(gone_ms)};
}

bool Caller::live() const { return welcomed_ && now_us() - heard_us_ <= silent_us; }

void Caller::saw(RecordNumber number) { seen_ = std::max(seen_, number); }

void Caller::look() {
    if (left_) return;
    hall_.loop.in_ms(1'000, [this] { look(); });
    const std::uint64_t now = now_us();
    if (line_ && now - heard_us_ > dead_us) {
        lose();
    } else if (welcomed_ && now - spoke_us_ >= beat_us - 250'000) {
        send(Heartbeat{});
        ask();
    }
    each_second();
}

void Caller::ask() {
    if (welcomed_) send(ClockAsk{ask_clock()});
}

}  // namespace honbu::sim

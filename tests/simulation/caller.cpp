#include "tests/simulation/caller.h"

#include <algorithm>

namespace honbu::simulation {
namespace {

constexpr std::uint64_t beat_ms = 2'000;
constexpr std::uint64_t dead_ms = 9'000;
constexpr std::uint32_t backoff_ms_min = 300;
constexpr std::uint32_t backoff_ms_max = 5'000;
constexpr std::uint64_t asks_at_once = 5;

// Signs of life and the time of day never rest, and change nothing.
bool said_all_the_time(const std::string& bytes) {
    const auto command = from_wire(bytes);
    const auto* said = std::get_if<Command>(&command);
    return said != nullptr &&
           (std::holds_alternative<Heartbeat>(*said) || std::holds_alternative<ClockAsk>(*said));
}
bool heard_all_the_time(const std::string& bytes) {
    const Heard message = honbu::heard(bytes);
    return std::holds_alternative<Heartbeat>(message) ||
           std::holds_alternative<ClockAnswer>(message);
}

}  // namespace

Caller::~Caller() {
    if (line_) line_->close_from(To::client);
}

void Caller::begin() {
    open();
    later(1'000, [this] { look(); });
}

bool Caller::idle() const {
    return line_ && line_->all_under_way(To::hub, said_all_the_time) &&
           line_->all_under_way(To::client, heard_all_the_time);
}

void Caller::snap(std::uint32_t late_ms, bool nothing) {
    if (line_) line_->snap(late_ms, nothing);
}

void Caller::open() {
    waits_to_open_ = false;
    welcomed_ = false;
    heard_at_ = hall_.agenda.now();
    const std::uint64_t now = hall_.agenda.now();
    if (!route_.cut(To::hub, now) && !route_.cut(To::client, now)) {
        line_ = hall_.door.connect(route_, window, *this);
    }
    if (!line_) {
        lose();
        return;
    }
    send(hello());
}

void Caller::lose() {
    if (line_) line_->close_from(To::client);
    line_.reset();
    welcomed_ = false;
    down();
    if (waits_to_open_) return;
    waits_to_open_ = true;
    const std::uint32_t most = std::min(backoff_ms_max, backoff_ms_min << std::min(tries_, 5U));
    ++tries_;
    later(hall_.lots.from_to(backoff_ms_min, most), [this] { open(); });
}

bool Caller::send(const Command& command) {
    if (!line_) return false;
    line_->send(To::hub, std::make_shared<const std::string>(to_wire(command)));
    spoke_at_ = hall_.agenda.now();
    return true;
}

void Caller::heard(const std::string& bytes) {
    heard_at_ = hall_.agenda.now();
    const Heard message = honbu::heard(bytes);
    if (std::holds_alternative<Welcome>(message)) {
        welcomed_ = true;
        tries_ = 0;
        for (std::uint64_t i = 0; i < asks_at_once; ++i)
            later(i * 150, [this] { ask(); });
    }
    if (std::holds_alternative<Goodbye>(message)) {
        lose();
        return;
    }
    hear(message, bytes);
}

void Caller::line_closed() { lose(); }

void Caller::look() {
    later(1'000, [this] { look(); });
    const std::uint64_t now = hall_.agenda.now();
    if (line_ && now - heard_at_ > dead_ms) {
        lose();
    } else if (welcomed_ && now - spoke_at_ >= beat_ms - 250) {
        send(Heartbeat{});
        ask();
    }
    each_second();
}

void Caller::ask() {
    if (welcomed_) send(ClockAsk{ask_now()});
}

}  // namespace honbu::simulation

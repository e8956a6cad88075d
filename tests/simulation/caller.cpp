#include "tests/simulation/caller.h"

#include <algorithm>

namespace honbu::simulation {
namespace {

constexpr std::uint64_t beat_ms = 2'000;
constexpr std::uint64_t dead_ms = 9'000;
constexpr std::uint32_t backoff_ms_min = 300;
constexpr std::uint32_t backoff_ms_max = 5'000;
constexpr std::uint64_t asks_at_once = 5;

}  // namespace

Caller::~Caller() {
    if (line_) line_->close_from(To::client);
}

void Caller::begin() {
    open();
    later(1'000, [this] { look(); });
}

bool Caller::idle() const {
    return line_ && line_->under_way(To::hub) == 0 && line_->under_way(To::client) == 0;
}

void Caller::snap(std::uint32_t late_ms) {
    if (line_) line_->snap(late_ms);
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

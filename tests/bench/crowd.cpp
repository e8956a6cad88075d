#include "tests/bench/crowd.h"

#include <algorithm>
#include <array>
#include <cstdio>
#include <cstdlib>

#include <poll.h>
#include <sys/epoll.h>
#include <unistd.h>

#include "tests/bench/frames.h"

namespace honbu::bench {
namespace {

using namespace std::chrono_literals;

constexpr std::size_t on_their_way_most = 200;
constexpr auto arrive_within = 120s;
constexpr auto alive_every = 1'900ms;

[[noreturn]] void end(const char* what) {
    std::fprintf(stderr, "the load ends: %s\n", what);
    std::exit(1);
}

}  // namespace

Crowd::Crowd(Speech& speech, std::uint16_t port)
    : speech_(speech), port_(port), epoll_(epoll_create1(EPOLL_CLOEXEC)),
      life_(client_frame(speech.sign_of_life())), alive_until_(Clock::now()), now_(Clock::now()) {
    if (speech.sign_of_life().empty()) life_.clear();
}

void Crowd::open(bool table, std::size_t index) {
    const std::size_t at = clients_.size();
    clients_.push_back(
        Client{Line(connect_to(port_, at)), Stage::connecting, table, index, std::size_t{0}});
    watch(epoll_, clients_.back().line.socket(), at, true);
}

void Crowd::open_tables(std::size_t count) {
    for (std::size_t i = 0; i < count; ++i)
        open(true, i);
    if (!run([&] { return there_ == clients_.size(); }, arrive_within)) end("no table got its mat");
}

void Crowd::open_screens(std::size_t count) {
    const std::size_t before = clients_.size();
    clients_.reserve(before + count);
    const auto more = [&] {
        while (clients_.size() < before + count && clients_.size() - there_ < on_their_way_most)
            open(false, clients_.size() - before);
        return there_ == before + count;
    };
    if (!run(more, arrive_within)) end("not all screens got their first state");
}

void Crowd::say(std::size_t table, const std::string& message) { send(clients_[table], message); }

void Crowd::send(Client& client, const std::string& message) {
    if (!message.empty() && !client.line.send(client_frame(message))) end("a line broke");
}

bool Crowd::run(const std::function<bool()>& done, Clock::duration most) {
    const Clock::time_point until = Clock::now() + most;
    now_ = Clock::now();
    while (!done()) {
        if (now_ >= until) return false;
        turn(until - now_);
    }
    return true;
}

void Crowd::turn(Clock::duration most) {
    std::array<epoll_event, 1024> ready{};
    const auto of = [](Clock::duration time) {
        return timespec{0, std::chrono::nanoseconds(std::min<Clock::duration>(time, 1ms)).count()};
    };
    const timespec pause = of(pause_);
    if (pause_ > 0s) ppoll(nullptr, 0, &pause, nullptr);
    const timespec limit = of(pause_ > 0s ? 0s : most);
    const int count = epoll_pwait2(epoll_, ready.data(), static_cast<int>(ready.size()), &limit,
                                   nullptr);
    now_ = Clock::now();
    for (int i = 0; i < count; ++i) {
        const epoll_event& event = ready[static_cast<std::size_t>(i)];
        on_ready(event.data.u64, (event.events & EPOLLOUT) != 0);
    }
    if (!life_.empty()) signs_of_life();
}

void Crowd::on_ready(std::size_t at, bool writable) {
    Client& client = clients_[at];
    if (writable && client.stage == Stage::connecting) {
        watch_again(epoll_, client.line.socket(), at, false);
        client.stage = Stage::shaking;
        if (!client.line.send(handshake_request(port_))) end("a line broke in its handshake");
        return;
    }
    now_ = Clock::now();
    const auto all = [this, at](std::string_view bytes) { return take(at, bytes); };
    if (!client.line.receive(all)) end("the server closed a line");
}

std::size_t Crowd::take(std::size_t at, std::string_view bytes) {
    std::size_t used = 0;
    Client& client = clients_[at];
    if (client.stage == Stage::shaking) {
        const std::size_t head = bytes.find(end_of_head);
        if (head == std::string_view::npos) return 0;
        if (!bytes.starts_with("HTTP/1.1 101")) end("a handshake was refused");
        used = head + end_of_head.size();
        client.stage = Stage::greeting;
        const std::string hello = speech_.hello(client.table, client.index);
        send(client, hello);
        if (hello.empty()) arrive(client);
    }
    return used + take_frames(bytes.substr(used),
                              [this, at](std::string_view message) { on_message(at, message); });
}

void Crowd::on_message(std::size_t at, std::string_view message) {
    Client& client = clients_[at];
    const Heard heard = speech_.hear(message);
    switch (heard.kind) {
    case Heard::Kind::welcome:
        send(client, speech_.after_welcome(client.table, client.index));
        break;
    case Heard::Kind::allotment:
        if (client.stage == Stage::there) break;
        send(client, speech_.after_allotment(client.index));
        arrive(client);
        break;
    case Heard::Kind::verdict:
        if (on_verdict) on_verdict(client.index, heard.number, now_);
        break;
    case Heard::Kind::view:
        if (client.stage == Stage::there) {
            if (on_view) on_view(heard.number, message.size(), now_);
        } else if (++client.views == speech_.first_views()) {
            arrive(client);
        }
        break;
    case Heard::Kind::other: break;
    }
}

void Crowd::arrive(Client& client) {
    client.stage = Stage::there;
    ++there_;
}

// Spread over time, so that they come as from many pages and not as one blow.
void Crowd::signs_of_life() {
    if (clients_.empty()) return;
    const Clock::duration step = Clock::duration(alive_every) / clients_.size();
    alive_until_ = std::max(alive_until_, now_ - alive_every);
    for (; alive_until_ + step <= now_; alive_until_ += step) {
        Client& client = clients_[next_alive_++ % clients_.size()];
        if (client.stage == Stage::there) client.line.send(life_);
    }
}

}  // namespace honbu::bench

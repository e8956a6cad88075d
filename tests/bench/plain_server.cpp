#include "tests/bench/plain_server.h"

#include <algorithm>
#include <array>
#include <cstdio>
#include <cstring>

#include <netinet/in.h>
#include <netinet/tcp.h>
#include <sys/epoll.h>
#include <sys/socket.h>

#include "tests/bench/frames.h"

namespace honbu::bench {
namespace {

constexpr std::uint64_t door_name = ~std::uint64_t{0};

std::string numbered(char kind, std::uint32_t number) {
    std::string out(1, kind);
    out.append(reinterpret_cast<const char*>(&number), sizeof number);
    return out;
}

}  // namespace

PlainServer::PlainServer(std::size_t frame_bytes)
    : epoll_(epoll_create1(EPOLL_CLOEXEC)), door_(listen_on(0)), frame_bytes_(frame_bytes),
      latest_(view(0)) {
    watch(epoll_, door_, door_name);
    std::printf("listening %u\n", port_of(door_));
    std::fflush(stdout);
}

std::string PlainServer::view(std::uint32_t number) const {
    std::string payload = numbered('V', number);
    payload.resize(std::max(payload.size(), frame_bytes_), '.');
    return server_frame(payload);
}

void PlainServer::run(const Keep& keep, bool acknowledge) {
    std::array<epoll_event, 512> ready{};
    for (;;) {
        const int count = epoll_wait(epoll_, ready.data(), static_cast<int>(ready.size()), -1);
        for (int i = 0; i < count; ++i) {
            const epoll_event& event = ready[static_cast<std::size_t>(i)];
            if (event.data.u64 == door_name) {
                accept_all();
            } else {
                on_ready(event.data.u64, (event.events & EPOLLOUT) != 0);
            }
        }
        if (events_.empty()) continue;
        keep(events_);
        tell_all(acknowledge);
        events_.clear();
    }
}

void PlainServer::accept_all() {
    for (;;) {
        const int socket = accept4(door_, nullptr, nullptr, SOCK_NONBLOCK | SOCK_CLOEXEC);
        if (socket < 0) return;
        const int on = 1;
        setsockopt(socket, IPPROTO_TCP, TCP_NODELAY, &on, sizeof on);
        watch(epoll_, socket, clients_.size());
        clients_.push_back(Client{Line(socket), false, false, false});
    }
}

void PlainServer::on_ready(std::size_t at, bool writable) {
    Client& client = clients_[at];
    if (writable && !client.line.flush()) return drop(at);
    if (client.watched_to_write && !client.line.waiting()) {
        watch_again(epoll_, client.line.socket(), at, false);
        client.watched_to_write = false;
    }
    const auto all = [this, at](std::string_view bytes) { return take(at, bytes); };
    if (!client.line.receive(all)) drop(at);
}

std::size_t PlainServer::take(std::size_t at, std::string_view bytes) {
    std::size_t used = 0;
    if (!clients_[at].greeted) {
        const std::size_t end = bytes.find(end_of_head);
        if (end == std::string_view::npos) return 0;
        used = end + end_of_head.size();
        clients_[at].greeted = true;
        say(at, handshake_answer());
    }
    return used + take_frames(bytes.substr(used),
                              [this, at](std::string_view message) { on_message(at, message); });
}

void PlainServer::on_message(std::size_t at, std::string_view message) {
    if (message == "S") {
        followers_.push_back(at);
        clients_[at].follows = true;
        say(at, latest_);
    } else if (message.size() == 5 && message[0] == 'E') {
        PlainEvent event{at, 0};
        std::memcpy(&event.number, message.data() + 1, sizeof event.number);
        events_.push_back(event);
    }
}

void PlainServer::say(std::size_t at, std::string_view bytes) {
    Client& client = clients_[at];
    client.line.send(bytes);  // gone is noticed when reading
    if (!client.line.waiting() || client.watched_to_write) return;
    watch_again(epoll_, client.line.socket(), at, true);
    client.watched_to_write = true;
}

// The place stays empty: a run is short.
void PlainServer::drop(std::size_t at) {
    if (clients_[at].follows) std::erase(followers_, at);
    const Line closed(std::move(clients_[at].line));
}

void PlainServer::tell_all(bool acknowledge) {
    if (acknowledge) {
        for (const PlainEvent& event : events_)
            say(event.from, server_frame(numbered('A', event.number)));
    }
    std::string all;
    for (const PlainEvent& event : events_)
        all += latest_ = view(event.number);
    for (const std::size_t at : followers_)
        say(at, all);
}

}  // namespace honbu::bench

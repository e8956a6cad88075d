#include "tests/bench/line.h"

#include <array>
#include <cerrno>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <utility>

#include <arpa/inet.h>
#include <netinet/in.h>
#include <netinet/tcp.h>
#include <sys/epoll.h>
#include <sys/resource.h>
#include <sys/socket.h>
#include <unistd.h>

namespace honbu::bench {
namespace {

constexpr std::size_t lines_for_each_address = 10'000;
constexpr int backlog = 4'096;

sockaddr_in address(std::uint32_t ip, std::uint16_t port) {
    sockaddr_in out{};
    out.sin_family = AF_INET;
    out.sin_addr.s_addr = htonl(ip);
    out.sin_port = htons(port);
    return out;
}

const sockaddr* any(const sockaddr_in& from) { return reinterpret_cast<const sockaddr*>(&from); }

void set(int socket, int level, int option) {
    const int on = 1;
    if (setsockopt(socket, level, option, &on, sizeof on) != 0) give_up("setsockopt");
}

}  // namespace

Line::Line(Line&& other) noexcept
    : socket_(std::exchange(other.socket_, -1)), gone_(other.gone_), in_(std::move(other.in_)),
      out_(std::move(other.out_)) {}

// With a reset, so that the address is free again at once.
Line::~Line() {
    if (socket_ < 0) return;
    const linger at_once{1, 0};
    setsockopt(socket_, SOL_SOCKET, SO_LINGER, &at_once, sizeof at_once);
    close(socket_);
}

bool Line::send(std::string_view bytes) {
    if (waiting()) {
        out_.append(bytes);
        return true;
    }
    const ssize_t sent = ::send(socket_, bytes.data(), bytes.size(), MSG_NOSIGNAL);
    if (sent < 0 && errno != EAGAIN) return false;
    const auto done = static_cast<std::size_t>(sent < 0 ? 0 : sent);
    if (done < bytes.size()) out_.assign(bytes.substr(done));
    return true;
}

bool Line::flush() {
    const std::string all = std::exchange(out_, {});
    return send(all);
}

std::string_view Line::read() {
    static std::array<char, 512 * 1024> buffer;
    std::memcpy(buffer.data(), in_.data(), in_.size());
    const ssize_t got = recv(socket_, buffer.data() + in_.size(), buffer.size() - in_.size(), 0);
    if (got == 0 || (got < 0 && errno != EAGAIN)) gone_ = true;
    if (got <= 0) return {};
    return {buffer.data(), in_.size() + static_cast<std::size_t>(got)};
}

int listen_on(std::uint16_t port) {
    const int socket = ::socket(AF_INET, SOCK_STREAM | SOCK_NONBLOCK | SOCK_CLOEXEC, 0);
    if (socket < 0) give_up("socket");
    set(socket, SOL_SOCKET, SO_REUSEADDR);
    const sockaddr_in here = address(INADDR_LOOPBACK, port);
    if (bind(socket, any(here), sizeof here) != 0) give_up("bind");
    if (listen(socket, backlog) != 0) give_up("listen");
    return socket;
}

std::uint16_t port_of(int socket) {
    sockaddr_in bound{};
    socklen_t size = sizeof bound;
    if (getsockname(socket, reinterpret_cast<sockaddr*>(&bound), &size) != 0) give_up("name");
    return ntohs(bound.sin_port);
}

int connect_to(std::uint16_t port, std::size_t number) {
    const int socket = ::socket(AF_INET, SOCK_STREAM | SOCK_NONBLOCK | SOCK_CLOEXEC, 0);
    if (socket < 0) give_up("socket");
    set(socket, IPPROTO_TCP, TCP_NODELAY);
    set(socket, IPPROTO_IP, IP_BIND_ADDRESS_NO_PORT);
    const auto step = static_cast<std::uint32_t>(number / lines_for_each_address);
    const sockaddr_in here = address(INADDR_LOOPBACK + 1 + step, 0);
    if (bind(socket, any(here), sizeof here) != 0) give_up("bind to a source address");
    const sockaddr_in there = address(INADDR_LOOPBACK, port);
    if (connect(socket, any(there), sizeof there) != 0 && errno != EINPROGRESS) give_up("connect");
    return socket;
}

void watch(int epoll, int socket, std::uint64_t name, bool also_to_write) {
    epoll_event wish{};
    wish.events = EPOLLIN | (also_to_write ? EPOLLOUT : 0U);
    wish.data.u64 = name;
    if (epoll_ctl(epoll, EPOLL_CTL_ADD, socket, &wish) != 0) give_up("epoll_ctl");
}

void watch_again(int epoll, int socket, std::uint64_t name, bool also_to_write) {
    epoll_event wish{};
    wish.events = EPOLLIN | (also_to_write ? EPOLLOUT : 0U);
    wish.data.u64 = name;
    if (epoll_ctl(epoll, EPOLL_CTL_MOD, socket, &wish) != 0) give_up("epoll_ctl");
}

void give_up(const char* what) {
    std::perror(what);
    std::exit(1);
}

void allow_many_sockets() {
    rlimit limit{};
    if (getrlimit(RLIMIT_NOFILE, &limit) != 0) give_up("getrlimit");
    limit.rlim_cur = limit.rlim_max;
    if (setrlimit(RLIMIT_NOFILE, &limit) != 0) give_up("setrlimit");
}

}  // namespace honbu::bench

#include "hub/service.h"

#include <algorithm>
#include <charconv>
#include <chrono>
#include <cstddef>
#include <cstdlib>
#include <cstring>
#include <string_view>
#include <utility>

#include <sys/socket.h>
#include <sys/un.h>
#include <unistd.h>

namespace honbu {
namespace {

constexpr std::uint64_t usual_us = 10'000'000;

std::string variable(const char* name) {
    const char* const value = std::getenv(name);
    return value == nullptr ? std::string() : std::string(value);
}

// 0: it is no number, or not there.
std::uint64_t number(const std::string& text) {
    std::uint64_t value = 0;
    const auto read = std::from_chars(text.data(), text.data() + text.size(), value);
    return read.ec == std::errc() && read.ptr == text.data() + text.size() ? value : 0;
}

}  // namespace

Service::Service(Parts parts)
    : parts_(std::move(parts)), socket_(variable("NOTIFY_SOCKET")), every_us_(usual_us) {
    // Meant for another process if it names one (sd_watchdog_enabled(3)).
    const std::string process = variable("WATCHDOG_PID");
    const std::uint64_t patience_us = number(variable("WATCHDOG_USEC"));
    watched_ = patience_us > 0 &&
               (process.empty() || number(process) == static_cast<std::uint64_t>(getpid()));
    if (watched_) every_us_ = std::min(every_us_, patience_us / 2);
}

Service::~Service() { stopping(); }

void Service::ready() {
    if (socket_.empty()) return;
    tell("READY=1\nSTATUS=" + parts_.status());
    thread_ = std::thread([this] { run(); });
}

void Service::stopping() {
    if (!thread_.joinable()) return;
    {
        const std::scoped_lock lock(mutex_);
        ending_ = true;
    }
    bell_.notify_one();
    thread_.join();
    tell("STOPPING=1\nSTATUS=Stopping.");
}

// A datagram to a local socket; whoever does not take it is not waited for.
void Service::tell(const std::string& words) const {
    sockaddr_un to{};
    if (socket_.empty() || socket_.size() >= sizeof to.sun_path) return;
    to.sun_family = AF_UNIX;
    std::memcpy(to.sun_path, socket_.data(), socket_.size());
    if (socket_.front() == '@') to.sun_path[0] = '\0';  // an abstract name (unix(7))
    const int file = socket(AF_UNIX, SOCK_DGRAM | SOCK_CLOEXEC | SOCK_NONBLOCK, 0);
    if (file < 0) return;
    const auto size = static_cast<socklen_t>(offsetof(sockaddr_un, sun_path) + socket_.size());
    static_cast<void>(sendto(file, words.data(), words.size(), MSG_NOSIGNAL,
                             reinterpret_cast<const sockaddr*>(&to), size));
    close(file);
}

void Service::look() {
    const bool alive = watched_ && parts_.gets_on();
    tell(std::string(alive ? "WATCHDOG=1\n" : "") + "STATUS=" + parts_.status());
}

void Service::run() {
    std::unique_lock lock(mutex_);
    const auto wait = std::chrono::microseconds(every_us_);
    while (!bell_.wait_for(lock, wait, [this] { return ending_; }))
        parts_.post([this] { look(); });
}

}  // namespace honbu

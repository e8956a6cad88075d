#include "hub/net/tls_passage.h"

#include <array>
#include <chrono>
#include <span>
#include <string_view>
#include <utility>

#include <boost/asio/co_spawn.hpp>
#include <boost/asio/post.hpp>
#include <boost/asio/read_until.hpp>
#include <boost/asio/write.hpp>
#include <sys/socket.h>
#include <unistd.h>

namespace honbu {
namespace {

using namespace std::chrono_literals;

constexpr auto handshake_within = 5s;
constexpr auto last_bytes_within = 4s;  // longer than the hub itself waits for the other side
constexpr int local_bytes_max = 64 * 1024;
constexpr unsigned rounds_in_a_row = 16;
constexpr char tls_handshake = '\x16';  // the first byte of a TLS connection (RFC 8446, 5.1)
constexpr std::string_view plain_answer =
    "HTTP/1.1 400 Bad Request\r\nContent-Type: text/plain; charset=utf-8\r\n"
    "Connection: close\r\n\r\n"
    "This address of the hub is encrypted: write https:// in front of it.\n";

constexpr auto resumed = asio::use_awaitable_t<Executor>();

// One TLS record's worth. Nobody keeps it over a wait, so all passages of the thread share it.
std::span<char> page() {
    thread_local std::array<char, 16 * 1024> bytes;
    return bytes;
}

void rethrow(std::exception_ptr thrown) {
    if (thrown) std::rethrow_exception(thrown);
}

}  // namespace

Descriptor::~Descriptor() {
    if (number_ >= 0) close(number_);
}

TlsPassage::TlsPassage(std::uint64_t number, TcpSocket device, Tls tls, const Told& told)
    : number_(number), told_(told), device_(std::move(device)), tls_(std::move(tls)),
      local_(device_.get_executor()), deadline_(device_.get_executor()) {}

TlsPassage::~TlsPassage() { told_.ended(number_); }

void TlsPassage::begin(const std::shared_ptr<TlsPassage>& self) {
    error_code ignored;
    self->device_.non_blocking(true, ignored);
    self->device_.set_option(asio::ip::tcp::no_delay(true), ignored);
    self->cut_after(handshake_within);
    asio::co_spawn(self->device_.get_executor(), live(self), rethrow);
}

// OpenSSL has the number of the device's socket, which may be given to another as soon as this is
// closed: so after every wait the pumps look first whether it is still open.
void TlsPassage::end() {
    error_code ignored;
    device_.close(ignored);
    local_.close(ignored);
    deadline_.cancel();
}

void TlsPassage::finish() {
    if (pumps_ == 0) return end();  // nothing was said yet
    finishing_ = true;
    error_code ignored;
    local_.cancel(ignored);
}

Task<void> TlsPassage::live(std::shared_ptr<TlsPassage> self) {
    const Step shaken = co_await self->shake_hands();
    if (shaken == Step::over || !self->open_local()) {
        self->end();
        co_return;
    }
    self->deadline_.cancel();
    self->deadline_.expires_at(Timer::time_point::max());
    self->pumps_ = 2;
    self->watch_hub();
    asio::co_spawn(self->device_.get_executor(), carry_in(self), rethrow);
    co_await self->carry_out();
    self->part();
}

// The hub cuts off whoever takes nothing. Then one pump waits for the device to take something and
// the other for it to say something; so what comes of the hub's end is watched for beside them.
void TlsPassage::watch_hub() {
    local_.async_wait(Local::wait_error, [weak = weak_from_this()](error_code ec) {
        const auto self = weak.lock();
        if (!ec && self != nullptr && self->device_.is_open()) self->last_bytes();
    });
}

Task<TlsPassage::Step> TlsPassage::shake_hands() {
    auto [ec] = co_await device_.async_wait(TcpSocket::wait_read, as_result);
    if (ec || !device_.is_open()) co_return Step::over;
    char first = 0;
    const ssize_t peeked = recv(device_.native_handle(), &first, 1, MSG_PEEK | MSG_DONTWAIT);
    if (peeked == 1 && first != tls_handshake) {
        co_await tell_plain();
        co_return Step::over;
    }
    SSL_set_fd(tls_.get(), device_.native_handle());
    for (;;) {
        ERR_clear_error();
        const int result = SSL_accept(tls_.get());
        if (result == 1) co_return Step::done;
        const Step waited = co_await wait_for_device(result);
        if (waited == Step::over) co_return Step::over;
    }
}

// Whoever leaves https:// out, which browsers do on their own.
Task<void> TlsPassage::tell_plain() {
    std::string request;
    auto in = asio::dynamic_buffer(request, page().size());
    auto [read_ec, size] = co_await asio::async_read_until(device_, in, "\r\n\r\n", as_result);
    static_cast<void>(size);
    if (read_ec) co_return;
    const asio::const_buffer answer = asio::buffer(plain_answer.data(), plain_answer.size());
    auto [ec, written] = co_await asio::async_write(device_, answer, as_result);
    static_cast<void>(written);
    if (ec) co_return;
    error_code ignored;
    device_.shutdown(TcpSocket::shutdown_send, ignored);
}

bool TlsPassage::open_local() {
    std::array<int, 2> pair{-1, -1};
    constexpr int kind = SOCK_STREAM | SOCK_NONBLOCK | SOCK_CLOEXEC;
    if (socketpair(AF_UNIX, kind, 0, pair.data()) != 0) return false;
    Descriptor hubs(pair[0]);
    Descriptor ours(pair[1]);
    for (const int end : pair) {
        setsockopt(end, SOL_SOCKET, SO_SNDBUF, &local_bytes_max, sizeof local_bytes_max);
    }
    error_code ec;
    local_.assign(asio::generic::stream_protocol(AF_UNIX, 0), ours.number(), ec);
    if (ec) return false;
    ours.release();
    local_.non_blocking(true, ec);
    told_.greeted(number_, std::move(hubs));
    return true;
}

// What OpenSSL could not do at once. Over: the device is gone, or has said that no more comes.
Task<TlsPassage::Step> TlsPassage::wait_for_device(int result) {
    const int why = SSL_get_error(tls_.get(), result);
    if (why != SSL_ERROR_WANT_READ && why != SSL_ERROR_WANT_WRITE) co_return Step::over;
    TcpSocket::wait_type until = TcpSocket::wait_read;
    if (why == SSL_ERROR_WANT_WRITE) until = TcpSocket::wait_write;
    auto [ec] = co_await device_.async_wait(until, as_result);
    if (ec || !device_.is_open()) co_return Step::over;
    co_return Step::done;
}

// -- from the device to the hub -------------------------------------------------------------------

Task<void> TlsPassage::carry_in(std::shared_ptr<TlsPassage> self) {
    bool hub_listens = true;
    for (unsigned round = 1; self->device_.is_open(); ++round) {
        if (round % rounds_in_a_row == 0) {
            co_await asio::post(self->device_.get_executor(), resumed);  // others' turn
            if (!self->device_.is_open()) break;
        }
        ERR_clear_error();
        const int read = SSL_read(self->tls_.get(), page().data(), static_cast<int>(page().size()));
        if (read <= 0) {
            const Step waited = co_await self->wait_for_device(read);
            if (waited == Step::over) break;
            continue;
        }
        // Dropped until the device has read the hub's last words and closes too.
        if (!hub_listens) continue;
        const std::string_view bytes(page().data(), static_cast<std::size_t>(read));
        error_code ec;
        const asio::const_buffer buffer = asio::buffer(bytes.data(), bytes.size());
        const std::size_t taken = self->local_.write_some(buffer, ec);
        if (taken < bytes.size()) {
            std::string rest(bytes.substr(taken));
            const Step step = co_await self->to_hub(std::move(rest));
            hub_listens = step == Step::done;
        }
    }
    error_code ignored;
    self->local_.shutdown(Local::shutdown_send, ignored);
    self->part();
}

Task<TlsPassage::Step> TlsPassage::to_hub(std::string rest) {
    const asio::const_buffer bytes = asio::buffer(rest);
    auto [ec, size] = co_await asio::async_write(local_, bytes, as_result);
    static_cast<void>(size);
    if (ec) co_return Step::over;
    co_return Step::done;
}

// -- from the hub to the device -------------------------------------------------------------------

Task<void> TlsPassage::carry_out() {
    for (unsigned round = 1; device_.is_open(); ++round) {
        error_code ec;
        const asio::mutable_buffer into = asio::buffer(page().data(), page().size());
        const std::size_t size = local_.read_some(into, ec);
        if (ec == asio::error::would_block) {
            if (finishing_) break;
            auto [waited] = co_await local_.async_wait(Local::wait_read, as_result);
            static_cast<void>(waited);  // if it was in vain, reading says why
            continue;
        }
        if (ec) break;  // the hub has said its last
        std::size_t done = 0;
        int written = 1;
        while (done < size && written > 0) {
            ERR_clear_error();
            written = SSL_write(tls_.get(), page().data() + done, static_cast<int>(size - done));
            if (written > 0) done += static_cast<std::size_t>(written);
        }
        if (done < size) {
            std::string rest(page().data() + done, size - done);
            Step step = co_await wait_for_device(written);
            if (step == Step::done) step = co_await to_device(std::move(rest));
            if (step == Step::over) break;
        } else if (round % rounds_in_a_row == 0) {
            co_await asio::post(device_.get_executor(), resumed);
        }
    }
    if (!device_.is_open()) co_return;
    ERR_clear_error();
    SSL_shutdown(tls_.get());
    error_code ignored;
    device_.shutdown(TcpSocket::shutdown_send, ignored);
    last_bytes();
}

Task<TlsPassage::Step> TlsPassage::to_device(std::string rest) {
    std::size_t done = 0;
    while (done < rest.size()) {
        ERR_clear_error();
        const int written = SSL_write(tls_.get(), rest.data() + done,
                                      static_cast<int>(rest.size() - done));
        if (written > 0) {
            done += static_cast<std::size_t>(written);
            continue;
        }
        const Step waited = co_await wait_for_device(written);
        if (waited == Step::over) co_return Step::over;
    }
    co_return Step::done;
}

// -- the end --------------------------------------------------------------------------------------

void TlsPassage::part() {
    if (--pumps_ == 0) end();
}

// Nothing more comes from the hub: what is still to be carried out gets a while, from now on.
void TlsPassage::last_bytes() {
    if (std::exchange(ending_, true)) return;
    cut_after(last_bytes_within);
    told_.ending(number_);
}

void TlsPassage::cut_after(std::chrono::seconds limit) {
    deadline_.expires_after(limit);
    const auto until = deadline_.expiry();
    deadline_.async_wait([weak = weak_from_this(), until](error_code ec) {
        const auto self = weak.lock();
        if (ec || self == nullptr || self->deadline_.expiry() != until) return;
        self->end();
    });
}

}  // namespace honbu

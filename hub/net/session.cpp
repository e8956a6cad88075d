#include "hub/net/session.h"

#include <algorithm>
#include <array>
#include <chrono>
#include <memory>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <boost/asio/co_spawn.hpp>
#include <boost/asio/post.hpp>
#include <boost/asio/write.hpp>
#include <boost/beast/websocket/stream.hpp>

#include "hub/clock.h"
#include "hub/net/entrance.h"
#include "hub/net/farewells.h"
#include "hub/net/gathered.h"
#include "hub/net/line.h"
#include "hub/net/outbox.h"
#include "hub/net/session_place.h"
#include "hub/wire/flavour.h"

namespace honbu {
namespace {

namespace beast = boost::beast;
namespace websocket = boost::beast::websocket;

constexpr std::size_t library_bytes_max = 1024 * 1024;  // what announces itself as bigger is cut
constexpr std::size_t message_capacity_kept = 4 * 1024;
constexpr std::size_t pieces_in_one_write = 32;
constexpr int writes_in_one_turn = 2;
constexpr std::size_t dropped_bytes_max = 1024 * 1024;
constexpr int silent_ticks_max = 5;   // 10 s without a sign of life
constexpr int stuck_ticks_max = 15;   // 30 s without one write getting through
constexpr int goodbye_ticks_max = 2;  // how long a farewell may take
constexpr int hello_ticks_max = 3;    // 4 to 6 s from the handshake to the hello
constexpr std::uint64_t pause_us_max = 1'000'000;

Shared shared(std::string text) { return std::make_shared<const std::string>(std::move(text)); }

Shared heartbeat(Flavour flavour) {
    static const Shared bytes = shared(written_as(Flavour::binary, Heartbeat()));
    static const Shared text = shared(written_as(Flavour::json, Heartbeat()));
    return flavour == Flavour::json ? text : bytes;
}

// What a library throws in a coroutine is no memory, and then the whole hub is better restarted.
void rethrow(std::exception_ptr thrown) {
    if (thrown) std::rethrow_exception(thrown);
}

class Conversation final : public Session,
                           private RawSink,
                           private Guest,
                           public std::enable_shared_from_this<Conversation> {
public:
    Conversation(Socket socket, std::string request, Flavour flavour, Counted counted,
                 Switchboard& board)
        : board_(board), flavour_(flavour), place_(std::move(counted), board, *this),
          request_(std::move(request)), outbox_(flavour),
          stream_(std::move(socket), static_cast<RawSink&>(*this)) {
        stream_.set_option(websocket::stream_base::decorator(NameProtocol{flavour}));
        stream_.control_callback([this](websocket::frame_type, beast::string_view) {
            alive();
            mind_pace();
        });
        // on_part() says goodbye to what is bigger than it should be; what announces itself as
        // absurdly big is closed by the library, without one.
        stream_.read_message_max(library_bytes_max);
    }

    void reply(const Reply& reply) override {
        if (std::holds_alternative<Welcome>(reply)) {
            if (const auto no = place_.on_welcome()) say_goodbye(*no);
        }
        if (!outbox_.push(shared(written_as(flavour_, reply)), place_.share().waiting_bytes)) {
            say_goodbye(too_slow_farewell());
        }
        has_something(place_.turn(Switchboard::Turn::first));
    }
    void ring() override { has_something(place_.turn(Switchboard::Turn::after_those)); }
    void write() override;
    void say_goodbye(const Goodbye& goodbye) override {
        finish(goodbye, close_code(goodbye.reason));
    }
    void tick() override;
    std::size_t waiting_bytes() const override {
        return outbox_.bytes() + asio::buffer_size(rest_.buffers);
    }

    static Task<void> read_all(std::shared_ptr<Conversation> self);
    static Task<void> write_rest(std::shared_ptr<Conversation> self);

private:
    struct NameProtocol {
        Flavour flavour;
        void operator()(websocket::response_type& response) const {
            response.set(beast::http::field::sec_websocket_protocol,
                         std::string(protocol_name(flavour)));
            response.set(beast::http::field::server, "honbu");
        }
    };
    bool write_raw(std::string_view bytes) override {
        if (const std::uint16_t code = failed_with(bytes); code != 0) {
            finish(broken_farewell(code, place_.share().message_bytes), code);
            return true;
        }
        const bool queued = outbox_.push_raw(bytes);
        ring();
        return queued;
    }
    Socket& socket() { return stream_.next_layer().socket(); }
    void alive() { silent_ticks_ = 0; }
    void mind_pace();
    Task<void> slow_down();
    void has_something(Switchboard::Turn turn);
    bool on_part(std::size_t size);
    void on_message();
    void on_command(Command command);
    bool gather(Gathered& into);
    void end_writing();
    void finish(const Goodbye& goodbye, std::uint16_t code);
    void cut() override;
    void part();

    // constant
    Switchboard& board_;
    const Flavour flavour_;
    // reader
    SessionPlace place_;
    SessionId id_;
    std::string request_;
    std::array<char, 256> in_{};
    std::string message_;
    bool reading_ = true;
    std::uint64_t pause_us_ = 0;  // until more is read
    // writer
    Outbox outbox_;
    Gathered rest_;  // what the socket did not take at once
    bool waits_for_socket_ = false;
    bool posted_ = false;  // a write of its own is to come
    bool writing_ = true;
    bool heartbeat_due_ = false;
    // counted in ticks
    int silent_ticks_ = 0;
    int stuck_ticks_ = 0;
    int hello_ticks_ = 0;
    int goodbye_ticks_ = 0;
    int parted_ = 0;  // reader and writer

    websocket::stream<Line, false> stream_;  // last: its Line writes into all this
};

// -- reading --------------------------------------------------------------------------------------

Task<void> Conversation::read_all(std::shared_ptr<Conversation> self) {
    const asio::const_buffer request = asio::buffer(self->request_);
    auto [refused] = co_await self->stream_.async_accept(request, as_result);
    std::string().swap(self->request_);
    if (!refused) {
        self->id_ = self->board_.enter(*self);
        const asio::mutable_buffer part = asio::buffer(self->in_);
        for (;;) {
            auto [ec, size] = co_await self->stream_.async_read_some(part, as_result);
            if (ec || !self->on_part(size)) break;
            if (self->pause_us_ > 0) co_await self->slow_down();
        }
        self->board_.leave(self->id_);
    }
    self->reading_ = false;
    self->ring();

    // Closing with unread bytes would make the system throw away what was just written. So the rest
    // is read and dropped until the other side closes too, or the tick cuts in.
    const asio::mutable_buffer rest = asio::buffer(self->in_);
    std::size_t dropped_bytes = 0;
    while (!refused && self->socket().is_open() && dropped_bytes < dropped_bytes_max) {
        auto [ec, size] = co_await self->socket().async_read_some(rest, as_result);
        if (ec) break;
        dropped_bytes += size;
    }
    self->part();
}

// Puts messages together, in a small buffer since most are small. False: no more is read.
bool Conversation::on_part(std::size_t size) {
    // After a goodbye nothing counts any more but the other side's close.
    if (outbox_.finished()) return true;
    message_.append(in_.data(), size);
    if (message_.size() > place_.share().message_bytes) {
        say_goodbye(too_big_farewell(place_.share().message_bytes));
        return false;
    }
    if (!stream_.is_message_done()) return true;
    mind_pace();
    on_message();
    message_.clear();
    if (message_.capacity() > message_capacity_kept) message_.shrink_to_fit();
    return true;
}

// One more message or ping.
void Conversation::mind_pace() {
    const std::uint64_t now = steady_us();
    pause_us_ = place_.one_more(now);
    if (place_.too_fast(now)) say_goodbye(too_fast_farewell());
}

Task<void> Conversation::slow_down() {
    Timer timer(socket().get_executor());
    const std::uint64_t pause = std::min(std::exchange(pause_us_, 0), pause_us_max);
    timer.expires_after(std::chrono::microseconds(pause));
    auto [rung] = co_await timer.async_wait(as_result);
    static_cast<void>(rung);
}

void Conversation::on_message() {
    alive();
    const bool binary = flavour_ == Flavour::binary;
    if (stream_.got_binary() != binary) {
        finish(other_kind_farewell(flavour_), 1003);
        return;
    }
    auto command = read_as(flavour_, message_);
    if (const auto* fault = std::get_if<WireFault>(&command)) {
        say_goodbye(Goodbye{Cause::unreadable, fault->words, false});
        return;
    }
    on_command(std::get<Command>(std::move(command)));
}

// A hello that may not come in here ends the connection; what else may not changes nothing.
void Conversation::on_command(Command command) {
    auto* const hello = std::get_if<Hello>(&command);
    const auto no = turned_away(place_.entrance(), command);
    if (no && hello == nullptr) {
        Refusal refusal;
        refusal.reason = Cause::other_entrance;
        refusal.words = *no;
        refusal.request = request_of(command);
        return reply(refusal);
    }
    if (no) return say_goodbye(Goodbye{Cause::other_entrance, *no, false});
    if (hello != nullptr) {
        if (const auto full = place_.on_hello(*hello)) return say_goodbye(*full);
    }
    board_.doors().command(id_, command);
}

// -- writing --------------------------------------------------------------------------------------

// Usually a session writes when its turn comes. The handshake's answer, before there is a number,
// and the last words have a turn of their own, which holds the session until then.
void Conversation::has_something(Switchboard::Turn turn) {
    if (waits_for_socket_) return;  // it looks again by itself
    if (reading_ && !outbox_.finished() && id_ != SessionId()) {
        board_.write_soon(*this, turn);
    } else if (writing_ && !std::exchange(posted_, true)) {
        asio::post(socket().get_executor(), [self = shared_from_this()] {
            self->posted_ = false;
            self->write();
        });
    }
}

// Usually the socket takes all there is at once; what it does not take, a coroutine writes.
void Conversation::write() {
    if (waits_for_socket_ || !writing_) return;
    Gathered& now = gathered_now();
    bool more = true;
    for (int writes = 0; writes < writes_in_one_turn && more; ++writes) {
        if (!gather(now)) {
            more = false;
            break;
        }
        more = now.pieces.size() >= pieces_in_one_write;
        if (!taken_at_once(socket(), now, rest_)) {
            waits_for_socket_ = true;
            asio::co_spawn(socket().get_executor(), write_rest(shared_from_this()), rethrow);
            return;
        }
        stuck_ticks_ = 0;
    }
    if (more) {  // others have a turn in between
        has_something(place_.turn(Switchboard::Turn::after_those));
    } else if (!reading_ || outbox_.finished()) {
        end_writing();
    }
}

Task<void> Conversation::write_rest(std::shared_ptr<Conversation> self) {
    bool broken = false;
    do {
        const std::span<const asio::const_buffer> all(self->rest_.buffers);
        auto [ec, size] = co_await asio::async_write(self->socket(), all, as_result);
        self->rest_.clear();
        self->stuck_ticks_ = 0;
        broken = static_cast<bool>(ec);
    } while (!broken && self->gather(self->rest_));
    self->waits_for_socket_ = false;
    self->rest_ = Gathered();
    if (broken) self->cut();
    if (broken || !self->reading_ || self->outbox_.finished()) self->end_writing();
}

void Conversation::end_writing() {
    if (!std::exchange(writing_, false)) return;
    error_code ignored;
    socket().shutdown(Socket::shutdown_send, ignored);
    part();
}

// Fills the next write: first what is for this client alone (before all else the handshake's
// answer), then the sign of life, then what all get. False: nothing waits.
bool Conversation::gather(Gathered& into) {
    std::vector<Piece>& pieces = into.pieces;
    outbox_.take(pieces, pieces_in_one_write);
    if (std::exchange(heartbeat_due_, false) && !outbox_.finished()) {
        pieces.push_back(framed(heartbeat(flavour_), flavour_));
    }
    if (id_ != SessionId() && reading_ && !outbox_.finished() &&
        pieces.size() < pieces_in_one_write) {
        const std::size_t room = pieces_in_one_write - pieces.size();
        for (Shared& message : board_.doors().take(id_, room, flavour_)) {
            pieces.push_back(framed(std::move(message), flavour_));
        }
    }
    into.point_at_pieces();
    return !pieces.empty();
}

// -- the end --------------------------------------------------------------------------------------

// Ends whatever is waited for.
void Conversation::cut() {
    error_code ignored;
    socket().close(ignored);
}

// Reader and writer, each at its very end.
void Conversation::part() {
    if (++parted_ < 2) return;
    cut();
    if (id_ != SessionId()) board_.forget(id_);
}

void Conversation::finish(const Goodbye& goodbye, std::uint16_t code) {
    outbox_.finish(shared(written_as(flavour_, goodbye)), close_frame(code, goodbye.words),
                   goodbye.reason == Cause::too_slow);
    ring();
}

void Conversation::tick() {
    if (outbox_.finished() || !reading_ || !writing_) {
        if (++goodbye_ticks_ >= goodbye_ticks_max) cut();
        return;
    }
    if (++silent_ticks_ > silent_ticks_max) {
        say_goodbye(silent_farewell());
        return;
    }
    if (!place_.has_said_hello() && ++hello_ticks_ > hello_ticks_max) {
        say_goodbye(no_hello_farewell());
        return;
    }
    if (waits_for_socket_ && ++stuck_ticks_ >= stuck_ticks_max) {
        cut();
        return;
    }
    heartbeat_due_ = true;
    ring();
}

// The library reads the handshake anew, from a buffer of 1,536 bytes; a browser's own head with its
// cookies may be longer. So it gets the parts that matter.
std::string short_request(const std::string& key) {
    return "GET /ws HTTP/1.1\r\nHost: hub\r\nUpgrade: websocket\r\nConnection: Upgrade\r\n"
           "Sec-WebSocket-Version: 13\r\nSec-WebSocket-Key: " +
           key + "\r\n\r\n";
}

}  // namespace

void start_session(Socket socket, const std::string& key, Flavour flavour, Counted counted,
                   Switchboard& board) {
    if (board.stopping()) return;
    const Executor executor = socket.get_executor();
    error_code ignored;
    socket.non_blocking(true, ignored);  // for write(), which does not wait
    const auto session = std::make_shared<Conversation>(std::move(socket), short_request(key),
                                                        flavour, std::move(counted), board);
    asio::co_spawn(executor, Conversation::read_all(session), rethrow);
}

}  // namespace honbu

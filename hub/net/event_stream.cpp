#include "hub/net/event_stream.h"

#include <array>
#include <memory>
#include <span>
#include <utility>
#include <vector>

#include <boost/asio/buffer.hpp>
#include <boost/asio/co_spawn.hpp>
#include <boost/asio/write.hpp>

#include "hub/feed/event.h"

namespace honbu {
namespace {

constexpr std::size_t events_in_one_write = 32;
constexpr std::size_t unasked_bytes_max = 64 * 1024;
constexpr int quiet_ticks_max = 5;    // a sign of life each 10 s, for whatever stands between
constexpr int stuck_ticks_max = 15;   // 30 s without one write getting through
constexpr int goodbye_ticks_max = 2;  // how long a farewell may take
constexpr std::string_view come_back_after = "retry: 2000\n";  // milliseconds
constexpr std::string_view sign_of_life = ":\n\n";             // a comment

class EventStream final : public Session {
public:
    EventStream(Socket socket, Counted counted, Switchboard& board)
        : counted_(std::move(counted)), board_(board), socket_(std::move(socket)),
          bell_(socket_.get_executor()) {
        bell_.expires_at(Timer::time_point::max());
    }

    void begin(std::string head, const EventsWish& wish) {
        ++board_.event_streams;
        id_ = board_.enter(*this);
        head += come_back_after;
        head += board_.doors().follow_events(id_, wish);
        first_ = shared(std::move(head));
    }

    // -- Session
    void reply(const Reply&) override {}  // nothing is asked here, so nothing is answered
    void ring() override {
        const bool crowd = counted_.entrance() == Entrance::crowd;
        board_.write_soon(*this, crowd ? Switchboard::Turn::crowd : Switchboard::Turn::after_those);
    }
    void write() override {
        if (std::exchange(writer_waits_, false)) bell_.cancel();
    }
    void say_goodbye(const Goodbye& goodbye) override {
        if (ending_) return;
        ending_ = true;
        last_ = shared(goodbye_event(goodbye));
        ring();
    }
    void tick() override;
    std::size_t waiting_bytes() const override { return asio::buffer_size(buffers_); }

    static Task<void> read_all(std::shared_ptr<EventStream> self);
    static Task<void> write_all(std::shared_ptr<EventStream> self);

private:
    bool gather();
    void written();
    void cut();
    void part();

    Counted counted_;
    Switchboard& board_;
    SessionId id_;
    Socket socket_;
    Timer bell_;
    bool writer_waits_ = false;
    Shared first_;  // the head and the first event, then nothing
    Shared last_;
    std::vector<Shared> events_;  // being written
    std::vector<asio::const_buffer> buffers_;
    bool reading_ = true;
    bool writing_ = true;
    bool ending_ = false;
    bool sign_due_ = false;
    int quiet_ticks_ = 0;
    int stuck_ticks_ = 0;
    int goodbye_ticks_ = 0;
    int parted_ = 0;
    std::array<char, 256> in_{};
};

// Nothing more is expected; a browser that leaves closes the connection.
Task<void> EventStream::read_all(std::shared_ptr<EventStream> self) {
    std::size_t unasked = 0;
    const asio::mutable_buffer into = asio::buffer(self->in_);
    while (unasked < unasked_bytes_max) {
        auto [ec, size] = co_await self->socket_.async_read_some(into, as_result);
        if (ec) break;
        unasked += size;
    }
    self->reading_ = false;
    self->board_.leave(self->id_);
    self->ring();
    self->part();
}

Task<void> EventStream::write_all(std::shared_ptr<EventStream> self) {
    for (;;) {
        if (!self->gather()) {
            if (!self->reading_ || self->ending_) break;
            self->writer_waits_ = true;
            auto [rung] = co_await self->bell_.async_wait(as_result);
            static_cast<void>(rung);  // always "cancelled": that is how the bell rings
            continue;
        }
        const std::span<const asio::const_buffer> all(self->buffers_);
        auto [ec, size] = co_await asio::async_write(self->socket_, all, as_result);
        self->written();
        if (ec) {
            self->cut();
            break;
        }
    }
    self->writing_ = false;
    error_code ignored;
    self->socket_.shutdown(Socket::shutdown_send, ignored);
    self->part();
}

// False: nothing waits. Once the stream ends, only the goodbye is written.
bool EventStream::gather() {
    if (first_) events_.push_back(std::exchange(first_, nullptr));
    if (reading_ && !ending_) {
        // An event is an event, whatever the flavour.
        for (Shared& event : board_.doors().take(id_, events_in_one_write, Flavour::json))
            events_.push_back(std::move(event));
    }
    if (last_) events_.push_back(std::exchange(last_, nullptr));
    for (const Shared& event : events_)
        buffers_.emplace_back(event->data(), event->size());
    if (buffers_.empty() && std::exchange(sign_due_, false)) {
        buffers_.emplace_back(sign_of_life.data(), sign_of_life.size());
    }
    return !buffers_.empty();
}

void EventStream::written() {
    stuck_ticks_ = 0;
    quiet_ticks_ = 0;
    sign_due_ = false;
    events_.clear();
    buffers_.clear();
}

// Ends whatever both coroutines wait for.
void EventStream::cut() {
    error_code ignored;
    socket_.close(ignored);
}

// Each of the two coroutines, at its very end.
void EventStream::part() {
    if (++parted_ < 2) return;
    cut();
    --board_.event_streams;
    board_.forget(id_);
}

void EventStream::tick() {
    if (ending_ || !reading_ || !writing_) {
        if (++goodbye_ticks_ >= goodbye_ticks_max) cut();
        return;
    }
    if (!buffers_.empty()) {
        if (++stuck_ticks_ >= stuck_ticks_max) cut();
        return;
    }
    if (++quiet_ticks_ < quiet_ticks_max) return;
    sign_due_ = true;
    ring();
}

}  // namespace

void start_event_stream(Socket socket, std::string head, const EventsWish& wish, Counted counted,
                        Switchboard& board) {
    if (board.stopping()) return;
    const Executor executor = socket.get_executor();
    const auto stream = std::make_shared<EventStream>(std::move(socket), std::move(counted), board);
    stream->begin(std::move(head), wish);
    const auto on_end = [](std::exception_ptr thrown) {
        if (thrown) std::rethrow_exception(thrown);
    };
    asio::co_spawn(executor, EventStream::read_all(stream), on_end);
    asio::co_spawn(executor, EventStream::write_all(stream), on_end);
}

}  // namespace honbu

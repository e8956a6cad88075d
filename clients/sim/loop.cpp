#include "clients/sim/loop.h"

#include <chrono>
#include <csignal>
#include <deque>
#include <utility>

#include <boost/asio/connect.hpp>
#include <boost/asio/io_context.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/signal_set.hpp>
#include <boost/asio/steady_timer.hpp>
#include <boost/beast/core/buffers_to_string.hpp>
#include <boost/beast/core/flat_buffer.hpp>
#include <boost/beast/websocket/stream.hpp>

namespace honbu::sim {
namespace {

namespace asio = boost::asio;
namespace beast = boost::beast;
namespace websocket = beast::websocket;
using asio::ip::tcp;
using boost::system::error_code;

constexpr std::size_t message_bytes_max = 1024 * 1024;  // docs/protocol.md, section 1
constexpr std::chrono::seconds handshake_most{5};
constexpr const char* subprotocol = "honbu.v1.proto";

void offer_subprotocol(websocket::request_type& request) {
    request.set(beast::http::field::sec_websocket_protocol, subprotocol);
}

// Lives as long as something is under way on it, also when its line was let go of.
class Conversation : public std::enable_shared_from_this<Conversation> {
public:
    Conversation(asio::io_context& context, Line::End& end)
        : end_(&end), resolver_(context), stream_(context) {
        websocket::stream_base::timeout waits;
        waits.handshake_timeout = handshake_most;  // of the closing one too
        waits.idle_timeout = websocket::stream_base::none();
        waits.keep_alive_pings = false;
        stream_.set_option(waits);
        stream_.set_option(websocket::stream_base::decorator(&offer_subprotocol));
        stream_.read_message_max(message_bytes_max);
        stream_.binary(true);
    }

    void connect(const Address& hub) {
        host_ = hub.host + ":" + hub.port;
        resolver_.async_resolve(
            hub.host, hub.port,
            [self = shared_from_this()](error_code ec, const tcp::resolver::results_type& found) {
                if (self->failed(ec)) return;
                asio::async_connect(self->stream_.next_layer(), found,
                                    [self](error_code no, const tcp::endpoint&) {
                                        if (!self->failed(no)) self->shake_hands();
                                    });
            });
    }

    void send(std::string bytes) {
        if (end_ == nullptr) return;
        out_.push_back(std::move(bytes));
        if (out_.size() == 1) write();
    }

    // Politely if the line is up; nobody waits for the answer.
    void let_go() {
        end_ = nullptr;
        if (!open_) {
            cut();
            return;
        }
        open_ = false;
        stream_.async_close(websocket::close_code::normal,
                            [self = shared_from_this()](error_code) { self->cut(); });
    }

private:
    void shake_hands() {
        error_code ignored;
        stream_.next_layer().set_option(tcp::no_delay(true), ignored);
        stream_.async_handshake(host_, "/ws", [self = shared_from_this()](error_code ec) {
            if (self->failed(ec)) return;
            self->open_ = true;
            self->end_->opened();
            self->read();
        });
    }

    void read() {
        if (end_ == nullptr) return;
        stream_.async_read(in_, [self = shared_from_this()](error_code ec, std::size_t) {
            if (self->failed(ec)) return;
            const std::string bytes = beast::buffers_to_string(self->in_.data());
            self->in_.clear();
            self->end_->heard(bytes);
            self->read();
        });
    }

    void write() {
        stream_.async_write(asio::buffer(out_.front()),
                            [self = shared_from_this()](error_code ec, std::size_t) {
                                if (self->failed(ec)) return;
                                self->out_.pop_front();
                                if (!self->out_.empty()) self->write();
                            });
    }

    // Nothing more is to be done on this line, and its end has heard so.
    bool failed(error_code ec) {
        if (ec) {
            open_ = false;
            cut();
            if (Line::End* end = std::exchange(end_, nullptr)) end->gone(ec.message());
        }
        return end_ == nullptr;
    }

    void cut() {
        error_code ignored;
        resolver_.cancel();
        stream_.next_layer().close(ignored);
    }

    Line::End* end_;
    tcp::resolver resolver_;
    websocket::stream<tcp::socket> stream_;
    std::string host_;
    beast::flat_buffer in_;
    std::deque<std::string> out_;
    bool open_ = false;
};

class OpenLine final : public Line {
public:
    OpenLine(asio::io_context& context, const Address& hub, End& end)
        : conversation_(std::make_shared<Conversation>(context, end)) {
        conversation_->connect(hub);
    }
    ~OpenLine() override { conversation_->let_go(); }
    void send(std::string bytes) override { conversation_->send(std::move(bytes)); }

private:
    std::shared_ptr<Conversation> conversation_;
};

}  // namespace

struct Loop::Inside {
    asio::io_context context{1};
    asio::signal_set signals{context, SIGINT, SIGTERM};
    std::chrono::steady_clock::time_point began = std::chrono::steady_clock::now();

    void wait_for_signal(const Act& act) {
        signals.async_wait([this, act](error_code ec, int) {
            if (ec) return;
            act();
            wait_for_signal(act);
        });
    }
};

Loop::Loop() : in_(std::make_unique<Inside>()) {}
Loop::~Loop() = default;

std::uint64_t Loop::now_us() const {
    const auto gone = std::chrono::steady_clock::now() - in_->began;
    return static_cast<std::uint64_t>(
        std::chrono::duration_cast<std::chrono::microseconds>(gone).count());
}

void Loop::in_us(std::uint64_t us, Act act) {
    auto alarm = std::make_shared<asio::steady_timer>(in_->context, std::chrono::microseconds(us));
    alarm->async_wait([alarm, act = std::move(act)](error_code ec) {
        if (!ec) act();
    });
}

std::unique_ptr<Line> Loop::connect(const Address& hub, Line::End& end) {
    return std::make_unique<OpenLine>(in_->context, hub, end);
}

void Loop::on_signal(Act act) { in_->wait_for_signal(act); }

void Loop::run() {
    const auto work = asio::make_work_guard(in_->context);
    in_->context.run();
}

void Loop::stop() { in_->context.stop(); }

}  // namespace honbu::sim

#include "hub/net/http.h"

#include <algorithm>
#include <chrono>
#include <memory>
#include <optional>
#include <utility>
#include <variant>

#include <boost/asio/buffer.hpp>
#include <boost/asio/co_spawn.hpp>
#include <boost/asio/read_until.hpp>
#include <boost/asio/write.hpp>
#include <boost/beast/http/empty_body.hpp>
#include <boost/beast/http/parser.hpp>
#include <boost/beast/websocket/rfc6455.hpp>

#include "hub/clock.h"
#include "hub/net/event_stream.h"
#include "hub/net/session.h"

namespace honbu {
namespace {

namespace http = boost::beast::http;
using namespace std::chrono_literals;

constexpr std::size_t head_bytes_max = 16 * 1024;
constexpr std::size_t dropped_bytes_max = 1024 * 1024;
constexpr std::string_view end_of_head = "\r\n\r\n";
constexpr auto first_head_within = 5s;  // also the whole WebSocket handshake
constexpr auto next_head_within = 30s;
constexpr auto answer_within = 60s;
constexpr auto last_bytes_within = 2s;
constexpr std::uint64_t pause_us_max = 1'000'000;

using Parser = http::request_parser<http::empty_body>;

std::string_view text(boost::beast::string_view from) { return {from.data(), from.size()}; }

class Connection final : public Guest, public std::enable_shared_from_this<Connection> {
public:
    Connection(Socket socket, Counted counted, Switchboard& board)
        : counted_(std::move(counted)), board_(board), socket_(std::move(socket)),
          deadline_(socket_.get_executor()), entrance_(counted_.entrance()),
          place_(board_.stand(*this, entrance_)) {}
    ~Connection() override { board_.go(place_, entrance_); }

    void cut() override {
        error_code ignored;
        socket_.close(ignored);
    }

    static Task<void> converse(std::shared_ptr<Connection> self);

private:
    // What to do once an answer is written.
    enum class Next { read, close, upgrade, events };

    void cut_after(std::chrono::seconds limit);
    Next respond();
    Answer answer_to(Parser::value_type& message, Next& next);
    Answer answer_events(const Request& request, Next& next);
    Answer no_place() const;
    void to_the_back();
    Task<void> slow_down(std::uint64_t pause_us);
    Task<void> linger();

    Counted counted_;
    Switchboard& board_;
    Socket socket_;
    Timer deadline_;
    std::string in_;  // what has been read, of which a request's head is ...
    std::size_t head_size_ = 0;
    std::string head_;  // what is being written
    Answer answer_;
    const Entrance entrance_;
    Switchboard::Place place_;  // among those that speak HTTP
    Pace pace_;
    std::string key_;  // of a handshake, and ...
    Flavour flavour_ = Flavour::binary;
    EventsWish events_;
};

Task<void> Connection::converse(std::shared_ptr<Connection> self) {
    auto in = asio::dynamic_buffer(self->in_, head_bytes_max);
    self->cut_after(first_head_within);
    for (;;) {
        auto [read_ec, size] = co_await asio::async_read_until(self->socket_, in, end_of_head,
                                                               as_result);
        Next next = Next::close;
        if (!read_ec) {
            self->head_size_ = size;
            next = self->respond();
        } else if (read_ec == asio::error::not_found) {
            self->answer_ = bad_request("The request is longer than the hub takes (16 KiB).");
            self->head_ = honbu::head(self->answer_, false, self->board_.doors().date());
        } else {
            co_return;  // gone, or cut
        }
        if (next == Next::upgrade) {
            start_session(std::move(self->socket_), self->key_, self->flavour_,
                          std::move(self->counted_), self->board_);
            co_return;
        }
        if (next == Next::events) {
            start_event_stream(std::move(self->socket_), std::move(self->head_), self->events_,
                               std::move(self->counted_), self->board_);
            co_return;
        }
        self->cut_after(answer_within);
        const std::string_view body = self->answer_.head_only ? "" : self->answer_.body();
        const std::array<asio::const_buffer, 2> both{asio::buffer(self->head_),
                                                     asio::buffer(body.data(), body.size())};
        auto [write_ec, written] = co_await asio::async_write(self->socket_, both, as_result);
        if (write_ec) co_return;
        if (next == Next::close) break;
        self->cut_after(next_head_within);
        self->to_the_back();
        const std::uint64_t pause = self->pace_.one_more(steady_us(), self->counted_.share());
        if (pause > 0) co_await self->slow_down(pause);
    }
    co_await self->linger();
}

// Reads the request's head, and prepares what is to be written.
Connection::Next Connection::respond() {
    Parser parser;
    parser.header_limit(head_bytes_max);
    error_code ec;
    const asio::const_buffer bytes = asio::buffer(in_.data(), head_size_);
    parser.put(bytes, ec);
    Next next = Next::close;
    if (ec || !parser.is_header_done()) {
        answer_ = bad_request("This is not an HTTP request the hub can read.");
    } else {
        // A body would follow; nothing here takes one, so nothing after it is read either.
        const bool more = !parser.is_done();
        next = parser.keep_alive() && !more ? Next::read : Next::close;
        answer_ = answer_to(parser.get(), next);
    }
    in_.erase(0, head_size_);
    const std::string_view host = text(parser.get()[http::field::host]);
    head_ = honbu::head(answer_, next == Next::read, board_.doors().date(), host);
    return next;
}

// A list may stand on several lines of the same name (RFC 9110, 5.3); from here on it is one.
void join_lines(Parser::value_type& message, http::field field) {
    std::string joined;
    const auto [first, last] = message.equal_range(field);
    if (first == last) return;
    for (auto line = first; line != last; ++line) {
        if (!joined.empty()) joined += ", ";
        joined += line->value();
    }
    message.set(field, joined);
}

// The whole address may be asked for as well (RFC 9112, 3.2.2): only what follows the host counts.
std::string_view path_of(std::string_view target) {
    for (const std::string_view scheme :
         {std::string_view("http://"), std::string_view("https://")}) {
        if (!target.starts_with(scheme)) continue;
        const std::size_t path = target.find('/', scheme.size());
        return path == std::string_view::npos ? "/" : target.substr(path);
    }
    return target;
}

Answer Connection::answer_to(Parser::value_type& message, Next& next) {
    if (message.count(http::field::host) != 1) {
        next = Next::close;
        return bad_request("The request must name one Host.");
    }
    for (const http::field list :
         {http::field::connection, http::field::upgrade, http::field::if_none_match,
          http::field::sec_websocket_protocol}) {
        join_lines(message, list);
    }
    Request request;
    request.entrance = counted_.entrance();
    request.method = text(message.method_string());
    request.target = path_of(text(message.target()));
    request.host = text(message[http::field::host]);
    request.if_none_match = text(message[http::field::if_none_match]);
    request.upgrade = boost::beast::websocket::is_upgrade(message);
    if (entrance_ == Entrance::hall && !knows_host(board_.names, request.host)) {
        next = Next::close;
        return misdirected();
    }
    if (!request.upgrade) {
        if (asks_for_events(request.target) &&
            (request.method == "GET" || request.method == "HEAD")) {
            request.last_event_id = text(message["Last-Event-ID"]);
            return answer_events(request, next);
        }
        if (auto shown = trust_answer(board_.trust, request)) return std::move(*shown);
        const Doors& doors = board_.doors();
        return honbu::answer(request, pages(), doors.readiness(), doors.document);
    }

    request.origin = text(message[http::field::origin]);
    request.version = text(message[http::field::sec_websocket_version]);
    request.key = text(message[http::field::sec_websocket_key]);
    request.protocols = text(message[http::field::sec_websocket_protocol]);
    key_ = request.key;
    flavour_ = flavour_of(request.protocols).value_or(Flavour::binary);
    Answer decided = answer_upgrade(request);
    next = decided.status == 101 ? Next::upgrade : Next::close;
    if (next == Next::upgrade && in_.size() > head_size_) {
        next = Next::close;
        return bad_request("The first frame may only follow the hub's answer (RFC 6455, 4.1).");
    }
    if (next == Next::upgrade && !counted_.become(begun_at(entrance_))) {
        if (entrance_ == Entrance::crowd || !board_.make_place_to_knock()) {
            next = Next::close;
            return no_place();
        }
        counted_.become_beside(ClientKind::knocking);
    }
    return decided;
}

Answer Connection::answer_events(const Request& request, Next& next) {
    auto read = events_wish(request.target, request.last_event_id);
    if (const auto* wrong = std::get_if<std::string>(&read)) return bad_request(*wrong);
    events_ = std::move(std::get<EventsWish>(read));
    if (const std::string no = board_.doors().no_events(events_); !no.empty()) {
        return bad_request(no);
    }
    if (request.method != "HEAD" &&
        !counted_.become(entrance_ == Entrance::crowd ? ClientKind::crowd : ClientKind::display)) {
        next = Next::close;
        return no_place();
    }
    Answer answer = events_answer();
    answer.head_only = request.method == "HEAD";
    next = answer.head_only ? Next::close : Next::events;
    return answer;
}

// What it would become has no place for one more (RFC 9110, 15.6.4 and 10.2.3).
Answer Connection::no_place() const {
    const bool crowd = entrance_ == Entrance::crowd;
    return refused_for_now(full_farewell(crowd ? ClientKind::crowd : ClientKind::knocking).words);
}

void Connection::to_the_back() {
    board_.go(place_, entrance_);
    place_ = board_.stand(*this, entrance_);
}

Task<void> Connection::slow_down(std::uint64_t pause_us) {
    Timer timer(socket_.get_executor());
    timer.expires_after(std::chrono::microseconds(std::min(pause_us, pause_us_max)));
    auto [rung] = co_await timer.async_wait(as_result);
    static_cast<void>(rung);
}

// Closing with unread bytes would make the system throw away the answer just written.
Task<void> Connection::linger() {
    cut_after(last_bytes_within);
    error_code ignored;
    socket_.shutdown(Socket::shutdown_send, ignored);
    std::array<char, 512> dropped{};
    const asio::mutable_buffer rest = asio::buffer(dropped);
    std::size_t dropped_bytes = 0;
    while (dropped_bytes < dropped_bytes_max) {
        auto [ec, size] = co_await socket_.async_read_some(rest, as_result);
        if (ec) co_return;
        dropped_bytes += size;
    }
}

// Whatever is going on then ends with an error. The timer may already have rung when it is set
// anew or the connection is gone: hence the look at its expiry, and the weak pointer.
void Connection::cut_after(std::chrono::seconds limit) {
    deadline_.expires_after(limit);
    const auto until = deadline_.expiry();
    deadline_.async_wait([weak = weak_from_this(), until](error_code ec) {
        const auto self = weak.lock();
        if (ec || self == nullptr || self->deadline_.expiry() != until) return;
        self->cut();
    });
}

}  // namespace

void start_http(Socket socket, Counted counted, Switchboard& board) {
    const Executor executor = socket.get_executor();
    const auto connection = std::make_shared<Connection>(std::move(socket), std::move(counted),
                                                         board);
    asio::co_spawn(executor, Connection::converse(connection), [](std::exception_ptr thrown) {
        if (thrown) std::rethrow_exception(thrown);
    });
}

}  // namespace honbu

// The connection as the WebSocket library sees it: it reads from the socket, and what it would
// write (the handshake's answer, pongs, a close) is queued with the session's own frames.
//
// Belongs to its session, which is the sink as well. Hub thread.
#pragma once

#include <string>
#include <string_view>
#include <utility>

#include <boost/asio/post.hpp>
#include <boost/beast/core/bind_handler.hpp>
#include <boost/beast/core/buffers_to_string.hpp>
#include <boost/beast/core/role.hpp>

#include "hub/net/asio.h"

namespace honbu {

// Where the WebSocket library's own bytes go: behind what waits already, as frames among frames.
// So the library reads, checks and answers pings, and still nobody but the writer writes.
struct RawSink {
    virtual ~RawSink() = default;
    virtual bool write_raw(std::string_view bytes) = 0;  // false: too much waits already
};

class Line {
public:
    using executor_type = Executor;

    Line(Socket socket, RawSink& sink) : socket_(std::move(socket)), sink_(sink) {}

    executor_type get_executor() { return socket_.get_executor(); }
    Socket& socket() { return socket_; }

    template<class Buffers, class Token>
    auto async_read_some(const Buffers& buffers, Token&& token) {
        return socket_.async_read_some(buffers, std::forward<Token>(token));
    }

    // Done as soon as it is queued. A full outbox is reported as a broken line.
    template<class Buffers, class Token>
    auto async_write_some(const Buffers& buffers, Token&& token) {
        return asio::async_initiate<Token, void(error_code, std::size_t)>(
            [this](auto handler, const Buffers& all) {
                const std::string bytes = boost::beast::buffers_to_string(all);
                error_code ec;
                if (!sink_.write_raw(bytes)) ec = asio::error::no_buffer_space;
                asio::post(get_executor(), boost::beast::bind_front_handler(
                                               std::move(handler), ec, ec ? 0U : bytes.size()));
            },
            token, buffers);
    }

private:
    Socket socket_;
    RawSink& sink_;
};

// The library would close the socket itself; the session does that, once everything is written.
inline void beast_close_socket(Line&) {}
[[maybe_unused]] inline void teardown(boost::beast::role_type, Line&, error_code& ec) { ec = {}; }
template<class Handler>
void async_teardown(boost::beast::role_type, Line& line, Handler&& handler) {
    asio::post(line.get_executor(),
               boost::beast::bind_front_handler(std::forward<Handler>(handler), error_code()));
}

}  // namespace honbu

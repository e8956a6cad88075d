// The names from Asio that hub/net uses, with the hub's own executor spelled out.
//
// One io_context, one thread: its plain executor instead of the type-erased one saves an
// indirection and some bytes at every step. The only allowed form of waiting is
//     auto [ec, n] = co_await stream.async_read_some(buffer, as_result);
// with named objects as arguments (g++ 12.2 destroys a temporary twice: tests/toolchain).
#pragma once

#include <boost/asio/as_tuple.hpp>
#include <boost/asio/awaitable.hpp>
#include <boost/asio/basic_socket_acceptor.hpp>
#include <boost/asio/basic_stream_socket.hpp>
#include <boost/asio/basic_waitable_timer.hpp>
#include <boost/asio/generic/stream_protocol.hpp>
#include <boost/asio/io_context.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/use_awaitable.hpp>

namespace honbu {

namespace asio = boost::asio;
using boost::system::error_code;

using Executor = asio::io_context::executor_type;
// A device's own connection, or the near end of one that comes through the TLS gate.
using Socket = asio::basic_stream_socket<asio::generic::stream_protocol, Executor>;
using TcpSocket = asio::basic_stream_socket<asio::ip::tcp, Executor>;
using Acceptor = asio::basic_socket_acceptor<asio::ip::tcp, Executor>;
using Timer = asio::basic_waitable_timer<std::chrono::steady_clock,
                                         asio::wait_traits<std::chrono::steady_clock>, Executor>;
template<class T> using Task = asio::awaitable<T, Executor>;

inline constexpr auto as_result = asio::as_tuple(asio::use_awaitable_t<Executor>());

}  // namespace honbu

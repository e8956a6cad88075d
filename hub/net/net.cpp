#include "hub/net/net.h"

#include <charconv>
#include <chrono>
#include <utility>

#include <boost/asio/co_spawn.hpp>
#include <boost/asio/post.hpp>
#include <boost/asio/signal_set.hpp>

#include "hub/net/asio.h"
#include "hub/net/http.h"

namespace honbu {
namespace {

using namespace std::chrono_literals;
using asio::ip::tcp;

constexpr int backlog = 4'096;  // a hall that comes back all at once; the system may allow less
constexpr std::size_t connections_max = 16'000;
constexpr auto accept_pause = 200ms;
constexpr auto goodbye_within = 1s;

Fault cannot_listen(const ListenAddress& address, const error_code& ec) {
    const std::string port = std::to_string(address.port);
    if (ec == asio::error::address_in_use) {
        return Fault{
            "Port " + port + " is taken by another program. Choose another with --listen, " +
            "for example --listen " + address.ip + ":" + std::to_string(address.port + 1) + "."};
    }
    if (ec == asio::error::access_denied) {
        return Fault{"Port " + port +
                     " needs an administrator's rights. Choose one above 1023 with --listen."};
    }
    return Fault{"The hub can't listen on " + address.ip + ":" + port + " (" + ec.message() +
                 "). Is that an address of this machine? 0.0.0.0 stands for all of them."};
}

}  // namespace

OrFault<ListenAddress> parse_listen(std::string_view text) {
    const Fault wrong{"'" + std::string(text) +
                      "' is not an address and a port. Write it like 0.0.0.0:8080."};
    const std::size_t colon = text.rfind(':');
    if (colon == std::string_view::npos) return wrong;
    std::string_view ip = text.substr(0, colon);
    if (ip.starts_with('[') && ip.ends_with(']')) ip = ip.substr(1, ip.size() - 2);
    const std::string_view digits = text.substr(colon + 1);
    ListenAddress address{std::string(ip), 0};
    const auto read = std::from_chars(digits.data(), digits.data() + digits.size(), address.port);
    const bool number = read.ec == std::errc() && read.ptr == digits.data() + digits.size();
    error_code ec;
    if (address.ip == "localhost") address.ip = "127.0.0.1";
    asio::ip::make_address(address.ip, ec);
    if (!number || ec) return wrong;
    return address;
}

struct Net::Inside {
    explicit Inside(Doors given)
        : board(std::move(given), [this] { asio::post(io, [this] { board.write_some(); }); }),
          io(1), acceptor(io.get_executor()), signals(io), ticker(io.get_executor()),
          end(io.get_executor()) {}

    static Task<void> accept_all(Inside& in);
    void tick();
    void stop();

    Switchboard board;
    asio::io_context io;
    Acceptor acceptor;
    asio::signal_set signals;
    Timer ticker;
    Timer end;
    bool crowd_logged = false;
};

Net::Net(Doors doors) : in_(std::make_unique<Inside>(std::move(doors))) {}
Net::~Net() = default;

OrFault<ListenAddress> Net::listen(const ListenAddress& address) {
    const tcp::endpoint endpoint(asio::ip::make_address(address.ip), address.port);
    Acceptor& acceptor = in_->acceptor;
    error_code ec;
    acceptor.open(endpoint.protocol(), ec);
    if (!ec) acceptor.set_option(Acceptor::reuse_address(true), ec);
    if (!ec) acceptor.bind(endpoint, ec);
    if (!ec) acceptor.listen(backlog, ec);
    if (ec) return cannot_listen(address, ec);
    // From here on a signal waits for run(): what has been begun is not cut off in the middle.
    in_->signals.add(SIGINT);
    in_->signals.add(SIGTERM);
    in_->signals.async_wait([in = in_.get()](error_code failed, int) {
        if (!failed) in->stop();
    });
    return ListenAddress{address.ip, acceptor.local_endpoint(ec).port()};
}

void Net::run() {
    in_->tick();
    in_->io.run();
}

void Net::let_in() {
    Inside& in = *in_;
    asio::co_spawn(in.io.get_executor(), Inside::accept_all(in), [](std::exception_ptr thrown) {
        if (thrown) std::rethrow_exception(thrown);
    });
}

Net::Counts Net::counts() const {
    const Switchboard& board = in_->board;
    return {board.connections, board.sessions(), board.event_streams, board.waiting_bytes()};
}

void Net::post(std::function<void()> work) { asio::post(in_->io, std::move(work)); }

Task<void> Net::Inside::accept_all(Inside& in) {
    Timer pause(in.io.get_executor());
    while (in.acceptor.is_open()) {
        auto [ec, socket] = co_await in.acceptor.async_accept(as_result);
        if (!in.acceptor.is_open()) co_return;
        if (ec) {
            // Out of descriptors, or a client that was gone before it was let in. It passes.
            in.board.doors().log("A connection could not be let in (" + ec.message() + ").");
            pause.expires_after(accept_pause);
            auto [rung] = co_await pause.async_wait(as_result);
            static_cast<void>(rung);
            continue;
        }
        if (in.board.connections >= connections_max) {
            if (!std::exchange(in.crowd_logged, true)) {
                in.board.doors().log("More than " + std::to_string(connections_max) +
                                     " connections: no more are let in until some have left.");
            }
            continue;
        }
        in.crowd_logged = false;
        error_code ignored;
        socket.set_option(tcp::no_delay(true), ignored);
        start_http(std::move(socket), Counted(in.board), in.board);
    }
}

void Net::Inside::tick() {
    ticker.expires_after(std::chrono::milliseconds(tick_ms));
    ticker.async_wait([this](error_code ec) {
        if (ec) return;
        board.tick();
        tick();
    });
}

// Everybody is told, and gets a second to hear it. A second signal ends the hub at once, which
// loses nothing that was acknowledged either.
void Net::Inside::stop() {
    error_code ignored;
    signals.clear(ignored);
    acceptor.close(ignored);
    board.doors().log("Stopping: saying goodbye to " + std::to_string(board.sessions()) +
                      " connected pages.");
    const Goodbye goodbye{Cause::stopping,
                          "The hub was stopped. Tables go on by themselves; everything connects "
                          "again when it is back.",
                          true};
    board.say_goodbye_to_all(goodbye, [this] { io.stop(); });
    end.expires_after(goodbye_within);
    end.async_wait([this](error_code ec) {
        if (!ec) io.stop();
    });
}

void Net::reply(SessionId to, const Reply& reply) {
    Session* session = in_->board.find(to);
    if (session != nullptr) session->reply(reply);
}

void Net::close(SessionId session, const Goodbye& goodbye) {
    Session* found = in_->board.find(session);
    if (found != nullptr) found->say_goodbye(goodbye);
}

void Net::ring(SessionId session) {
    Session* found = in_->board.find(session);
    if (found != nullptr) found->ring();
}

}  // namespace honbu

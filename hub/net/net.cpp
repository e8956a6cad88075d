#include "hub/net/net.h"

#include <algorithm>
#include <chrono>
#include <utility>
#include <vector>

#include <boost/asio/co_spawn.hpp>
#include <boost/asio/post.hpp>
#include <boost/asio/signal_set.hpp>
#include <sys/socket.h>

#include "hub/net/asio.h"
#include "hub/net/http.h"
#include "hub/net/listening.h"
#include "hub/net/tls_gate.h"

namespace honbu {
namespace {

using namespace std::chrono_literals;

constexpr std::uint64_t ticks_between_looks = 300;  // ten minutes
constexpr auto accept_pause = 200ms;
constexpr auto goodbye_within = 1s;

}  // namespace

struct Net::Inside {
    explicit Inside(Doors given)
        : board(std::move(given), [this] { asio::post(io, [this] { board.write_some(); }); }),
          io(1), signals(io), ticker(io.get_executor()), end(io.get_executor()) {}

    // Where devices come in plain.
    struct Door {
        Door(asio::io_context& io, Entrance leads_from)
            : entrance(leads_from), acceptor(io.get_executor()) {}
        const Entrance entrance;
        Acceptor acceptor;
    };
    static Task<void> accept_all(Inside& in, Door& door);
    void arrive(Socket socket, Entrance entrance);
    void mind_signals();
    void tick();
    void stop();

    Switchboard board;
    asio::io_context io;
    std::vector<std::unique_ptr<Door>> doors;
    asio::signal_set signals;
    Timer ticker;
    Timer end;
    bool minds_signals = false;
    std::uint64_t ticks = 0;
    std::function<std::string()> look;
    std::string looked;
    std::unique_ptr<TlsGate> gate;  // last: its thread goes before what it posts to
};

Net::Net(Doors doors) : in_(std::make_unique<Inside>(std::move(doors))) {}
Net::~Net() = default;

OrFault<ListenAddress> Net::listen(const ListenAddress& address, Entrance entrance) {
    const char* const option = entrance == Entrance::hall ? "--listen" : "--public-listen";
    auto door = std::make_unique<Inside::Door>(in_->io, entrance);
    auto taken = take_port(door->acceptor, address, option);
    if (!taken) return taken.error();
    in_->doors.push_back(std::move(door));
    in_->mind_signals();
    return taken;
}

OrFault<ListenAddress> Net::listen_encrypted(const ListenAddress& address,
                                             const Identity& identity) {
    TlsGate::Parts parts;
    parts.arrived = [in = in_.get()](Descriptor device) {
        // A shared one, since what is posted can be copied.
        asio::post(in->io, [in, device = std::make_shared<Descriptor>(std::move(device))] {
            Socket socket(in->io.get_executor());
            error_code ec;
            socket.assign(asio::generic::stream_protocol(AF_UNIX, 0), device->number(), ec);
            if (ec) {
                in->board.doors().log("A connection could not be let in (" + ec.message() + ").");
                return;
            }
            device->release();
            in->arrive(std::move(socket), Entrance::hall);
        });
    };
    parts.passages_max = in_->board.shares.hall_connections();
    parts.handshakes_max = std::max(std::size_t{1}, in_->board.shares.handshakes());
    parts.log = [this](const std::string& line) {
        post([this, line] { in_->board.doors().log(line); });
    };
    auto gate = TlsGate::make(identity, std::move(parts));
    if (!gate) return gate.error();
    auto taken = (*gate)->listen(address);
    if (!taken) return taken.error();
    in_->gate = std::move(*gate);
    in_->mind_signals();
    return taken;
}

void Net::introduce(HubNames names, const Identity& identity, std::function<std::string()> look) {
    in_->look = std::move(look);
    in_->board.names = std::move(names);
    in_->board.trust = trust_of(identity, pages());
}

void Net::share(std::size_t descriptors, bool encrypted) {
    in_->board.shares = Shares(descriptors, encrypted);
    const Shares& shares = in_->board.shares;
    if (shares[ClientKind::table].connections ==
        most[static_cast<std::size_t>(ClientKind::table)].connections)
        return;
    in_->board.doors().log("This program may open only " + std::to_string(descriptors) +
                           " files: there is room for " +
                           std::to_string(shares[ClientKind::table].connections) + " tables, " +
                           std::to_string(shares[ClientKind::display].connections) +
                           " screens and " + std::to_string(shares[ClientKind::crowd].connections) +
                           " spectators. Raise the limit (ulimit -n) for more.");
}

// From here on a signal waits for run(): what has been begun is not cut off in the middle.
void Net::Inside::mind_signals() {
    error_code already;
    signals.add(SIGINT, already);
    signals.add(SIGTERM, already);
    if (std::exchange(minds_signals, true)) return;
    signals.async_wait([this](error_code failed, int) {
        if (!failed) stop();
    });
}

void Net::run() {
    in_->tick();
    in_->io.run();
    if (in_->gate) in_->gate->finish();
}

void Net::let_in() {
    Inside& in = *in_;
    for (const auto& door : in.doors) {
        asio::co_spawn(in.io.get_executor(), Inside::accept_all(in, *door),
                       [](std::exception_ptr thrown) {
                           if (thrown) std::rethrow_exception(thrown);
                       });
    }
    if (in.gate) in.gate->let_in();
}

Net::Counts Net::counts() const {
    const Switchboard& board = in_->board;
    return {board.connections, board.sessions(), board.event_streams, board.waiting_bytes()};
}

void Net::post(std::function<void()> work) { asio::post(in_->io, std::move(work)); }

Task<void> Net::Inside::accept_all(Inside& in, Door& door) {
    Timer pause(in.io.get_executor());
    bool logged = false;
    while (door.acceptor.is_open()) {
        auto [ec, device] = co_await door.acceptor.async_accept(as_result);
        if (!door.acceptor.is_open()) co_return;
        if (ec) {
            // Out of descriptors, or a client that was gone before it was let in. It passes.
            if (!std::exchange(logged, true)) {
                in.board.doors().log("A connection could not be let in (" + ec.message() + ").");
            }
            pause.expires_after(accept_pause);
            auto [rung] = co_await pause.async_wait(as_result);
            static_cast<void>(rung);
            continue;
        }
        logged = false;
        error_code ignored;
        device.set_option(asio::ip::tcp::no_delay(true), ignored);
        in.arrive(Socket(std::move(device)), door.entrance);
    }
}

// Whoever has stood there longest without a request gives way to who comes now.
void Net::Inside::arrive(Socket socket, Entrance entrance) {
    if (board.stopping()) return;
    board.make_place(entrance);
    start_http(std::move(socket), Counted(board, entrance), board);
}

void Net::Inside::tick() {
    ticker.expires_after(std::chrono::milliseconds(tick_ms));
    ticker.async_wait([this](error_code ec) {
        if (ec) return;
        board.tick();
        if (++ticks % ticks_between_looks == 0 && look) {
            const std::string words = look();
            if (!words.empty() && words != looked) board.doors().log(words);
            looked = words;
        }
        tick();
    });
}

// Everybody is told, and gets a second to hear it. A second signal ends the hub at once, which
// loses nothing that was acknowledged either.
void Net::Inside::stop() {
    error_code ignored;
    signals.clear(ignored);
    for (const auto& door : doors)
        door->acceptor.close(ignored);
    if (gate) gate->shut();
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

#include "hub/net/tls_gate.h"

#include <algorithm>
#include <atomic>
#include <chrono>
#include <map>
#include <string>
#include <string_view>
#include <thread>

#include <boost/asio/co_spawn.hpp>
#include <boost/asio/executor_work_guard.hpp>
#include <boost/asio/post.hpp>

#include "hub/certificates/openssl.h"
#include "hub/net/asio.h"
#include "hub/net/listening.h"
#include "hub/net/tls_passage.h"

namespace honbu {
namespace {

using namespace std::chrono_literals;

constexpr auto accept_pause = 200ms;
constexpr auto finish_within = 1s;

// With forward secrecy and authenticated, which is what TLS 1.3 has anyway (RFC 9325, 4.2).
constexpr const char* tls_1_2_ciphers = "ECDHE+AESGCM:ECDHE+CHACHA20";
constexpr const char* curves = "X25519:P-256";

using Context = std::unique_ptr<SSL_CTX, FreedBy<&SSL_CTX_free>>;

// Browsers offer HTTP/2 as well, which the hub does not speak (RFC 7301, 3.2).
int choose_http_1_1(SSL*, const unsigned char** chosen, unsigned char* size,
                    const unsigned char* offered, unsigned int offered_size, void*) {
    constexpr std::string_view ours = "\x08http/1.1";
    unsigned char* found = nullptr;
    const int agreed = SSL_select_next_proto(
        &found, size, reinterpret_cast<const unsigned char*>(ours.data()),
        static_cast<unsigned int>(ours.size()), offered, offered_size);
    *chosen = found;
    return agreed == OPENSSL_NPN_NEGOTIATED ? SSL_TLSEXT_ERR_OK : SSL_TLSEXT_ERR_ALERT_FATAL;
}

bool show_chain(SSL_CTX* context, const Identity& identity) {
    const Bytes in = reading(identity.pair.certificate);
    const Certificate own(PEM_read_bio_X509(in.get(), nullptr, nullptr, nullptr));
    if (!own || SSL_CTX_use_certificate(context, own.get()) != 1) return false;
    for (;;) {
        Certificate next(PEM_read_bio_X509(in.get(), nullptr, nullptr, nullptr));
        if (!next) break;
        if (SSL_CTX_add1_chain_cert(context, next.get()) != 1) return false;
    }
    ERR_clear_error();
    const Bytes key_in = reading(identity.pair.key);
    const PrivateKey key(PEM_read_bio_PrivateKey(key_in.get(), nullptr, nullptr, nullptr));
    return key && SSL_CTX_use_PrivateKey(context, key.get()) == 1 &&
           SSL_CTX_check_private_key(context) == 1;
}

Context context_for(const Identity& identity) {
    Context made(SSL_CTX_new(TLS_server_method()));
    if (!made) return nullptr;
    SSL_CTX* const own = made.get();
    SSL_CTX_set_options(own, SSL_OP_CIPHER_SERVER_PREFERENCE | SSL_OP_PRIORITIZE_CHACHA |
                                 SSL_OP_NO_COMPRESSION | SSL_OP_NO_RENEGOTIATION |
                                 SSL_OP_IGNORE_UNEXPECTED_EOF);
    SSL_CTX_set_mode(own, SSL_MODE_RELEASE_BUFFERS | SSL_MODE_ENABLE_PARTIAL_WRITE |
                              SSL_MODE_ACCEPT_MOVING_WRITE_BUFFER);
    SSL_CTX_set_session_cache_mode(own, SSL_SESS_CACHE_OFF);  // tickets keep it at the device
    SSL_CTX_set_alpn_select_cb(own, &choose_http_1_1, nullptr);
    const bool done = SSL_CTX_set_min_proto_version(own, TLS1_2_VERSION) == 1 &&
                      SSL_CTX_set_cipher_list(own, tls_1_2_ciphers) == 1 &&
                      SSL_CTX_set1_curves_list(own, curves) == 1 && show_chain(own, identity);
    return done ? std::move(made) : nullptr;
}

class Gate final : public TlsGate {
public:
    Gate(Context context, Parts parts)
        : context_(std::move(context)), parts_(std::move(parts)), io_(1),
          acceptor_(io_.get_executor()), end_(io_.get_executor()),
          work_(asio::make_work_guard(io_)) {
        told_.greeted = [this](std::uint64_t number, Descriptor hubs) {
            greeting_.erase(number);
            parts_.arrived(std::move(hubs));
        };
        told_.ending = [this](std::uint64_t number) { ending(number); };
        told_.ended = [this](std::uint64_t number) { ended(number); };
    }
    ~Gate() override {
        io_.stop();
        if (thread_.joinable()) thread_.join();
    }

    OrFault<ListenAddress> listen(const ListenAddress& address) override {
        return take_port(acceptor_, address, "--listen");
    }
    void let_in() override {
        asio::co_spawn(io_.get_executor(), accept_all(*this), [](std::exception_ptr thrown) {
            if (thrown) std::rethrow_exception(thrown);
        });
        thread_ = std::thread([this] { io_.run(); });
    }
    void shut() override {
        asio::post(io_, [this] {
            error_code ignored;
            acceptor_.close(ignored);
        });
    }
    void finish() override;
    std::size_t passages() const override { return count_; }

private:
    static Task<void> accept_all(Gate& gate);
    void enter(TcpSocket device);
    void ending(std::uint64_t number);
    void ended(std::uint64_t number);
    void end_longest(std::map<std::uint64_t, std::weak_ptr<TlsPassage>>& of);

    const Context context_;
    const Parts parts_;
    TlsPassage::Told told_;
    // gate's thread
    std::map<std::uint64_t, std::weak_ptr<TlsPassage>> all_;
    std::map<std::uint64_t, std::weak_ptr<TlsPassage>> greeting_;  // the longest first
    std::map<std::uint64_t, std::weak_ptr<TlsPassage>> ending_;    // the hub has left them
    std::uint64_t last_ = 0;
    bool full_logged_ = false;
    bool failure_logged_ = false;
    bool finishing_ = false;
    // any
    std::atomic<std::size_t> count_ = 0;

    asio::io_context io_;
    Acceptor acceptor_;
    Timer end_;
    asio::executor_work_guard<Executor> work_;
    std::thread thread_;
};

Task<void> Gate::accept_all(Gate& gate) {
    Timer pause(gate.io_.get_executor());
    while (gate.acceptor_.is_open()) {
        auto [ec, device] = co_await gate.acceptor_.async_accept(as_result);
        if (!gate.acceptor_.is_open()) co_return;
        if (ec) {
            if (!std::exchange(gate.failure_logged_, true)) {
                gate.parts_.log("A connection could not be let in (" + ec.message() + ").");
            }
            pause.expires_after(accept_pause);
            auto [rung] = co_await pause.async_wait(as_result);
            static_cast<void>(rung);
            continue;
        }
        gate.failure_logged_ = false;
        gate.enter(std::move(device));
    }
}

// Handshakes have places of their own, so whoever begins none fills nobody else's. So have those
// that the hub has left, who may be slow to go.
void Gate::enter(TcpSocket device) {
    if (all_.size() >= parts_.passages_max + greeting_.size() + ending_.size()) {
        if (!std::exchange(full_logged_, true)) {
            parts_.log("More than " + std::to_string(parts_.passages_max) +
                       " devices of the hall: no more are let in until some have left.");
        }
        return;
    }
    full_logged_ = false;
    Tls tls(SSL_new(context_.get()));
    if (!tls) return;
    SSL_set_accept_state(tls.get());
    const std::uint64_t number = ++last_;
    const auto passage = std::make_shared<TlsPassage>(number, std::move(device), std::move(tls),
                                                      told_);
    all_.emplace(number, passage);
    greeting_.emplace(number, passage);
    count_ = all_.size();
    TlsPassage::begin(passage);
    if (greeting_.size() > parts_.handshakes_max) end_longest(greeting_);
}

// It counts no more from now on; its coroutines end a little later.
void Gate::end_longest(std::map<std::uint64_t, std::weak_ptr<TlsPassage>>& of) {
    const auto [number, passage] = *of.begin();
    ended(number);
    if (const auto longest = passage.lock()) longest->end();
}

// Each is still a socket and the gate's end of its pair: half as many as handshakes may stay.
void Gate::ending(std::uint64_t number) {
    const auto found = all_.find(number);
    if (found == all_.end()) return;
    ending_.insert(*found);
    if (ending_.size() > parts_.handshakes_max / 2) end_longest(ending_);
}

void Gate::ended(std::uint64_t number) {
    all_.erase(number);
    greeting_.erase(number);
    ending_.erase(number);
    count_ = all_.size();
    if (finishing_ && all_.empty()) io_.stop();
}

// The hub's thread has written all it will, so what is to be carried out is there already.
void Gate::finish() {
    if (!thread_.joinable()) return;
    asio::post(io_, [this] {
        finishing_ = true;
        std::vector<std::shared_ptr<TlsPassage>> still;
        for (const auto& [number, passage] : all_) {
            if (auto one = passage.lock()) still.push_back(std::move(one));
        }
        for (const auto& passage : still)
            passage->finish();
        if (all_.empty()) io_.stop();
        end_.expires_after(finish_within);
        end_.async_wait([this](error_code ec) {
            if (!ec) io_.stop();
        });
    });
    thread_.join();
}

}  // namespace

OrFault<std::unique_ptr<TlsGate>> TlsGate::make(const Identity& identity, Parts parts) {
    Context context = context_for(identity);
    if (!context) {
        return Fault{"The hub's certificate can't be used for TLS (" + openssl_says() +
                     "). `honbu certificates` makes ones that can."};
    }
    return std::unique_ptr<TlsGate>(std::make_unique<Gate>(std::move(context), std::move(parts)));
}

}  // namespace honbu

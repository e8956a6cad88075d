// One connection through the TLS gate: the handshake, then two pumps until either side ends.
//
// OpenSSL works on the device's socket itself and never waits; where it can't go on, a coroutine
// waits until the socket can. Belongs to its own coroutines; the gate knows it by number and may
// end it. The gate's thread.
#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <string>

#include "hub/certificates/openssl.h"
#include "hub/net/asio.h"
#include "hub/net/tls_gate.h"

namespace honbu {

using Tls = std::unique_ptr<SSL, FreedBy<&SSL_free>>;

class TlsPassage final : public std::enable_shared_from_this<TlsPassage> {
public:
    // What it tells the gate. `greeted`: the handshake is done, and this is the hub's end;
    // `ending`: the hub has left, and the device has a few seconds to take what was said last.
    struct Told {
        std::function<void(std::uint64_t, Descriptor)> greeted;
        std::function<void(std::uint64_t)> ending;
        std::function<void(std::uint64_t)> ended;
    };
    TlsPassage(std::uint64_t number, TcpSocket device, Tls tls, const Told& told);
    ~TlsPassage();

    static void begin(const std::shared_ptr<TlsPassage>& self);
    void end();     // at once, whatever is going on
    void finish();  // what waits for the device is carried out, and then it ends

private:
    using Local = asio::basic_stream_socket<asio::generic::stream_protocol, Executor>;
    enum class Step : std::uint8_t { done, over };

    static Task<void> live(std::shared_ptr<TlsPassage> self);
    static Task<void> carry_in(std::shared_ptr<TlsPassage> self);
    Task<Step> shake_hands();
    Task<void> carry_out();
    Task<Step> to_device(std::string rest);
    Task<Step> to_hub(std::string rest);
    Task<Step> wait_for_device(int result);
    Task<void> tell_plain();
    bool open_local();
    void watch_hub();
    void last_bytes();
    void part();
    void cut_after(std::chrono::seconds limit);

    const std::uint64_t number_;
    const Told& told_;
    TcpSocket device_;
    Tls tls_;
    Local local_;
    Timer deadline_;
    int pumps_ = 0;
    bool finishing_ = false;
    bool ending_ = false;
};

}  // namespace honbu

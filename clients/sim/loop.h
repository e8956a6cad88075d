// The outside world as a played hall needs it: time, alarms, lines to the hub, signals.
//
// Asio and Beast stay inside loop.cpp. One thread: everything happens inside run(). Who waits for
// an alarm lives until run() has returned, and the end of a line until it has let go of the line.
#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <string>

namespace honbu::sim {

struct Address {
    std::string host;
    std::string port;
};

// One WebSocket to the hub. Letting go of it closes it.
class Line {
public:
    struct End {
        virtual ~End() = default;
        virtual void opened() = 0;
        virtual void heard(const std::string& bytes) = 0;
        virtual void gone(const std::string& why) = 0;  // the last word
    };
    virtual ~Line() = default;
    virtual void send(std::string bytes) = 0;  // after opened()
};

class Loop {
public:
    using Act = std::function<void()>;

    Loop();
    ~Loop();
    std::uint64_t now_us() const;  // steady, since the loop was made
    void in_us(std::uint64_t us, Act act);
    void in_ms(std::uint64_t ms, Act act) { in_us(ms * 1'000, std::move(act)); }
    std::unique_ptr<Line> connect(const Address& hub, Line::End& end);
    void on_signal(Act act);  // SIGINT and SIGTERM, each time
    void run();               // until stop()
    void stop();

private:
    struct Inside;
    std::unique_ptr<Inside> in_;
};

}  // namespace honbu::sim

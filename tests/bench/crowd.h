// Tables and screens as sockets: one epoll loop that opens them, keeps them alive and tells what
// they hear.
//
// Ten thousand screens in one process; what comes is only counted. A line that ends by itself ends
// the program: a figure with half the screens is none. One thread.
#pragma once

#include <chrono>
#include <cstdint>
#include <functional>
#include <string>
#include <vector>

#include "tests/bench/line.h"
#include "tests/bench/speech.h"

namespace honbu::bench {

using Clock = std::chrono::steady_clock;

class Crowd {
public:
    Crowd(Speech& speech, std::uint16_t port);

    // Return when all are there: tables have their mat, screens what they see first.
    void open_tables(std::size_t count);
    void open_screens(std::size_t count);

    void say(std::size_t table, const std::string& message);
    // Works off what comes, and sends signs of life, until `done` or the time is up. False: it was.
    bool run(const std::function<bool()>& done, Clock::duration most);

    // From now on it looks only so often. A server then does not pay for waking its neighbour, as
    // it would not over a network; what comes is heard that much later.
    void look_every(Clock::duration pause) { pause_ = pause; }

    // Of screens that are there, and of tables.
    std::function<void(std::uint32_t number, std::size_t bytes, Clock::time_point)> on_view;
    std::function<void(std::size_t table, std::uint32_t number, Clock::time_point)> on_verdict;

private:
    enum class Stage : std::uint8_t { connecting, shaking, greeting, there };
    struct Client {
        Line line;
        Stage stage = Stage::connecting;
        bool table = false;
        std::size_t index = 0;  // among tables or among screens
        std::size_t views = 0;
    };
    void open(bool table, std::size_t index);
    void turn(Clock::duration most);
    void on_ready(std::size_t at, bool writable);
    std::size_t take(std::size_t at, std::string_view bytes);
    void on_message(std::size_t at, std::string_view message);
    void send(Client& client, const std::string& message);
    void arrive(Client& client);
    void signs_of_life();

    Speech& speech_;
    std::uint16_t port_;
    int epoll_;
    std::string life_;
    std::vector<Client> clients_;  // tables first
    std::size_t there_ = 0;
    std::size_t next_alive_ = 0;
    Clock::time_point alive_until_;  // signs of life have been sent for
    Clock::time_point now_;
    Clock::duration pause_{};
};

}  // namespace honbu::bench

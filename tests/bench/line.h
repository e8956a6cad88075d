// One TCP connection that never blocks, with what has come of a frame and what could not go out
// yet. For the reference programs and the load. Owns its socket. One thread.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

namespace honbu::bench {

class Line {
public:
    explicit Line(int socket) : socket_(socket) {}
    Line(Line&& other) noexcept;
    Line& operator=(Line&&) = delete;
    ~Line();

    int socket() const { return socket_; }
    // What the system takes is written at once, the rest when flush() finds room. False: gone.
    bool send(std::string_view bytes);
    bool flush();
    bool waiting() const { return !out_.empty(); }

    // Reads once. `take` gets all that is there and says how much of it was used. False: gone.
    template<class Take> bool receive(const Take& take) {
        const std::string_view all = read();
        if (all.empty()) return !gone_;
        const std::size_t used = take(all);
        in_ = used == all.size() ? std::string() : std::string(all.substr(used));
        return true;
    }

private:
    std::string_view read();

    int socket_;
    bool gone_ = false;
    std::string in_;   // the beginning of a frame
    std::string out_;  // what waits for room
};

// -- sockets, each fit for epoll; a failure ends the program with its reason
int listen_on(std::uint16_t port);  // 0: the system chooses
std::uint16_t port_of(int socket);
// Connecting goes on after the call. `number` chooses the source address in 127.0.0.0/8, so that
// ports last for any number of lines.
int connect_to(std::uint16_t port, std::size_t number);
void watch(int epoll, int socket, std::uint64_t name, bool also_to_write = false);
void watch_again(int epoll, int socket, std::uint64_t name, bool also_to_write);
[[noreturn]] void give_up(const char* what);
void allow_many_sockets();

}  // namespace honbu::bench

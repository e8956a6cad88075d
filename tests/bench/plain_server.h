// What floor and bare have in common: one epoll loop that lets lines in and sends each event to
// everybody who follows.
//
// All events that one turn of the loop has read go out together: one prebuilt frame for each,
// joined into one write for each follower; with a single event on its way that is one frame and one
// write. No copy and no allocation for a follower, no limits, no sign of life, no role, nothing of
// judo: only the unavoidable. One thread.
//
// A line says "S" to follow, and is sent the latest frame at once; or "E" and a number of four
// bytes (low first): an event. A frame is "V", that number, and as many bytes more as were asked
// for. An acknowledgement is "A" and the number.
#pragma once

#include <cstdint>
#include <functional>
#include <span>
#include <string>
#include <vector>

#include "tests/bench/line.h"

namespace honbu::bench {

struct PlainEvent {
    std::size_t from = 0;  // which line
    std::uint32_t number = 0;
};

class PlainServer {
public:
    // Prints its port on standard output.
    explicit PlainServer(std::size_t frame_bytes);

    // Never returns. `keep` gets what one turn has read, before any of it is acknowledged or shown.
    using Keep = std::function<void(std::span<const PlainEvent>)>;
    [[noreturn]] void run(const Keep& keep, bool acknowledge);

private:
    struct Client {
        Line line;
        bool greeted = false;
        bool follows = false;
        bool watched_to_write = false;
    };
    void accept_all();
    void on_ready(std::size_t at, bool writable);
    std::size_t take(std::size_t at, std::string_view bytes);
    void on_message(std::size_t at, std::string_view message);
    void say(std::size_t at, std::string_view bytes);
    void drop(std::size_t at);
    std::string view(std::uint32_t number) const;
    void tell_all(bool acknowledge);

    int epoll_;
    int door_;
    std::size_t frame_bytes_;
    std::vector<Client> clients_;
    std::vector<std::size_t> followers_;
    std::vector<PlainEvent> events_;  // of this turn
    std::string latest_;
};

}  // namespace honbu::bench

// A network between clients and the hub, as TCP shows it: a line delivers in order, or it breaks.
//
// A Route is a client's way to the hub: its delays, and when it is cut, in each direction. A Line
// is one connection. What is under way waits while the route is cut; when a line breaks, a part of
// it from the front still arrives, the rest never does, and each end hears of it in its own time.
// One thread.
#pragma once

#include <algorithm>
#include <array>
#include <deque>
#include <memory>
#include <string>

#include "tests/generate/lots.h"
#include "tests/simulation/agenda.h"

namespace honbu::simulation {

using Bytes = std::shared_ptr<const std::string>;

enum class To : std::uint8_t { hub = 0, client = 1 };
constexpr To opposite(To to) { return to == To::hub ? To::client : To::hub; }

struct Route {
    std::uint32_t delay_ms_min = 1;
    std::uint32_t delay_ms_max = 5;
    std::array<std::uint64_t, 2> cut_until{};  // by To
    bool cut(To to, std::uint64_t now) const {
        return cut_until[static_cast<std::size_t>(to)] > now;
    }
};

class Line : public std::enable_shared_from_this<Line> {
public:
    struct End {
        virtual ~End() = default;
        virtual void heard(const std::string& bytes) = 0;
        virtual void line_closed() = 0;
        virtual void can_write() = 0;  // something that was sent has arrived
    };

    Line(Agenda& agenda, generate::Lots& lots, const Route& route)
        : agenda_(agenda), lots_(lots), route_(route) {}

    void attach(To which, End* end) { way(which).end = end; }
    void send(To to, Bytes bytes);
    std::size_t under_way(To to) const { return ways_[static_cast<std::size_t>(to)].queue.size(); }
    // Of what is under way; not if one of them is the end of the line.
    template<class Is> bool all_under_way(To to, const Is& is) const {
        const auto& queue = ways_[static_cast<std::size_t>(to)].queue;
        return std::all_of(queue.begin(), queue.end(), [&is](const Item& item) {
            return item.bytes != nullptr && is(*item.bytes);
        });
    }
    // This end is done and hears nothing more; what it has sent arrives, then the other end hears.
    void close_from(To which);
    // Breaks in the middle: each end hears of it within `late_ms`. Of what is under way a part from
    // the front still arrives, or `nothing` does.
    void snap(std::uint32_t late_ms, bool nothing = false);

private:
    struct Item {
        std::uint64_t due;
        Bytes bytes;  // null: the end
    };
    struct Way {
        End* end = nullptr;
        std::deque<Item> queue;
        std::uint64_t last_due = 0;
        bool pumping = false;
        bool closing = false;
    };
    Way& way(To to) { return ways_[static_cast<std::size_t>(to)]; }
    void put(To to, Bytes bytes, std::uint64_t delay_ms);
    void pump(To to);

    Agenda& agenda_;
    generate::Lots& lots_;
    const Route& route_;
    std::array<Way, 2> ways_;
};

}  // namespace honbu::simulation

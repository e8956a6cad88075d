#include "tests/simulation/line.h"

#include <algorithm>

namespace honbu::simulation {

void Line::send(To to, Bytes bytes) {
    if (way(to).closing) return;
    put(to, std::move(bytes), lots_.from_to(route_.delay_ms_min, route_.delay_ms_max));
}

void Line::close_from(To which) {
    way(which).end = nullptr;
    const To there = opposite(which);
    if (way(there).closing) return;
    put(there, nullptr, lots_.from_to(route_.delay_ms_min, route_.delay_ms_max));
    way(there).closing = true;
}

void Line::snap(std::uint32_t late_ms, bool nothing) {
    for (const To to : {To::hub, To::client}) {
        Way& broken = way(to);
        if (nothing) {
            broken.queue.clear();
            broken.closing = false;  // what it was closed with does not arrive either
        }
        if (broken.closing) continue;
        const auto arrives = lots_.below(static_cast<std::uint32_t>(broken.queue.size()) + 1);
        broken.queue.resize(arrives);
        put(to, nullptr, lots_.below(late_ms + 1));
        broken.closing = true;
    }
}

void Line::put(To to, Bytes bytes, std::uint64_t delay_ms) {
    Way& w = way(to);
    w.last_due = std::max(w.last_due, agenda_.now() + delay_ms);
    w.queue.push_back({w.last_due, std::move(bytes)});
    if (w.pumping) return;
    w.pumping = true;
    agenda_.in(w.last_due - agenda_.now(), [self = shared_from_this(), to] { self->pump(to); });
}

// Delivers one, and comes back for the next. An end may close or send while it hears.
void Line::pump(To to) {
    Way& w = way(to);
    if (w.queue.empty()) {
        w.pumping = false;
        return;
    }
    const std::uint64_t open = route_.cut_until[static_cast<std::size_t>(to)];
    const std::uint64_t due = std::max(open, w.queue.front().due);
    if (due > agenda_.now()) {
        agenda_.in(due - agenda_.now(), [self = shared_from_this(), to] { self->pump(to); });
        return;
    }
    const Item item = std::move(w.queue.front());
    w.queue.pop_front();
    agenda_.in(0, [self = shared_from_this(), to] { self->pump(to); });
    if (w.end != nullptr) {
        if (item.bytes)
            w.end->heard(*item.bytes);
        else
            w.end->line_closed();
    }
    if (End* sender = way(opposite(to)).end; sender != nullptr && item.bytes) sender->can_write();
}

}  // namespace honbu::simulation

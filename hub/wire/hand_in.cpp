// Calls that came in a file: the message to the command and back.
#include "engine/view/json.h"
#include "hub/wire/parts.h"

namespace honbu::wire {
namespace {

constexpr std::size_t hand_bytes_max = 40;

}  // namespace

void put(const HandIn& command, v1::HandIn& out) {
    out.set_request(command.request);
    out.set_device(name_text(command.device.value));
    out.set_hand(command.hand);
    for (const Call& call : command.calls)
        put(call, *out.add_calls());
    out.set_only_look(command.only_look);
    if (!command.clock) return;
    out.mutable_clock()->set_run(name_text(command.clock->run.value));
    out.mutable_clock()->set_run_ms(command.clock->on_run.ms);
    out.mutable_clock()->set_hub_ms(command.clock->on_hub.ms);
}

HandIn hand_in_of(const v1::HandIn& in, Check& check) {
    HandIn wish;
    wish.request = in.request();
    wish.device = DeviceId{check.name(in.device(), "hand_in.device")};
    wish.hand = in.hand();
    wish.hand = check.text(wish.hand, hand_bytes_max, "hand_in.hand");
    wish.only_look = in.only_look();
    const auto size = static_cast<std::size_t>(in.calls_size());
    if (size == 0 || size > handed_in_at_once) {
        check.wrong("hand_in.calls has " + std::to_string(size) +
                    " calls; it must be from 1 to 200.");
        return wish;
    }
    for (const v1::Call& each : in.calls()) {
        const Call call = call_of(each, check);
        const CallNumber number = call.id.number;
        if (std::holds_alternative<Accept>(call.what) || call.term == Term{}) {
            check.wrong("hand_in.calls has a call of a desk in it; only those of a table are "
                        "handed in.");
        }
        if (!wish.calls.empty() && (call.id.run != wish.calls.front().id.run ||
                                    number.value != wish.calls.back().id.number.value + 1)) {
            check.wrong("hand_in.calls has call " + std::to_string(number.value) +
                        " where the next one of the same run must stand.");
        }
        wish.calls.push_back(call);
        if (!check.good()) return wish;
    }
    if (wish.calls.front().id.number == CallNumber{0}) {
        check.wrong("hand_in.calls begins with call 0; the first of a run is 1.");
    }
    if (in.has_clock()) {
        const RunId run{check.name(in.clock().run(), "hand_in.clock.run")};
        if (run != wish.calls.front().id.run) {
            check.wrong("hand_in.clock is of another run than the calls.");
        }
        wish.clock = RunClock{run, Instant{in.clock().run_ms()}, Instant{in.clock().hub_ms()}};
    }
    return wish;
}

}  // namespace honbu::wire

// Bytes from anywhere to commands.
#include <google/protobuf/stubs/logging.h>

#include <algorithm>
#include <limits>

#include "hub/wire/parts.h"
#include "hub/wire/wire.h"

namespace honbu {
namespace wire {
namespace {

constexpr std::size_t hand_bytes_max = 40;

void check_hand(Check& check, const std::string& hand, const std::string& what) {
    if (hand.size() > hand_bytes_max) {
        check.wrong(what + " has " + std::to_string(hand.size()) +
                    " bytes; a name of at most 40 bytes fits.");
    }
    // It is printed and logged: a line break in it could pass for a line of the hub's own.
    if (std::any_of(hand.begin(), hand.end(),
                    [](char c) { return static_cast<unsigned char>(c) < 0x20 || c == 0x7f; })) {
        check.wrong(what + " holds a line break or another control character; take it out.");
    }
}
constexpr int subscribed_mats_max = 64;

Hello hello_of(const v1::Hello& in, Check& check) {
    Hello hello;
    hello.schema = in.schema();
    // What another schema means by the other fields is not known here. The hub names the real
    // reason if the hello gets as far as the core.
    if (hello.schema != wire_schema) return hello;
    hello.role = check.among<Role>(in.role(), v1::ROLE_TABLE, v1::ROLE_DESK, "hello.role");
    if (hello.role == Role::table) {
        hello.device = DeviceId{check.name(in.device(), "hello.device")};
        hello.run = RunId{check.name(in.run(), "hello.run")};
    } else {
        hello.device = DeviceId{check.optional_name(in.device(), "hello.device")};
        hello.run = RunId{check.optional_name(in.run(), "hello.run")};
    }
    hello.fold_version = in.fold_version();
    hello.hand = in.hand();
    check_hand(check, hello.hand, "hello.hand");
    check.optional_name(in.seen_epoch(), "hello.seen_epoch");
    return hello;
}

Subscribe subscribe_of(const v1::Subscribe& in, Check& check) {
    Subscribe wish;
    if (in.mats_size() > subscribed_mats_max) {
        check.wrong("subscribe.mats names " + std::to_string(in.mats_size()) +
                    " mats; at most 64 fit, or set all_mats.");
        return wish;
    }
    for (const std::uint32_t mat : in.mats()) {
        wish.mats.push_back(check.mat(mat, "subscribe.mats"));
    }
    wish.all_mats = in.all_mats();
    wish.results = in.results();
    wish.results_after = RecordNumber{in.results_after()};
    return wish;
}

Submit submit_of(const v1::Submit& in, Check& check) {
    if (!in.has_call()) {
        check.wrong("submit.call is missing.");
        return Submit{};
    }
    return Submit{call_of(in.call(), check)};
}

RunClock run_clock_of(const v1::RunClock& in, Check& check) {
    return RunClock{RunId{check.name(in.run(), "run_clock.run")}, Instant{in.run_ms()},
                    Instant{in.hub_ms()}};
}

Command command_of(const v1::ToHub& in, Check& check) {
    switch (in.kind_case()) {
    case v1::ToHub::kHello: return hello_of(in.hello(), check);
    case v1::ToHub::kClockAsk: return ClockAsk{in.clock_ask().sent()};
    case v1::ToHub::kSubscribe: return subscribe_of(in.subscribe(), check);
    case v1::ToHub::kTakeMat:
        check_hand(check, in.take_mat().hand(), "take_mat.hand");
        return TakeMat{check.mat(in.take_mat().mat(), "take_mat.mat"), in.take_mat().take_over(),
                       in.take_mat().hand()};
    case v1::ToHub::kSubmit: return submit_of(in.submit(), check);
    case v1::ToHub::kRunClock: return run_clock_of(in.run_clock(), check);
    case v1::ToHub::kHeartbeat: return Heartbeat{};
    case v1::ToHub::KIND_NOT_SET: break;
    }
    check.wrong("The message is empty or of a kind this hub does not know.");
    return Heartbeat{};
}

bool parse(std::string_view bytes, v1::ToHub& out) {
    if (bytes.size() > static_cast<std::size_t>(std::numeric_limits<int>::max())) return false;
    // Otherwise protobuf writes a line to stderr for every text that is not UTF-8, and anybody
    // could fill the log.
    const google::protobuf::LogSilencer quiet;
    return out.ParseFromArray(bytes.data(), static_cast<int>(bytes.size()));
}

}  // namespace
}  // namespace wire

std::variant<Command, WireFault> from_wire(std::string_view bytes) {
    v1::ToHub in;
    if (!wire::parse(bytes, in)) {
        return WireFault{"The frame does not hold a ToHub message of honbu/v1/hub.proto, "
                         "or a text in it is not UTF-8."};
    }
    wire::Check check;
    Command command = wire::command_of(in, check);
    if (!check.good()) return WireFault{check.words()};
    return command;
}

}  // namespace honbu

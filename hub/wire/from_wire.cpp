// Bytes from anywhere to commands.
#include <google/protobuf/stubs/logging.h>

#include <limits>

#include "hub/wire/parts.h"
#include "hub/wire/wire.h"

namespace honbu {
namespace wire {
namespace {

constexpr std::size_t hand_bytes_max = 40;
constexpr std::size_t page_bytes_max = 80;
constexpr std::size_t typed_name_bytes_max = 80;
constexpr std::size_t typed_note_bytes_max = 120;
constexpr int subscribed_mats_max = 64;
constexpr int subscribed_sheets_max = 64;

Hello hello_of(const v1::Hello& in, Check& check) {
    Hello hello;
    hello.schema = in.schema();
    // What another schema means by the other fields is not known here. The hub names the real
    // reason if the hello gets as far as the core.
    if (hello.schema != wire_schema && hello.schema != wire_schema_before) return hello;
    hello.role = check.among<Role>(in.role(), v1::ROLE_TABLE, v1::ROLE_SET_UP, "hello.role");
    if (hello.role == Role::table) {
        hello.device = DeviceId{check.name(in.device(), "hello.device")};
        hello.run = RunId{check.name(in.run(), "hello.run")};
    } else {
        hello.device = DeviceId{check.optional_name(in.device(), "hello.device")};
        hello.run = RunId{check.optional_name(in.run(), "hello.run")};
    }
    hello.fold_version = in.fold_version();
    hello.hand = check.text(in.hand(), hand_bytes_max, "hello.hand");
    hello.page = check.text(in.page(), page_bytes_max, "hello.page");
    hello.seen_epoch = Epoch{check.optional_name(in.seen_epoch(), "hello.seen_epoch")};
    hello.seen_number = RecordNumber{in.seen_number()};
    hello.seen_hash = check.hash(in.seen_hash(), "hello.seen_hash");
    hello.token = token_of(in.token(), check);
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
    wish.call_list = in.call_list();
    if (in.sheets_size() > subscribed_sheets_max) {
        check.wrong("subscribe.sheets names " + std::to_string(in.sheets_size()) +
                    " bouts; at most 64 fit.");
        return wish;
    }
    for (const std::uint32_t bout : in.sheets()) {
        wish.sheets.push_back(check.bout(bout, "subscribe.sheets"));
    }
    wish.tables = in.tables();
    wish.set_aside = in.set_aside();
    wish.audit = in.audit();
    wish.audit_after = RecordNumber{in.audit_after()};
    wish.door = in.door();
    return wish;
}

Submit submit_of(const v1::Submit& in, Check& check) {
    if (!in.has_call()) {
        check.wrong("submit.call is missing.");
        return Submit{};
    }
    Submit submit{call_of(in.call(), check)};
    if (in.has_typed()) {
        const v1::Typed& typed = in.typed();
        Typed names;
        names.white = check.text(typed.white(), typed_name_bytes_max, "submit.typed.white");
        names.blue = check.text(typed.blue(), typed_name_bytes_max, "submit.typed.blue");
        names.note = check.text(typed.note(), typed_note_bytes_max, "submit.typed.note");
        submit.typed = std::move(names);
    }
    return submit;
}

TakeMat take_mat_of(const v1::TakeMat& in, Check& check) {
    const MatId mat = check.mat(in.mat(), "take_mat.mat");
    return TakeMat{mat, in.take_over(), check.text(in.hand(), hand_bytes_max, "take_mat.hand"),
                   Term{in.term()}};
}

ClockMeasured clock_measured_of(const v1::RunClock& in, Check& check) {
    ClockMeasured measured;
    measured.clock = RunClock{RunId{check.name(in.run(), "run_clock.run")}, Instant{in.run_ms()},
                              Instant{in.hub_ms()}};
    if (in.has_round_trip_ms()) measured.round_trip_ms = in.round_trip_ms();
    return measured;
}

Command command_of(const v1::ToHub& in, Check& check) {
    switch (in.kind_case()) {
    case v1::ToHub::kHello: return hello_of(in.hello(), check);
    case v1::ToHub::kClockAsk: return ClockAsk{in.clock_ask().sent()};
    case v1::ToHub::kSubscribe: return subscribe_of(in.subscribe(), check);
    case v1::ToHub::kTakeMat: return take_mat_of(in.take_mat(), check);
    case v1::ToHub::kSubmit: return submit_of(in.submit(), check);
    case v1::ToHub::kRunClock: return clock_measured_of(in.run_clock(), check);
    case v1::ToHub::kHeartbeat: return Heartbeat{};
    case v1::ToHub::kLeaveMat:
        return LeaveMat{check.mat(in.leave_mat().mat(), "leave_mat.mat"), in.leave_mat().by_force(),
                        Term{in.leave_mat().term()}, in.leave_mat().request()};
    case v1::ToHub::kAsk: return ask_of(in.ask(), check);
    case v1::ToHub::kAnswer: return answer_of(in.answer(), check);
    case v1::ToHub::kOpenBout: return open_bout_of(in.open_bout(), check);
    case v1::ToHub::kDecideSetAside: return decide_set_aside_of(in.decide_set_aside(), check);
    case v1::ToHub::kEnterResult: return enter_result_of(in.enter_result(), check);
    case v1::ToHub::kMoveRecord: return move_record_of(in.move_record(), check);
    case v1::ToHub::kGiveBack: return give_back_of(in.give_back(), check);
    case v1::ToHub::kErasePerson: return erase_person_of(in.erase_person(), check);
    case v1::ToHub::kFindPeople: return find_people_of(in.find_people(), check);
    case v1::ToHub::kHandIn: return hand_in_of(in.hand_in(), check);
    case v1::ToHub::kUseCode: return use_code_of(in.use_code(), check);
    case v1::ToHub::kLetIn: return let_in_of(in.let_in(), check);
    case v1::ToHub::kShutOut: return shut_out_of(in.shut_out(), check);
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

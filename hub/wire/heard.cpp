#include "hub/wire/heard.h"

#include <google/protobuf/stubs/logging.h>

#include "engine/record/canon.h"
#include "hub/wire/heard_parts.h"

namespace honbu {
namespace wire::hears {
namespace {

FrameShown frame(const v1::Frame& in) {
    FrameShown out;
    out.from = Instant{in.from()};
    out.why = static_cast<Happening>(in.why());
    out.phase = static_cast<Phase>(in.phase());
    out.golden = in.golden_score();
    out.time_up = in.time_up();
    out.clock_running = in.clock().running();
    out.clock_down = in.clock().down();
    out.clock = Duration{in.clock().ms()};
    if (in.has_hold()) {
        out.hold_on = true;
        out.hold_by = static_cast<Side>(in.hold().by());
        out.hold_running = in.hold().running();
        out.hold = Duration{in.hold().ms()};
        out.hold_reached = small(static_cast<std::uint32_t>(in.hold().reached()));
    }
    out.white = board_side(in.white());
    out.blue = board_side(in.blue());
    out.winner = static_cast<Winner>(in.winner());
    out.way = static_cast<Way>(in.way());
    out.words = in.words();
    out.regular = Duration{in.regular_ms()};
    out.limit = Duration{in.limit_ms()};
    out.decided = in.decided();
    out.review = in.review();
    out.signal_waits = in.signal_waits();
    if (in.has_past_hold()) {
        out.past_hold = true;
        out.past_hold_by = static_cast<Side>(in.past_hold().by());
        out.past_hold_value = Duration{in.past_hold().ms()};
    }
    if (in.has_absence()) {
        out.absent = Sides{small(static_cast<std::uint32_t>(in.absence().who()))};
        out.absent_calls = small(in.absence().calls());
        out.absent_running = in.absence().running();
        out.absent_left = Duration{in.absence().left_ms()};
        out.absent_over = in.absence().over();
    }
    return out;
}

MatView view(const v1::MatView& in) {
    MatView out;
    out.mat = mat_id(in.mat());
    out.number = RecordNumber{in.number()};
    out.table = static_cast<TableLine>(in.table());
    out.has_bout = in.has_bout();
    if (in.has_bout()) out.bout = head(in.bout());
    for (const auto& each : in.frames())
        out.frames.push_back(frame(each));
    for (const auto& each : in.next())
        out.next.push_back(head(each));
    return out;
}

Heard welcome(const v1::Welcome& in) {
    Welcome out;
    out.schema = in.schema();
    out.epoch = Epoch{name(in.epoch())};
    out.number = RecordNumber{in.number()};
    out.now = Instant{in.hub_ms()};
    out.rehearsal_rate = in.rehearsal_rate();
    out.title = in.title();
    for (const std::uint32_t mat : in.mats())
        out.mats.push_back(mat_id(mat));
    for (const auto& run : in.runs())
        out.runs.push_back({RunId{name(run.run())}, CallNumber{run.last()}});
    out.fold_version = in.fold_version();
    out.hash = name(in.hash());
    out.missing = in.missing();
    out.differs = in.differs();
    for (const auto& epoch : in.earlier_epochs())
        out.earlier.push_back(Epoch{name(epoch)});
    out.public_names = static_cast<PublicNames>(in.public_names());
    out.anyone = in.anyone();
    out.mat = mat_id(in.mat());
    return out;
}

Heard allotment(const v1::Allotment& in) {
    Allotment out;
    out.mat = mat_id(in.mat());
    out.term = Term{in.term()};
    for (const auto& bytes : in.rules()) {
        const auto rules = decode_rules(bytes);
        if (!rules) return Unreadable{};
        out.rules.push_back(*rules);
    }
    for (const auto& bout : in.bouts()) {
        BoutGiven given;
        given.rules = bout.rules();
        if (given.rules >= out.rules.size()) return Unreadable{};
        const RuleSet& rules = out.rules[given.rules];
        given.head.bout = BoutId{bout.bout()};
        given.head.category = bout.category();
        given.head.round = bout.round();
        given.head.white = seat(bout.white());
        given.head.blue = seat(bout.blue());
        put_rules(rules, given.head);
        given.time = Duration{bout.time_ms()};
        given.golden = Duration{bout.golden_ms()};
        given.confirmed = bout.confirmed();
        given.at_desk = bout.at_desk();
        for (const v1::CallRef& gone : bout.gone())
            given.gone.push_back(call_id(gone));
        for (const auto& bytes : bout.calls()) {
            const auto call = decode_call(bytes);
            if (!call) return Unreadable{};
            given.calls.push_back(*call);
        }
        out.bouts.push_back(std::move(given));
    }
    for (const auto& clock : in.clocks()) {
        out.clocks.push_back(
            {RunId{name(clock.run())}, Instant{clock.run_ms()}, Instant{clock.hub_ms()}});
    }
    return out;
}

}  // namespace
}  // namespace wire::hears

namespace hears = wire::hears;

Heard heard(const std::string& bytes) {
    // As in from_wire: no lines of protobuf's own about texts that are not UTF-8.
    const google::protobuf::LogSilencer quiet;
    v1::ToClient message;
    if (!message.ParseFromString(bytes)) return Unreadable{};
    switch (message.kind_case()) {
    case v1::ToClient::kWelcome: return hears::welcome(message.welcome());
    case v1::ToClient::kClockAnswer:
        return ClockAnswer{message.clock_answer().sent(), Instant{message.clock_answer().hub_ms()}};
    case v1::ToClient::kAllotment: return hears::allotment(message.allotment());
    case v1::ToClient::kVerdict: {
        const v1::Verdict& in = message.verdict();
        return VerdictGiven{hears::call_id(in.call()), static_cast<Verdict>(in.kind()),
                            RecordNumber{in.record()}, in.state_differs()};
    }
    case v1::ToClient::kRefusal: {
        const v1::Refusal& in = message.refusal();
        return Refusal{static_cast<Cause>(in.reason()), in.words(), in.has_call(),
                       in.has_call() ? hears::call_id(in.call()) : CallId{}, in.request()};
    }
    case v1::ToClient::kMat: return hears::view(message.mat());
    case v1::ToClient::kFinished: return hears::finished(message.finished());
    case v1::ToClient::kHeartbeat: return Heartbeat{};
    case v1::ToClient::kGoodbye: {
        const v1::Goodbye& in = message.goodbye();
        return Goodbye{static_cast<Cause>(in.reason()), in.words(), in.come_back()};
    }
    case v1::ToClient::kMatLost: {
        const v1::MatLost& in = message.mat_lost();
        return MatLost{hears::mat_id(in.mat()), Term{in.term()}, in.words(), in.left()};
    }
    case v1::ToClient::kAsked: return hears::asked(message.asked());
    case v1::ToClient::kAskAnswered: return hears::ask_answered(message.ask_answered());
    case v1::ToClient::kDone: {
        const v1::Done& in = message.done();
        return Done{in.request(), RecordNumber{in.record()}, in.words()};
    }
    case v1::ToClient::kReopened: return hears::reopened(message.reopened());
    case v1::ToClient::kCallList: return hears::call_list(message.call_list());
    case v1::ToClient::kSheet: return hears::sheet(message.sheet());
    case v1::ToClient::kTables: return hears::tables(message.tables());
    case v1::ToClient::kSetAside: return hears::set_aside(message.set_aside());
    case v1::ToClient::kDoor: return hears::door(message.door());
    case v1::ToClient::kAtTheDoor:
        return AtTheDoor{message.at_the_door().code(), message.at_the_door().takes_code()};
    case v1::ToClient::kRecord: return hears::record(message.record());
    case v1::ToClient::kRenamed: {
        const v1::Renamed& in = message.renamed();
        return Renamed{RecordNumber{in.number()}, PersonId{in.person()}, in.name()};
    }
    case v1::ToClient::kPeopleFound: return hears::people_found(message.people_found());
    case v1::ToClient::KIND_NOT_SET: break;
    }
    return Unreadable{};
}

}  // namespace honbu

#include "hub/wire/heard.h"

#include "engine/record/canon.h"
#include "honbu/v1/hub.pb.h"

namespace honbu {
namespace wire {
namespace {

std::uint64_t name(const std::string& text) {
    return text.empty() ? 0 : std::stoull(text, nullptr, 16);
}
CallId call_id(const v1::CallRef& ref) {
    return CallId{RunId{name(ref.run())}, CallNumber{ref.number()}};
}
MatId mat_id(std::uint32_t value) { return MatId{static_cast<std::uint16_t>(value)}; }

Seat seat(const v1::Seat& in) {
    Seat out;
    out.person = PersonId{in.person()};
    out.name = in.name();
    out.club = in.club();
    out.from = in.from() == v1::Seat::FROM_PERSON      ? Slot::From::person
               : in.from() == v1::Seat::FROM_WINNER_OF ? Slot::From::winner_of
                                                       : Slot::From::loser_of;
    out.from_bout = BoutId{in.from_bout()};
    return out;
}

BoutHead head(const v1::BoutHead& in) {
    BoutHead out;
    out.bout = BoutId{in.bout()};
    out.category = in.category();
    out.round = in.round();
    out.white = seat(in.white());
    out.blue = seat(in.blue());
    out.white_word = in.white_word();
    out.blue_word = in.blue_word();
    for (const int level : in.levels())
        out.levels.push_back(static_cast<Level>(level));
    return out;
}

std::uint8_t small(std::uint32_t value) { return static_cast<std::uint8_t>(value); }

BoardSide board_side(const v1::BoardSide& in) {
    BoardSide out;
    out.score[index(Level::ippon)] = small(in.ippon());
    out.score[index(Level::waza_ari)] = small(in.waza_ari());
    out.score[index(Level::yuko)] = small(in.yuko());
    out.score[index(Level::koka)] = small(in.koka());
    out.shido = small(in.shido());
    out.hansoku_make = in.hansoku_make();
    return out;
}

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

Result result(const v1::Result& in) {
    Result out;
    out.winner = static_cast<Winner>(in.winner());
    out.way = static_cast<Way>(in.way());
    out.means = static_cast<Means>(in.means());
    out.flags = small(in.flags());
    out.golden_score = in.golden_score();
    out.decided = Duration{in.decided_ms()};
    out.stopped = Duration{in.stopped_ms()};
    out.regular = Duration{in.regular_ms()};
    out.golden = Duration{in.golden_ms()};
    out.white = board_side(in.white());
    out.blue = board_side(in.blue());
    out.points = small(in.points());
    out.names_exchanged = in.names_exchanged();
    out.administrative = in.administrative();
    for (std::size_t i = 0; i < out.rules_hash.size() && i < in.rules_hash().size(); ++i)
        out.rules_hash[i] = static_cast<std::uint8_t>(in.rules_hash()[i]);
    out.fold_version = in.fold_version();
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
        given.head.white_word = rules.white_word;
        given.head.blue_word = rules.blue_word;
        given.head.levels = board_levels(rules);
        given.time = Duration{bout.time_ms()};
        given.golden = Duration{bout.golden_ms()};
        given.confirmed = bout.confirmed();
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
}  // namespace wire

Heard heard(const std::string& bytes) {
    v1::ToClient message;
    if (!message.ParseFromString(bytes)) return Unreadable{};
    switch (message.kind_case()) {
    case v1::ToClient::kWelcome: return wire::welcome(message.welcome());
    case v1::ToClient::kClockAnswer:
        return ClockAnswer{message.clock_answer().sent(), Instant{message.clock_answer().hub_ms()}};
    case v1::ToClient::kAllotment: return wire::allotment(message.allotment());
    case v1::ToClient::kVerdict: {
        const v1::Verdict& in = message.verdict();
        return VerdictGiven{wire::call_id(in.call()), static_cast<Verdict>(in.kind()),
                            RecordNumber{in.record()}, in.state_differs()};
    }
    case v1::ToClient::kRefusal: {
        const v1::Refusal& in = message.refusal();
        return Refusal{static_cast<Cause>(in.reason()), in.words(), in.has_call(),
                       in.has_call() ? wire::call_id(in.call()) : CallId{}};
    }
    case v1::ToClient::kMat: return wire::view(message.mat());
    case v1::ToClient::kFinished: {
        const v1::Finished& in = message.finished();
        return Finished{RecordNumber{in.number()},
                        wire::mat_id(in.mat()),
                        wire::head(in.bout()),
                        wire::result(in.result()),
                        in.words(),
                        Instant{in.confirmed_ms()}};
    }
    case v1::ToClient::kHeartbeat: return Heartbeat{};
    case v1::ToClient::kGoodbye: {
        const v1::Goodbye& in = message.goodbye();
        return Goodbye{static_cast<Cause>(in.reason()), in.words(), in.come_back()};
    }
    case v1::ToClient::kMatLost: {
        const v1::MatLost& in = message.mat_lost();
        return MatLost{wire::mat_id(in.mat()), Term{in.term()}, in.words()};
    }
    case v1::ToClient::KIND_NOT_SET: break;
    }
    return Unreadable{};
}

}  // namespace honbu

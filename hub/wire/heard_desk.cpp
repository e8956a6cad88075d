// What the desk, call boards and readers of results and sheets hear.
#include "hub/wire/heard_parts.h"
#include "hub/wire/parts.h"

namespace honbu::wire::hears {
namespace {

Verdict verdict(v1::Verdict::Kind kind) { return static_cast<Verdict>(kind); }

SheetLine line(const v1::SheetLine& in) {
    SheetLine out;
    out.elapsed = Duration{in.elapsed_ms()};
    out.golden = in.golden_score();
    out.why = static_cast<Happening>(in.why());
    out.call = in.call();
    out.side = Sides{small(static_cast<std::uint32_t>(in.side()))};
    out.reason = static_cast<Reason>(in.reason());
    out.words = in.words();
    out.white = board_side(in.white());
    out.blue = board_side(in.blue());
    return out;
}

SetAside::OfBout waiting(const v1::SetAside::OfBout& in, Check& check) {
    SetAside::OfBout out;
    out.device = DeviceId{name(in.device())};
    out.hand = in.hand();
    out.mat = mat_id(in.mat());
    out.bout = BoutId{in.bout()};
    if (in.has_head()) out.head = head(in.head());
    out.typed_white = in.typed().white();
    out.typed_blue = in.typed().blue();
    out.typed_note = in.typed().note();
    for (const auto& item : in.calls()) {
        out.calls.push_back({call_of(item.call(), check), RecordNumber{item.record()},
                             verdict(item.kind()), Instant{item.at()}});
    }
    return out;
}

}  // namespace

Heard asked(const v1::Asked& in) {
    Asked out;
    out.ask = in.ask();
    out.mat = mat_id(in.mat());
    out.by_desk = in.by_desk();
    out.hand = in.hand();
    out.about = static_cast<About>(in.about());
    out.words = in.words();
    out.at = Instant{in.at()};
    return out;
}

Heard people_found(const v1::PeopleFound& in) {
    PeopleFound out;
    out.request = in.request();
    for (const v1::PeopleFound::One& each : in.people()) {
        PeopleFound::One one{PersonId{each.person()},
                             BoutId{each.typed()},
                             each.name(),
                             each.club(),
                             each.erased(),
                             {}};
        for (const std::uint32_t bout : each.bouts())
            one.bouts.push_back(BoutId{bout});
        out.people.push_back(std::move(one));
    }
    out.more = in.more();
    return out;
}

Heard ask_answered(const v1::AskAnswered& in) {
    return AskAnswered{in.ask(), static_cast<Answered>(in.how()), in.hand(), in.words(),
                       in.shown_to()};
}

Finished finished(const v1::Finished& in) {
    Finished out;
    out.number = RecordNumber{in.number()};
    out.mat = mat_id(in.mat());
    out.bout = head(in.bout());
    out.result = result(in.result());
    out.words = in.words();
    out.confirmed = Instant{in.confirmed_ms()};
    out.from = static_cast<ResultFrom>(in.from());
    out.replaces = RecordNumber{in.replaces()};
    out.unlike_calls = in.unlike_calls();
    // An item inside an item holds no third one, whatever a message may say.
    if (in.has_also() && !in.also().has_also()) out.also.push_back(finished(in.also()));
    if (in.has_no_result()) out.no_result.push_back(reopened(in.no_result()));
    return out;
}

Reopened reopened(const v1::Reopened& in) {
    return Reopened{RecordNumber{in.number()}, mat_id(in.mat()), BoutId{in.bout()},
                    RecordNumber{in.replaces()}};
}

Heard call_list(const v1::CallList& in) {
    CallList out;
    out.number = RecordNumber{in.number()};
    for (const auto& each : in.mats()) {
        CallList::OnMat mat;
        mat.mat = mat_id(each.mat());
        mat.table = static_cast<TableLine>(each.table());
        if (each.has_on()) mat.on = head(each.on());
        mat.phase = static_cast<Phase>(each.phase());
        for (const auto& next : each.next())
            mat.next.push_back(head(next));
        out.mats.push_back(std::move(mat));
    }
    return out;
}

Heard sheet(const v1::BoutSheet& in) {
    BoutSheet out;
    out.number = RecordNumber{in.number()};
    out.mat = mat_id(in.mat());
    out.bout = head(in.bout());
    out.rules = in.rules();
    out.time = Duration{in.time_ms()};
    out.golden = Duration{in.golden_ms()};
    out.phase = static_cast<Phase>(in.phase());
    out.has_result = in.has_result();
    if (in.has_result()) out.result = result(in.result());
    out.words = in.words();
    for (const auto& each : in.lines())
        out.lines.push_back(line(each));
    out.changed = RecordNumber{in.changed()};
    out.result_number = RecordNumber{in.result_number()};
    out.at_desk = in.at_desk();
    return out;
}

Heard tables(const v1::Tables& in) {
    Tables out;
    out.mirror = Mirrored{static_cast<Mirrored::How>(in.mirror().how()), in.mirror().behind(),
                          in.mirror().words()};
    out.damage = in.damage();
    out.number = RecordNumber{in.number()};
    out.missing = in.missing();
    for (const auto& each : in.mats()) {
        Tables::OfMat mat;
        mat.mat = mat_id(each.mat());
        mat.line = static_cast<TableLine>(each.line());
        mat.device = DeviceId{name(each.device())};
        mat.hand = each.hand();
        mat.term = Term{each.term()};
        mat.taken = Instant{each.taken()};
        mat.measured = each.measured();
        mat.offset_ms = each.offset_ms();
        mat.round_trip_ms = each.round_trip_ms();
        mat.differs = each.differs();
        mat.watching = each.watching();
        out.mats.push_back(std::move(mat));
    }
    return out;
}

Heard set_aside(const v1::SetAside& in) {
    Check check;
    SetAside out;
    out.number = RecordNumber{in.number()};
    out.more = in.more();
    for (const auto& bout : in.bouts())
        out.bouts.push_back(waiting(bout, check));
    if (!check.good()) return Unreadable{};
    return out;
}

Heard door(const v1::Door& in) {
    Door out;
    out.number = RecordNumber{in.number()};
    out.anyone = in.anyone();
    for (const auto& each : in.waiting()) {
        out.waiting.push_back({DeviceId{name(each.device())}, each.code(),
                               static_cast<Role>(each.role()), each.hand(), each.page(),
                               Instant{each.since()}, each.shut_out()});
    }
    for (const auto& each : in.inside()) {
        out.inside.push_back({DeviceId{name(each.device())}, static_cast<Right>(each.right()),
                              mat_id(each.mat()), Instant{each.until()}, each.hand(),
                              each.connected()});
    }
    return out;
}

Heard record(const v1::Record& in) {
    Check check;
    HeardRecord out;
    out.number = RecordNumber{in.number()};
    out.received = Instant{in.received()};
    out.device = DeviceId{name(in.device())};
    out.hand = in.hand();
    out.verdict = verdict(in.verdict());
    out.words = in.words();
    if (in.has_call()) out.call = call_of(in.call(), check);
    out.bytes = in.bytes();
    out.hash = name(in.hash());
    if (!check.good()) return Unreadable{};
    return out;
}

}  // namespace honbu::wire::hears

// What only the desk is shown: how the tables stand, calls that wait for a decision, every record.
#include "engine/record/canon.h"
#include "engine/view/json.h"
#include "hub/wire/parts.h"
#include "hub/wire/wire.h"
#include "hub/words/call_words.h"

namespace honbu {
namespace wire {
namespace {

constexpr std::size_t hash_digits = 16;  // the first 8 bytes

v1::Verdict::Kind verdict_number(Verdict verdict) {
    return static_cast<v1::Verdict::Kind>(verdict);
}

// With the bout's own words for the sides; another call of the run goes by its number.
TellCalls telling(const SetAside::OfBout& bout) {
    TellCalls tell;
    if (bout.head) {
        tell.white = bout.head->white_word;
        tell.blue = bout.head->blue_word;
    }
    tell.name = [](CallId call) { return "call " + std::to_string(call.number.value); };
    return tell;
}

void put_bout(const SetAside::OfBout& bout, v1::SetAside::OfBout& out) {
    out.set_device(optional_name_text(bout.device.value));
    out.set_hand(bout.hand);
    out.set_mat(bout.mat.value);
    out.set_bout(bout.bout.value);
    if (bout.head) put(*bout.head, *out.mutable_head());
    const Typed typed{bout.typed_white, bout.typed_blue, bout.typed_note};
    if (!typed.white.empty() || !typed.blue.empty() || !typed.note.empty()) {
        put(typed, *out.mutable_typed());
    }
    const TellCalls tell = telling(bout);
    for (const SetAside::Item& each : bout.calls) {
        v1::SetAside::Item& item = *out.add_calls();
        put(each.call, *item.mutable_call());
        item.set_record(each.record.value);
        item.set_kind(verdict_number(each.verdict));
        item.set_at(each.at.ms);
        item.set_words(call_words(each.call.what, tell));
    }
}

}  // namespace

void put(const Typed& typed, v1::Typed& out) {
    out.set_white(typed.white);
    out.set_blue(typed.blue);
    out.set_note(typed.note);
}

void put(const Tables& tables, v1::Tables& out) {
    out.set_number(tables.number.value);
    out.set_missing(tables.missing);
    v1::Tables::Mirror& mirror = *out.mutable_mirror();
    mirror.set_how(static_cast<v1::Tables::Mirror::How>(tables.mirror.how));
    mirror.set_behind(tables.mirror.behind);
    mirror.set_words(tables.mirror.words);
    out.set_damage(tables.damage);
    for (const Tables::OfMat& each : tables.mats) {
        v1::Tables::OfMat& mat = *out.add_mats();
        mat.set_mat(each.mat.value);
        mat.set_line(static_cast<v1::TableLine>(each.line));
        mat.set_device(optional_name_text(each.device.value));
        mat.set_hand(each.hand);
        mat.set_term(each.term.value);
        mat.set_taken(each.taken.ms);
        mat.set_measured(each.measured);
        mat.set_offset_ms(each.offset_ms);
        mat.set_round_trip_ms(each.round_trip_ms);
        mat.set_differs(each.differs);
        mat.set_watching(each.watching);
    }
}

void put(const SetAside& waiting, v1::SetAside& out) {
    out.set_number(waiting.number.value);
    out.set_more(waiting.more);
    for (const SetAside::OfBout& bout : waiting.bouts)
        put_bout(bout, *out.add_bouts());
}

}  // namespace wire

std::string to_wire(const Tables& tables) {
    v1::ToClient out;
    wire::put(tables, *out.mutable_tables());
    return out.SerializeAsString();
}

std::string to_wire(const SetAside& waiting) {
    v1::ToClient out;
    wire::put(waiting, *out.mutable_set_aside());
    return out.SerializeAsString();
}

std::string record_to_wire(const Record& record, std::string_view canonical_bytes,
                           std::string_view words) {
    v1::ToClient message;
    v1::Record& out = *message.mutable_record();
    out.set_number(record.number.value);
    out.set_received(record.received.ms);
    out.set_device(wire::optional_name_text(record.device.value));
    out.set_hand(record.hand);
    out.set_verdict(wire::verdict_number(record.verdict));
    out.set_words(std::string(words));
    if (const Call* call = std::get_if<Call>(&record.fact)) wire::put(*call, *out.mutable_call());
    out.set_bytes(std::string(canonical_bytes));
    out.set_hash(hex(sha256(canonical_bytes)).substr(0, wire::hash_digits));
    return message.SerializeAsString();
}

}  // namespace honbu

// The table as text for the page; layout in docs/table.md, section 3.
#include "engine/table/keys.h"
#include "engine/table/table.h"
#include "engine/view/json.h"

namespace honbu {
namespace {

std::string_view text(Fit fit) {
    switch (fit) {
    case Fit::usual: return "usual";
    case Fit::unusual: return "unusual";
    case Fit::impossible: return "impossible";
    }
    return "";
}

std::string_view text(Verdict verdict) {
    switch (verdict) {
    case Verdict::none: return "none";
    case Verdict::applied: return "applied";
    case Verdict::without_effect: return "without_effect";
    case Verdict::set_aside: return "set_aside";
    }
    return "";
}

std::string_view text(Standing standing) {
    switch (standing) {
    case Standing::counts: return "counts";
    case Standing::struck: return "struck";
    case Standing::without_effect: return "without_effect";
    }
    return "";
}

std::string_view text(Table::Charge charge) {
    switch (charge) {
    case Table::Charge::none: return "none";
    case Table::Charge::in_charge: return "in_charge";
    case Table::Charge::lost: return "lost";
    }
    return "";
}

std::string_view text(Sides sides) {
    if (sides == both_sides()) return "both";
    if (sides.has(Side::white)) return "white";
    if (sides.has(Side::blue)) return "blue";
    return "none";
}

std::string seat_text(const Seat& seat) {
    if (!seat.name.empty()) return seat.name;
    const std::string bout = std::to_string(seat.from_bout.value);
    switch (seat.from) {
    case Slot::From::person: return "";
    case Slot::From::winner_of: return "winner of bout " + bout;
    case Slot::From::loser_of: return "loser of bout " + bout;
    }
    return "";
}

}  // namespace

std::string Table::json_calls(const BoutGiven& bout, Instant now) const {
    const Conditions rules = under(bout);
    const Folded folded = fold(rules, bout.calls, Timeline(bout.calls).place(run_, now));
    JsonWriter json;
    json.begin_array();
    for (std::size_t i = 0; i < bout.calls.size(); ++i) {
        const Call& call = bout.calls[i];
        const Place& place = folded.places[i];
        const Kept* here = kept(call.id);
        std::string what = words_for(rules.rules, call.what);
        if (const auto* strike = std::get_if<Strike>(&call.what)) {
            for (const Call& other : bout.calls) {
                if (other.id == strike->call) what += ": " + words_for(rules.rules, other.what);
            }
        }
        json.begin_object();
        json.name("run", call.id.run.value);
        json.number("number", call.id.number.value);
        json.text("words", what);
        json.text("side", text(sides_of(call.what)));
        json.text("clock", clock_text(place.contest));
        json.flag("golden", place.golden);
        json.text("standing", text(place.standing));
        json.flag("saved", here == nullptr || here->saved);
        json.text("verdict", text(here == nullptr ? Verdict::applied : here->verdict));
        const bool can = !std::holds_alternative<Joint>(call.what) &&
                         !std::holds_alternative<Called>(call.what) &&
                         !refusal(rules, bout.calls, folded.state, Strike{call.id});
        json.flag("strikable", can && charge_ == Charge::in_charge);
        json.end_object();
    }
    json.end_array();
    return json.take();
}

std::string Table::json_bouts() const {
    JsonWriter json;
    json.begin_array();
    for (const BoutGiven& bout : allotment_.bouts) {
        json.begin_object();
        json.number("bout", bout.head.bout.value);
        json.text("category", bout.head.category);
        json.text("round", bout.head.round);
        json.text("white", seat_text(bout.head.white));
        json.text("blue", seat_text(bout.head.blue));
        json.text("state", confirmed(bout)      ? "confirmed"
                           : bout.calls.empty() ? "waiting"
                                                : "begun");
        json.end_object();
    }
    json.end_array();
    return json.take();
}

std::string Table::json(Instant now) const {
    JsonWriter json;
    json.begin_object();
    json.text("charge", text(charge_));
    json.flag("line", line_up_);
    json.number("mat", allotment_.mat.value);
    json.number("term", allotment_.term.value);
    json.text("hand", hand_);
    json.number("unsent", static_cast<std::uint32_t>(unsent()));
    std::uint32_t unsaved = 0;
    for (const Kept& k : kept_)
        unsaved += k.saved ? 0 : 1;
    json.number("unsaved", unsaved);
    json.text("notice", notice_);
    json.text("warning", warning_);
    json.raw("view", to_json(view()));

    std::string start;
    std::string readback;
    json.begin_array("keys");
    if (const BoutGiven* bout = current_ ? given(*current_) : nullptr; bout != nullptr) {
        const State state = state_at(*bout, now);
        const Conditions rules = under(*bout);
        if (const auto what = what_for("start", state, {})) start = word(*what);
        if (state.phase == Phase::announced) {
            readback = "Bout " + std::to_string(bout->head.bout.value) + ": " +
                       words(rules.rules, result_of(rules, state, state.contest.since)) + ".";
            const Winner who = state.decision.winner;
            if (who == Winner::white || who == Winner::blue) {
                readback += " Winner: " +
                            seat_text(who == Winner::white ? bout->head.white : bout->head.blue) +
                            ".";
            }
        }
        for (const Key& key : keys(rules, bout->calls, state)) {
            json.begin_object();
            json.text("id", key.id);
            json.text("words", key.words);
            json.text("fit", text(key.fit));
            json.text("why", key.why);
            json.end_object();
        }
    }
    json.end_array();
    json.text("start", start);
    json.text("readback", readback);

    const BoutGiven* bout = current_ ? given(*current_) : nullptr;
    json.raw("calls", bout != nullptr ? json_calls(*bout, now) : "[]");
    json.raw("bouts", json_bouts());
    json.end_object();
    return json.take();
}

}  // namespace honbu

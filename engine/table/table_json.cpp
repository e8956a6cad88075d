// The table as text for the page; layout in docs/table.md, section 3.
#include <algorithm>

#include "engine/bout/text.h"
#include "engine/table/pressed.h"
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
    const std::uint32_t bout = seat.from_bout.value;
    switch (seat.from) {
    case Slot::From::person: return "";
    case Slot::From::winner_of: return Text() << "winner of bout " << bout;
    case Slot::From::loser_of: return Text() << "loser of bout " << bout;
    }
    return "";
}

void put(JsonWriter& json, const char* name, const std::vector<Argument>& list) {
    json.begin_array(name);
    for (const Argument& each : list) {
        json.begin_object();
        json.text("id", each.id);
        json.text("words", each.words);
        json.end_object();
    }
    json.end_array();
}

void put(JsonWriter& json, const char* name, CallId id) {
    json.begin_object(name);
    json.name("run", id.run.value);
    json.number("number", id.number.value);
    json.end_object();
}

const Call* find(const std::vector<Call>& calls, CallId id) {
    const auto found = std::find_if(calls.begin(), calls.end(),
                                    [id](const Call& call) { return call.id == id; });
    return found == calls.end() ? nullptr : &*found;
}

// The calls as corrections leave them.
std::vector<What> as_corrected(const Conditions& under, const std::vector<Call>& calls) {
    std::vector<What> is(calls.size());
    for (Step& step : steps(under, calls, Instant{0xffffffffU})) {
        if (step.call) is[*step.call] = std::move(step.what);
    }
    return is;
}

// What was done to which call: "strike: waza-ari white".
std::string call_words(const RuleSet& rules, const std::vector<Call>& calls,
                       const std::vector<What>& is, const Call& call) {
    const CallId* about = refers_to(call.what);
    const Call* target = about == nullptr ? nullptr : find(calls, *about);
    if (target == nullptr) return words_for(rules, is[static_cast<std::size_t>(&call - &calls[0])]);
    const bool strikes = std::holds_alternative<Strike>(call.what);
    if (const auto* again = std::get_if<Strike>(&target->what); again != nullptr && strikes) {
        const Call* back = find(calls, again->call);
        if (back != nullptr)
            return Text() << "brought back: " << call_words(rules, calls, is, *back);
    }
    if (const auto* replace = std::get_if<Replace>(&call.what)) {
        return Text() << words_for(rules, target->what) << " changed to "
                      << words_for(rules, what(replace->by));
    }
    return Text() << (strikes ? "strike: " : "moved: ") << call_words(rules, calls, is, *target);
}

// The strike that stands and names this call.
const Call* striker(const std::vector<Call>& calls, const Folded& folded, CallId id) {
    for (std::size_t i = calls.size(); i-- > 0;) {
        const auto* strike = std::get_if<Strike>(&calls[i].what);
        if (strike == nullptr || strike->call != id) continue;
        if (folded.places[i].standing == Standing::counts) return &calls[i];
    }
    return nullptr;
}

std::string at_words(const Place& place) {
    return Text() << (place.golden ? "golden score " : "") << clock_text(place.contest);
}

}  // namespace

void Table::json_calls(JsonWriter& json, const BoutGiven& bout, const Folded& folded) const {
    const Conditions rules = under(bout);
    const std::vector<What> is = as_corrected(rules, bout.calls);
    const bool open = charge_ == Charge::in_charge && folded.state.phase < Phase::announced;
    json.begin_array("calls");
    for (std::size_t i = 0; i < bout.calls.size(); ++i) {
        const Call& call = bout.calls[i];
        const Place& place = folded.places[i];
        const Kept* here = kept(call.id);
        const bool struck = place.standing == Standing::struck;
        const bool corrects = refers_to(call.what) != nullptr;
        json.begin_object();
        json.name("run", call.id.run.value);
        json.number("number", call.id.number.value);
        json.text("words", call_words(rules.rules, bout.calls, is, call));
        // As it was called, if a correction made something else of it.
        const std::string was = words_for(rules.rules, call.what);
        if (!corrects && was != words_for(rules.rules, is[i])) json.text("was", was);
        json.text("side", text(sides_of(is[i])));
        json.text("clock", clock_text(place.contest));
        json.flag("golden", place.golden);
        json.text("standing", text(place.standing));
        json.text("correction", corrects ? word(call.what) : std::string_view());
        json.text("key", id_for(is[i]));
        json.flag("saved", here == nullptr || here->saved);
        json.text("verdict", text(here == nullptr ? Verdict::applied : here->verdict));
        const Call* by = struck ? striker(bout.calls, folded, call.id) : nullptr;
        if (by != nullptr) put(json, "struckBy", by->id);
        std::vector<Correction> actions;
        if (open && !struck) actions = corrections(rules.rules, call, is[i]);
        put(json, "actions", actions);
        json.end_object();
    }
    json.end_array();
}

std::string Table::json_bouts() const {
    JsonWriter json;
    json.begin_array();
    for (const BoutGiven& bout : allotment_.bouts) {
        const BoutHead head = seats(bout);
        json.begin_object();
        json.number("bout", head.bout.value);
        json.text("category", head.category);
        json.text("round", head.round);
        json.text("white", seat_text(head.white));
        json.text("blue", seat_text(head.blue));
        json.text("state", bout.at_desk         ? "desk"
                           : confirmed(bout)    ? "confirmed"
                           : bout.calls.empty() ? "waiting"
                                                : "begun");
        json.end_object();
    }
    json.end_array();
    return json.take();
}

// What is said in the line of warnings: also that a correction took the ground from a later call.
std::string Table::warning(const BoutGiven& bout, const Folded& folded) const {
    const Conditions rules = under(bout);
    const std::vector<What> is = as_corrected(rules, bout.calls);
    std::string idle;
    for (std::size_t i = 0; i < bout.calls.size(); ++i) {
        if (folded.places[i].standing != Standing::without_effect) continue;
        // What was announced before the bout was opened again is past.
        const What& call = bout.calls[i].what;
        const bool past = std::holds_alternative<Kachi>(call) ||
                          std::holds_alternative<Confirm>(call) ||
                          std::holds_alternative<Accept>(call) ||
                          std::holds_alternative<Reopen>(call);
        if (past) continue;
        if (!idle.empty()) idle += ", ";
        idle += Text() << call_words(rules.rules, bout.calls, is, bout.calls[i]) << " ("
                       << at_words(folded.places[i]) << ")";
    }
    if (idle.empty()) return warning_;
    return Text() << warning_ << (warning_.empty() ? "" : " ")
                  << "After a correction this has no effect: " << idle
                  << ". Set right what it needs, or strike it.";
}

// The bout on the mat: what can be pressed, what is asked, what has been called.
void Table::json_bout(JsonWriter& json, const BoutGiven& bout, Instant now) const {
    const Conditions rules = under(bout);
    const Instant at = Timeline(bout.calls).place(run_, now);
    const Folded folded = fold(rules, bout.calls, at);
    const State& state = folded.state;
    json.text("warning", warning(bout, folded));
    json.text("state", state_word(state));
    if (const auto what = what_for("start", state)) json.text("start", word(*what));
    json.begin_array("keys");
    for (const Key& key : keys(rules, bout.calls, state)) {
        json.begin_object();
        json.text("id", key.id);
        json.text("words", key.words);
        json.text("fit", text(key.fit));
        json.text("why", key.why);
        if (!key.arguments.empty()) put(json, "arguments", key.arguments);
        json.end_object();
    }
    json.end_array();
    json.begin_array("offers");
    for (const Offer& offer : offers(rules, bout.calls, state, at))
        json.text(offer.words);
    json.end_array();
    json.begin_array("prompts");
    for (const std::string& prompt : prompts(rules, state))
        json.text(prompt);
    json.end_array();
    std::string why;
    std::string readback;
    if (state.phase >= Phase::announced) {
        const Result result = result_of(rules, bout.calls, at);
        why = because(rules.rules, result);
        if (state.phase == Phase::announced) {
            readback = Text() << "Bout " << bout.head.bout.value << ": "
                              << words(rules.rules, result) << ".";
            const BoutHead head = seats(bout);
            const Winner who = result.winner;
            if (who == Winner::white || who == Winner::blue) {
                readback += Text()
                            << " Winner: "
                            << seat_text(who == Winner::white ? head.white : head.blue) << ".";
            }
            readback += Text() << " " << why;
        }
    }
    json.text("because", why);
    json.text("readback", readback);
    json_calls(json, bout, folded);
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
    json.raw("view", to_json(view()));
    json.raw("bouts", json_bouts());
    if (const BoutGiven* bout = current_ ? given(*current_) : nullptr; bout != nullptr) {
        json_bout(json, *bout, now);
    } else {
        json.text("warning", warning_);
        for (const char* none : {"state", "start", "because", "readback"})
            json.text(none, "");
        for (const char* none : {"keys", "offers", "prompts", "calls"}) {
            json.begin_array(none);
            json.end_array();
        }
    }
    json.end_object();
    return json.take();
}

}  // namespace honbu

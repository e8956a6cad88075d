#include "engine/table/pressed.h"

#include <algorithm>
#include <array>

#include "engine/bout/text.h"
#include "engine/table/arguments.h"

namespace honbu {
namespace {

constexpr const char* no_such_key = "There is no such key.";

// Splits at the first colon: "shido_white:leg_grab".
std::string_view head(std::string_view key) { return key.substr(0, key.find(':')); }
std::optional<std::string_view> rest(std::string_view key) {
    const std::size_t colon = key.find(':');
    if (colon == key.npos) return std::nullopt;
    return key.substr(colon + 1);
}

// Milliseconds, at most an hour; nothing: something else is written.
std::optional<std::uint32_t> milliseconds(std::string_view text) {
    if (text.empty() || text.size() > 7) return std::nullopt;
    std::uint32_t ms = 0;
    for (const char c : text) {
        if (c < '0' || c > '9') return std::nullopt;
        ms = ms * 10 + static_cast<std::uint32_t>(c - '0');
    }
    if (ms > 3'600'000) return std::nullopt;
    return ms;
}

Pressed no(std::string why) { return {std::nullopt, {}, std::move(why)}; }

// A call from the mat as corrections leave it, and when it takes effect.
struct Stands {
    const Call* call = nullptr;
    What what;
    Instant at;
};

std::optional<Stands> stands(const AtTheMat& at, CallId id) {
    for (const Step& step : steps(at.under, at.calls, Instant{0xffffffffU})) {
        if (!step.call || at.calls[*step.call].id != id) continue;
        return Stands{&at.calls[*step.call], step.what, step.at};
    }
    return std::nullopt;
}

Pressed plain(const AtTheMat& at, std::string_view key) {
    auto what = what_for(head(key), at.state);
    if (!what) return no(no_such_key);
    if (const auto argument = rest(key)) {
        if (std::string why = add_argument(at.under, at.state, *what, *argument); !why.empty()) {
            return no(std::move(why));
        }
    } else if (!needs(*what).empty()) {
        return no(std::string(needs(*what)));
    }
    return {std::move(what), {}, {}};
}

// "back:2000:osaekomi_white"
Pressed back(const AtTheMat& at, std::string_view key) {
    const auto ms = milliseconds(head(key));
    const auto put_in = rest(key);
    if (!ms || !put_in) return no("Say how long ago in milliseconds, and which call.");
    Pressed out = plain(at, *put_in);
    if (!out.what) return out;
    if (!act(*out.what)) return no("Only a call from the mat can be put in afterwards.");
    out.back = Duration{*ms};
    return out;
}

Pressed take_offer(const AtTheMat& at) {
    auto all = offers(at.under, at.calls, at.state, at.now);
    if (all.empty()) return no("Nothing is offered now.");
    Offer& first = all.front();
    const bool corrects = refers_to(first.what) != nullptr;
    return {std::move(first.what), corrects ? Duration{} : at.now - first.at, {}};
}

// "replace:waza_ari_white"
Pressed replace(const AtTheMat& at, const Stands& target, std::string_view key) {
    Pressed by = plain(at, key);
    if (!by.what) return by;
    const auto as = act(*by.what);
    if (!as) return no("A call can only be replaced by another call from the mat.");
    return {Replace{target.call->id, *as}, {}, {}};
}

Pressed give(const Stands& target) {
    const Sides who = sides_of(target.what);
    const auto is = act(target.what);
    if (!is || (who != only(Side::white) && who != only(Side::blue))) {
        return no("That call is not for one of the two: it can't be given to the other.");
    }
    return {Replace{target.call->id, mirrored(*is)}, {}, {}};
}

// "reason:leg_grab"
Pressed reason(const AtTheMat& at, const Stands& target, std::string_view argument) {
    What is = target.what;
    if (!std::holds_alternative<Shido>(is) && !std::holds_alternative<HansokuMake>(is)) {
        return no("Only a penalty has a reason.");
    }
    if (std::string why = add_argument(at.under, at.state, is, argument); !why.empty()) {
        return no(std::move(why));
    }
    return {Replace{target.call->id, *act(is)}, {}, {}};
}

// "move:-500": half a second earlier than it stands now
Pressed move(const AtTheMat& at, const Stands& target, std::string_view by) {
    const auto ms = by.empty() ? std::nullopt : milliseconds(by.substr(1));
    if (!ms || (by[0] != '+' && by[0] != '-')) {
        return no("Say by how many milliseconds, such as +500 or -500.");
    }
    const std::int64_t shift = by[0] == '-' ? -std::int64_t{*ms} : std::int64_t{*ms};
    const std::int64_t to = std::int64_t{target.at.ms} + shift -
                            Timeline(at.calls).shift_ms(target.call->id.run);
    if (to < 0 || to > 0xffffffffLL) return no("That is before the clock of this table began.");
    return {Move{target.call->id, Instant{static_cast<std::uint32_t>(to)}}, {}, {}};
}

constexpr std::array<Level, level_count> all_levels = {Level::ippon, Level::waza_ari, Level::yuko,
                                                       Level::koka};

void add_replacement(std::vector<Correction>& out, const RuleSet& rules, const What& by) {
    out.push_back(
        {Text() << "replace:" << id_for(by), Text() << "it was " << words_for(rules, by)});
}

// Other calls that this one is easily taken for.
void add_replacements(std::vector<Correction>& out, const RuleSet& rules, const What& is) {
    const Sides who = sides_of(is);
    if (const auto* score = std::get_if<Score>(&is)) {
        if (who == both_sides()) {
            add_replacement(out, rules, Score{only(Side::white), score->level});
            add_replacement(out, rules, Score{only(Side::blue), score->level});
            return;
        }
        for (const Level level : all_levels) {
            if (!rules.has(level) || level == score->level) continue;
            add_replacement(out, rules, Score{who, level});
        }
    } else if (std::holds_alternative<Shido>(is)) {
        if (who == both_sides()) {
            add_replacement(out, rules, Shido{only(Side::white)});
            add_replacement(out, rules, Shido{only(Side::blue)});
            return;
        }
        add_replacement(out, rules, HansokuMake{who});
    } else if (std::holds_alternative<HansokuMake>(is)) {
        if (who != both_sides()) add_replacement(out, rules, Shido{who});
    } else if (const auto* win = std::get_if<Submission>(&is)) {
        const Means other = win->means == Means::choke ? Means::submission : Means::choke;
        add_replacement(out, rules, Submission{win->to, other});
    } else if (std::holds_alternative<Toketa>(is)) {
        add_replacement(out, rules, Mate{});
    } else if (std::holds_alternative<Mate>(is)) {
        add_replacement(out, rules, Toketa{});
        add_replacement(out, rules, SonoMama{});
    }
}

}  // namespace

Pressed pressed(const AtTheMat& at, std::string_view key, CallId refers) {
    const std::string_view first = head(key);
    const std::string_view argument = rest(key).value_or("");
    if (first == "offer") return take_offer(at);
    if (first == "back") return back(at, argument);
    if (first == "strike") return {Strike{refers}, {}, {}};
    constexpr std::array<std::string_view, 4> on_a_call = {"replace", "give", "move", "reason"};
    if (std::find(on_a_call.begin(), on_a_call.end(), first) == on_a_call.end()) {
        return plain(at, key);
    }
    const auto target = stands(at, refers);
    if (!target) return no("That call is not one of this bout's.");
    if (first == "replace") return replace(at, *target, argument);
    if (first == "give") return give(*target);
    if (first == "move") return move(at, *target, argument);
    return reason(at, *target, argument);
}

std::vector<Correction> corrections(const RuleSet& rules, const Call& call, const What& is) {
    std::vector<Correction> out;
    // The bout's own frame is not struck: it is opened again, or another bout is called.
    const bool frame = std::holds_alternative<Called>(is) || std::holds_alternative<Joint>(is) ||
                       std::holds_alternative<Kachi>(is) || std::holds_alternative<Confirm>(is) ||
                       std::holds_alternative<Accept>(is) || std::holds_alternative<Reopen>(is);
    if (frame) return out;
    const bool corrects = refers_to(call.what) != nullptr;
    out.push_back({"strike", corrects ? "take this back" : "strike"});
    if (corrects) return out;
    const Sides who = sides_of(is);
    if (who == only(Side::white) || who == only(Side::blue)) {
        const Side to = who.has(Side::white) ? Side::blue : Side::white;
        out.push_back({"give", Text() << "give to " << rules.side_word(to)});
    }
    add_replacements(out, rules, is);
    for (const auto& [by, words] :
         {std::pair{"-1000", "1 s earlier"}, std::pair{"-500", "½ s earlier"},
          std::pair{"+500", "½ s later"}, std::pair{"+1000", "1 s later"}}) {
        out.push_back({Text() << "move:" << by, words});
    }
    if (std::holds_alternative<Shido>(is) || std::holds_alternative<HansokuMake>(is)) {
        out.push_back({"reason", "reason"});
    }
    return out;
}

}  // namespace honbu

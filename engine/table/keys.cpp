#include "engine/table/keys.h"

#include "engine/bout/by_kind.h"
#include "engine/bout/text.h"
#include "engine/table/arguments.h"

namespace honbu {
namespace {

struct Entry {
    std::string_view id;
    What what;
};

constexpr Side w = Side::white;
constexpr Side b = Side::blue;

// The fixed order: the run of a bout first, then what is called for a side, then what is rare.
constexpr Entry entries[] = {
    {"hajime", Hajime{}},
    {"mate", Mate{}},
    {"pause", Pause{}},
    {"sono_mama", SonoMama{}},
    {"yoshi", Yoshi{}},
    {"hold_changed", HoldChanged{}},
    {"toketa", Toketa{}},
    {"sore_made", SoreMade{}},
    {"kachi", Kachi{}},
    {"confirm", Confirm{}},
    {"osaekomi_white", Osaekomi{w}},
    {"osaekomi_blue", Osaekomi{b}},
    {"ippon_white", Score{only(w), Level::ippon}},
    {"ippon_blue", Score{only(b), Level::ippon}},
    {"ippon_both", Score{both_sides(), Level::ippon}},
    {"waza_ari_white", Score{only(w), Level::waza_ari}},
    {"waza_ari_blue", Score{only(b), Level::waza_ari}},
    {"awasete_white", Awasete{w}},
    {"awasete_blue", Awasete{b}},
    {"yuko_white", Score{only(w), Level::yuko}},
    {"yuko_blue", Score{only(b), Level::yuko}},
    {"koka_white", Score{only(w), Level::koka}},
    {"koka_blue", Score{only(b), Level::koka}},
    {"shido_white", Shido{only(w)}},
    {"shido_blue", Shido{only(b)}},
    {"shido_both", Shido{both_sides()}},
    {"hansoku_make_white", HansokuMake{only(w)}},
    {"hansoku_make_blue", HansokuMake{only(b)}},
    {"hansoku_make_both", HansokuMake{both_sides()}},
    {"submission_white", Submission{w, Means::submission}},
    {"submission_blue", Submission{b, Means::submission}},
    {"choke_white", Submission{w, Means::choke}},
    {"choke_blue", Submission{b, Means::choke}},
    {"hantei_white", Award{w, Way::hantei}},
    {"hantei_blue", Award{b, Way::hantei}},
    {"sogo_gachi_white", Award{w, Way::sogo_gachi}},
    {"sogo_gachi_blue", Award{b, Way::sogo_gachi}},
    {"kiken_gachi_white", Award{w, Way::kiken_gachi}},
    {"kiken_gachi_blue", Award{b, Way::kiken_gachi}},
    {"fusen_gachi_white", Award{w, Way::fusen_gachi}},
    {"fusen_gachi_blue", Award{b, Way::fusen_gachi}},
    {"both_lose", BothLose{}},
    {"hiki_wake", HikiWake{}},
    {"absent_white", Absent{only(w)}},
    {"absent_blue", Absent{only(b)}},
    {"absent_both", Absent{both_sides()}},
    {"present", Present{}},
    {"doctor_white", Doctor{w}},
    {"doctor_blue", Doctor{b}},
    {"bleeding_white", Bleeding{w}},
    {"bleeding_blue", Bleeding{b}},
    {"injury_white", Injury{w, Harm::injury}},
    {"injury_blue", Injury{b, Harm::injury}},
    {"illness_white", Injury{w, Harm::illness}},
    {"illness_blue", Injury{b, Harm::illness}},
    {"head_impact_white", Injury{w, Harm::head}},
    {"head_impact_blue", Injury{b, Harm::head}},
    {"unconscious_white", Injury{w, Harm::unconscious}},
    {"unconscious_blue", Injury{b, Harm::unconscious}},
    {"judogi_white", Judogi{only(w)}},
    {"judogi_blue", Judogi{only(b)}},
    {"judogi_both", Judogi{both_sides()}},
    {"review", Review{}},
    {"review_over", ReviewOver{}},
    {"exchange_names", ExchangeNames{}},
    {"set_clock", SetClock{}},
    {"set_hold_white", SetHold{w, {}}},
    {"set_hold_blue", SetHold{b, {}}},
    {"reopen", Reopen{Ground::slip}},
};

What start(const State& state) {
    if (state.phase == Phase::frozen) return Yoshi{};
    return Hajime{};
}

// What ends regular time or golden score without a winner.
bool ends_in(const Conditions& under, Tie tie) {
    return under.rules.tie == tie || (under.golden.ms > 0 && under.rules.golden_tie == tie);
}

bool exists(const Conditions& under, const What& what) {
    const RuleSet& rules = under.rules;
    if (const auto* score = std::get_if<Score>(&what)) return rules.has(score->level);
    if (std::holds_alternative<Awasete>(what)) return rules.two_waza_ari_are_ippon;
    if (std::holds_alternative<Pause>(what)) return rules.clock_runs == ClockRuns::to_pause;
    if (std::holds_alternative<HikiWake>(what)) return ends_in(under, Tie::hiki_wake);
    if (const auto* award = std::get_if<Award>(&what)) {
        if (award->way == Way::hantei) return ends_in(under, Tie::hantei);
        if (award->way == Way::sogo_gachi) return rules.sogo_gachi;
    }
    return true;
}

Key key_for(std::string_view id, const Conditions& under, std::span<const Call> calls,
            const State& state, const What& what) {
    Key key{std::string(id), words_for(under.rules, what), Fit::usual, {}, {}};
    key.arguments = arguments_of(under, what);
    if (auto no = refusal(under, calls, state, what)) {
        key.fit = Fit::impossible;
        key.why = std::move(*no);
    } else if (unusual(under, state, what)) {
        key.fit = Fit::unusual;
    }
    return key;
}

// The calls of one key differ in their arguments only.
bool same_key(const What& one, const What& other) {
    if (one.index() != other.index() || sides_of(one) != sides_of(other)) return false;
    if (const auto* score = std::get_if<Score>(&one)) {
        return score->level == std::get<Score>(other).level;
    }
    if (const auto* award = std::get_if<Award>(&one)) {
        return award->way == std::get<Award>(other).way;
    }
    if (const auto* harm = std::get_if<Injury>(&one)) {
        return harm->harm == std::get<Injury>(other).harm;
    }
    if (const auto* win = std::get_if<Submission>(&one)) {
        return win->means == std::get<Submission>(other).means;
    }
    return true;
}

// What follows the side in words: ": grip on the leg".
struct After {
    std::string operator()(const Shido& c) const { return colon(word(c.reason)); }
    std::string operator()(const HansokuMake& c) const {
        return colon(word(c.of)) + colon(word(c.reason));
    }
    std::string operator()(const Award& c) const {
        if (c.flags == 0) return {};
        return Text() << " " << c.flags << ":" << 3 - c.flags;
    }
    std::string operator()(const Doctor& c) const {
        switch (c.by) {
        case DoctorCall::referee: return {};
        case DoctorCall::athlete: return ": the athlete asked";
        case DoctorCall::doctor: return ": of his or her own accord";
        }
        return {};
    }
    std::string operator()(const Bleeding& c) const { return colon(word(c.site)); }
    std::string operator()(const Injury& c) const {
        switch (c.by) {
        case Blame::not_said: return {};
        case Blame::own: return ": own doing";
        case Blame::other: return ": caused by the other";
        case Blame::unknown: return ": cause not known";
        case Blame::outside: return ": caused from outside";
        }
        return {};
    }
    std::string operator()(const SetHold& c) const {
        if (c.value.ms == 0) return {};
        return Text() << ": " << c.value.ms / 1000 << " s";
    }
    std::string operator()(const Reopen& c) const { return colon(word(c.ground)); }
    template<class Call> std::string operator()(const Call&) const { return {}; }

private:
    static std::string colon(std::string_view words) {
        if (words.empty()) return {};
        return Text() << ": " << words;
    }
};

}  // namespace

std::optional<What> what_for(std::string_view id, const State& state) {
    if (id == "start") return start(state);
    for (const Entry& entry : entries) {
        if (entry.id == id) return entry.what;
    }
    return std::nullopt;
}

std::vector<Key> keys(const Conditions& under, std::span<const Call> calls, const State& state) {
    std::vector<Key> out;
    out.push_back(key_for("start", under, calls, state, start(state)));
    for (const Entry& entry : entries) {
        if (!exists(under, entry.what)) continue;
        Key key = key_for(entry.id, under, calls, state, entry.what);
        if (entry.id == "reopen") key.words = "open again";
        out.push_back(std::move(key));
    }
    return out;
}

std::string_view id_for(const What& what) {
    for (const Entry& entry : entries) {
        if (same_key(entry.what, what)) return entry.id;
    }
    return {};
}

Sides sides_of(const What& what) {
    return by_kind(
        [](const auto& call) -> Sides {
            if constexpr (requires { Sides{call.to}; }) {
                return call.to;
            } else if constexpr (requires { only(call.to); }) {
                return only(call.to);
            } else if constexpr (requires { Sides{call.who}; }) {
                return call.who;
            } else if constexpr (requires { only(call.by); }) {
                return only(call.by);
            } else {
                return {};
            }
        },
        what);
}

std::string words_for(const RuleSet& rules, const What& what) {
    Text text;
    text << word(what);
    const Sides who = sides_of(what);
    if (who == both_sides()) {
        text << " both";
    } else if (who.bits != 0) {
        text << " " << rules.side_word(who.has(w) ? w : b);
    }
    // The site stands for itself where nothing else was said.
    if (const auto* bleeding = std::get_if<Bleeding>(&what);
        bleeding != nullptr && bleeding->site == Site::other) {
        return text;
    }
    return text << by_kind(After{}, what);
}

}  // namespace honbu

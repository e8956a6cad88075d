#include "engine/table/keys.h"

namespace honbu {
namespace {

struct Entry {
    std::string_view id;
    What what;
};

// The fixed order: the run of a bout first, then each side's calls, then both.
const std::vector<Entry>& entries() {
    static const std::vector<Entry> all = [] {
        std::vector<Entry> list = {
            {"hajime", Hajime{}}, {"mate", Mate{}},       {"sono_mama", SonoMama{}},
            {"yoshi", Yoshi{}},   {"toketa", Toketa{}},   {"sore_made", SoreMade{}},
            {"kachi", Kachi{}},   {"confirm", Confirm{}},
        };
        const Side w = Side::white;
        const Side b = Side::blue;
        list.insert(list.end(), {
                                    {"osaekomi_white", Osaekomi{w}},
                                    {"osaekomi_blue", Osaekomi{b}},
                                    {"ippon_white", Score{w, Level::ippon}},
                                    {"ippon_blue", Score{b, Level::ippon}},
                                    {"waza_ari_white", Score{w, Level::waza_ari}},
                                    {"waza_ari_blue", Score{b, Level::waza_ari}},
                                    {"yuko_white", Score{w, Level::yuko}},
                                    {"yuko_blue", Score{b, Level::yuko}},
                                    {"koka_white", Score{w, Level::koka}},
                                    {"koka_blue", Score{b, Level::koka}},
                                    {"shido_white", Shido{only(w)}},
                                    {"shido_blue", Shido{only(b)}},
                                    {"shido_both", Shido{both_sides()}},
                                    {"hansoku_make_white", HansokuMake{only(w)}},
                                    {"hansoku_make_blue", HansokuMake{only(b)}},
                                    {"hansoku_make_both", HansokuMake{both_sides()}},
                                    {"submission_white", Submission{w}},
                                    {"submission_blue", Submission{b}},
                                    {"hantei_white", Award{w, Way::hantei}},
                                    {"hantei_blue", Award{b, Way::hantei}},
                                    {"kiken_gachi_white", Award{w, Way::kiken_gachi}},
                                    {"kiken_gachi_blue", Award{b, Way::kiken_gachi}},
                                    {"fusen_gachi_white", Award{w, Way::fusen_gachi}},
                                    {"fusen_gachi_blue", Award{b, Way::fusen_gachi}},
                                });
        return list;
    }();
    return all;
}

What start(const State& state) {
    if (state.phase == Phase::frozen) return Yoshi{};
    return Hajime{};
}

bool exists(const RuleSet& rules, const What& what) {
    if (const auto* score = std::get_if<Score>(&what)) return rules.has(score->level);
    if (const auto* award = std::get_if<Award>(&what); award && award->way == Way::hantei) {
        return rules.tie == Tie::hantei || rules.golden_limit.ms > 0;
    }
    return true;
}

Key key_for(std::string_view id, const Conditions& under, std::span<const Call> calls,
            const State& state, const What& what) {
    Key key{std::string(id), words_for(under.rules, what), Fit::usual, {}};
    if (auto no = refusal(under, calls, state, what)) {
        key.fit = Fit::impossible;
        key.why = std::move(*no);
    } else if (unusual(under, state, what)) {
        key.fit = Fit::unusual;
    }
    return key;
}

}  // namespace

std::optional<What> what_for(std::string_view id, const State& state, CallId refers) {
    if (id == "start") return start(state);
    if (id == "strike") return Strike{refers};
    for (const Entry& entry : entries()) {
        if (entry.id == id) return entry.what;
    }
    return std::nullopt;
}

std::vector<Key> keys(const Conditions& under, std::span<const Call> calls, const State& state) {
    std::vector<Key> out;
    out.push_back(key_for("start", under, calls, state, start(state)));
    for (const Entry& entry : entries()) {
        if (!exists(under.rules, entry.what)) continue;
        out.push_back(key_for(entry.id, under, calls, state, entry.what));
    }
    return out;
}

Sides sides_of(const What& what) {
    return std::visit(
        [](const auto& call) -> Sides {
            if constexpr (requires { Sides(call.to); }) {
                return Sides(call.to);
            } else if constexpr (requires { Sides(call.who); }) {
                return call.who;
            } else if constexpr (requires { Sides(call.by) == Sides{}; }) {
                return Sides(call.by);
            } else {
                return {};
            }
        },
        what);
}

std::string words_for(const RuleSet& rules, const What& what) {
    std::string text(word(what));
    const Sides who = sides_of(what);
    if (who == both_sides()) return text + " both";
    if (who.has(Side::white)) return text + " " + rules.white_word;
    if (who.has(Side::blue)) return text + " " + rules.blue_word;
    return text;
}

}  // namespace honbu

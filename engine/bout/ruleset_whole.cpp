// What no single field of a rule set can see: fields that contradict each other.
#include <algorithm>

#include "engine/bout/ruleset_text.h"

namespace honbu {
namespace {

constexpr Level all_levels[] = {Level::koka, Level::yuko, Level::waza_ari, Level::ippon};

std::string named(std::string_view prefix, Level level) {
    return std::string(prefix) + std::string(word(level));
}

std::string in_seconds(Duration d) { return std::to_string(d.ms / 1000) + " s"; }

Contradiction holds(const RuleSet& rules) {
    Duration before;
    std::string lower;
    for (const Level level : all_levels) {
        const Duration needed = rules.hold_for(level);
        if (needed.ms == 0) continue;
        if (!rules.has(level)) {
            return {named("hold.", level), "A hold gives a level that is not in levels; take this "
                                           "line out, or add the level there."};
        }
        if (needed <= before) {
            return {named("hold.", level),
                    "A higher level needs a longer hold: " + in_seconds(needed) +
                        " is not longer than the " + in_seconds(before) + " of " + lower + "."};
        }
        before = needed;
        lower = named("hold.", level);
    }
    return {};
}

Contradiction shido(const RuleSet& rules, const FieldLines& lines) {
    Equivalent before = Equivalent::none;
    for (std::size_t nth = 1; nth < shido_max; ++nth) {
        const std::string field = "shido." + std::to_string(nth);
        const Equivalent worth = rules.shido_equivalent[nth - 1];
        if (nth >= rules.shido_out && lines.has(field)) {
            return {field, "This shido is hansoku-make already (shido.hansoku-make); take this "
                           "line out."};
        }
        if (worth != Equivalent::none && !rules.levels[static_cast<std::size_t>(worth) - 1]) {
            return {field, "A shido is worth a level that is not in levels; write another one, or "
                           "nothing."};
        }
        if (nth < rules.shido_out && worth < before) {
            return {field, "A later shido can't be worth less than an earlier one."};
        }
        before = worth;
    }
    const auto& worth = rules.shido_equivalent;
    const bool any = std::find(worth.begin(), worth.end(), Equivalent::waza_ari) != worth.end();
    if (rules.sogo_gachi && !any) {
        return {"sogo-gachi", "Sogo-gachi needs a shido that is worth waza-ari (shido.1 to "
                              "shido.3), and there is none; write no."};
    }
    return {};
}

Contradiction golden_score(const RuleSet& rules) {
    if (rules.tie == Tie::golden_score) return {};
    if (rules.double_ippon == DoubleIppon::golden_score) {
        return {"double-ippon", "There is no golden score in this rule set, since tie does not "
                                "say golden score; write both void here, or change tie."};
    }
    if (rules.both_hansoku_make == BothHansokuMake::golden_score) {
        return {"both-hansoku-make", "There is no golden score in this rule set, since tie does "
                                     "not say golden score; write both lose here, or change tie."};
    }
    return {};
}

Contradiction points(const RuleSet& rules, const FieldLines& lines) {
    const std::uint8_t worth[] = {rules.points.koka, rules.points.yuko, rules.points.waza_ari,
                                  rules.points.ippon};
    std::uint8_t before = 0;
    for (const Level level : all_levels) {
        const std::string field = named("points.", level);
        if (rules.has(level) && !lines.has(field)) {
            return {field, "This field is missing; add it, since the level is in levels."};
        }
        if (!rules.has(level) && lines.has(field)) {
            return {field, "Points for a level that is not in levels; take this line out, or add "
                           "the level there."};
        }
        const std::uint8_t here = worth[index(level)];
        if (here < before) return {field, "A higher level can't give fewer points."};
        before = here;
    }
    return {};
}

Contradiction absence(const RuleSet& rules, const FieldLines& lines) {
    const bool calls = rules.call_for == CallFor::three_calls;
    if (calls && !lines.has("absent.default")) {
        return {"absent.default", "This field is missing; add it, since athletes are called three "
                                  "times."};
    }
    if (!calls && lines.has("absent.default")) {
        return {"absent.default", "This belongs to three calls (absent.procedure); take this line "
                                  "out."};
    }
    return {};
}

Contradiction sides(const RuleSet& rules) {
    if (rules.white_word == rules.blue_word) {
        return {"side.second", "Both sides have the same word; write another one."};
    }
    if (rules.white_colour == rules.blue_colour) {
        return {"side.second.colour", "Both sides have the same colour; write another one."};
    }
    return {};
}

}  // namespace

std::uint32_t FieldLines::of(std::string_view field) const {
    const auto fields = rules_fields();
    for (std::size_t i = 0; i < fields.size(); ++i) {
        if (fields[i].name == field) return lines_[i];
    }
    return 0;
}

Contradiction contradiction(const RuleSet& rules, const FieldLines& lines) {
    if (Contradiction found = holds(rules); !found.reason.empty()) return found;
    if (Contradiction found = shido(rules, lines); !found.reason.empty()) return found;
    if (Contradiction found = golden_score(rules); !found.reason.empty()) return found;
    if (Contradiction found = points(rules, lines); !found.reason.empty()) return found;
    if (Contradiction found = absence(rules, lines); !found.reason.empty()) return found;
    if (Contradiction found = sides(rules); !found.reason.empty()) return found;
    if (rules.times.empty()) {
        return {"", "There is no contest time; write at least time.seniors = 4:00."};
    }
    return {};
}

}  // namespace honbu

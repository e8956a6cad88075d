// The rule set file: one `field = value` a line, `#` begins a comment, no field twice.
// The table below is the whole format; docs/rules.md explains each field.
#include "engine/bout/ruleset.h"

#include <algorithm>
#include <optional>

#include "engine/bout/clock_text.h"
#include "engine/bout/rules_shipped.h"

namespace honbu {
namespace {

// Empty: taken. Else what is wrong, as a sentence with what to write instead.
using Wrong = std::string;

std::string_view trimmed(std::string_view text) {
    const auto blank = [](char c) { return c == ' ' || c == '\t' || c == '\r'; };
    while (!text.empty() && blank(text.front()))
        text.remove_prefix(1);
    while (!text.empty() && blank(text.back()))
        text.remove_suffix(1);
    return text;
}

template<class Value> struct Choice {
    std::string_view text;
    Value value;
};

template<class Value, std::size_t count>
Wrong choose(std::string_view text, const Choice<Value> (&choices)[count], Value& out) {
    std::string all;
    for (std::size_t i = 0; i < count; ++i) {
        if (text == choices[i].text) {
            out = choices[i].value;
            return {};
        }
        if (i > 0) all += i + 1 == count ? " or " : ", ";
        all += choices[i].text;
    }
    return "'" + std::string(text) + "' is not known here; write " + all + ".";
}

Wrong yes_no(std::string_view text, bool& out) {
    return choose(text, {Choice<bool>{"yes", true}, Choice<bool>{"no", false}}, out);
}

std::optional<std::uint32_t> number(std::string_view text, std::uint32_t most) {
    if (text.empty() || text.size() > 4) return std::nullopt;
    std::uint32_t value = 0;
    for (const char c : text) {
        if (c < '0' || c > '9') return std::nullopt;
        value = value * 10 + static_cast<std::uint32_t>(c - '0');
    }
    if (value > most) return std::nullopt;
    return value;
}

constexpr Choice<Level> level_words[] = {{"koka", Level::koka},
                                         {"yuko", Level::yuko},
                                         {"waza-ari", Level::waza_ari},
                                         {"ippon", Level::ippon}};

Wrong levels(RuleSet& rules, std::string_view text) {
    while (!text.empty()) {
        const std::size_t comma = std::min(text.find(','), text.size());
        Level level{};
        if (Wrong wrong = choose(trimmed(text.substr(0, comma)), level_words, level);
            !wrong.empty()) {
            return wrong;
        }
        rules.levels[index(level)] = true;
        text.remove_prefix(std::min(comma + 1, text.size()));
    }
    if (!rules.has(Level::ippon)) return "Ippon is missing from the list.";
    return {};
}

Wrong hold(RuleSet& rules, Level level, std::string_view text) {
    const bool in_seconds = text.size() > 2 && text.substr(text.size() - 2) == " s";
    const auto value = in_seconds ? number(text.substr(0, text.size() - 2), 60) : std::nullopt;
    if (!value || *value == 0) {
        return "'" + std::string(text) + "' is not a hold time; write seconds like 20 s.";
    }
    rules.hold[index(level)] = seconds(*value);
    return {};
}

Wrong equivalent(RuleSet& rules, std::size_t nth, std::string_view text) {
    return choose(text,
                  {Choice<Equivalent>{"nothing", Equivalent::none},
                   Choice<Equivalent>{"koka", Equivalent::koka},
                   Choice<Equivalent>{"yuko", Equivalent::yuko},
                   Choice<Equivalent>{"waza-ari", Equivalent::waza_ari}},
                  rules.shido_equivalent[nth - 1]);
}

Wrong side_word(std::string& out, std::string_view text) {
    if (text.empty() || text.size() > 20) return "Write one short word, like white.";
    out = text;
    return {};
}

Wrong keep_wipe(std::string_view text, bool& keeps) {
    return choose(text, {Choice<bool>{"keep", true}, Choice<bool>{"wipe", false}}, keeps);
}

struct Field {
    std::string_view name;
    bool needed;
    Wrong (*take)(RuleSet&, std::string_view);
};

const Field fields[] = {
    {"name", true,
     [](RuleSet& r, std::string_view v) -> Wrong {
         if (v.empty() || v.size() > 40) return "Write a short name, at most 40 bytes.";
         r.name = v;
         return {};
     }},
    {"title", true,
     [](RuleSet& r, std::string_view v) -> Wrong {
         if (v.empty() || v.size() > 200) return "Write a title, at most 200 bytes.";
         r.title = v;
         return {};
     }},
    {"levels", true, levels},
    {"hold.koka", false, [](RuleSet& r, std::string_view v) { return hold(r, Level::koka, v); }},
    {"hold.yuko", false, [](RuleSet& r, std::string_view v) { return hold(r, Level::yuko, v); }},
    {"hold.waza-ari", false,
     [](RuleSet& r, std::string_view v) { return hold(r, Level::waza_ari, v); }},
    {"hold.ippon", true, [](RuleSet& r, std::string_view v) { return hold(r, Level::ippon, v); }},
    {"two-waza-ari", true,
     [](RuleSet& r, std::string_view v) {
         return choose(v, {Choice<bool>{"ippon", true}, Choice<bool>{"two waza-ari", false}},
                       r.two_waza_ari_are_ippon);
     }},
    {"sogo-gachi", true, [](RuleSet& r, std::string_view v) { return yes_no(v, r.sogo_gachi); }},
    {"shido.hansoku-make", true,
     [](RuleSet& r, std::string_view v) -> Wrong {
         const auto n = number(v, shido_max);
         if (!n || *n < 1) return "Write which shido is hansoku-make: 1, 2, 3 or 4.";
         r.shido_out = static_cast<std::uint8_t>(*n);
         return {};
     }},
    {"shido.1", false, [](RuleSet& r, std::string_view v) { return equivalent(r, 1, v); }},
    {"shido.2", false, [](RuleSet& r, std::string_view v) { return equivalent(r, 2, v); }},
    {"shido.3", false, [](RuleSet& r, std::string_view v) { return equivalent(r, 3, v); }},
    {"at-time", true,
     [](RuleSet& r, std::string_view v) {
         return choose(v,
                       {Choice<AtTime>{"scores", AtTime::scores},
                        Choice<AtTime>{"scores, then shido", AtTime::scores_then_shido}},
                       r.at_time);
     }},
    {"tie", true,
     [](RuleSet& r, std::string_view v) {
         return choose(
             v,
             {Choice<Tie>{"golden score", Tie::golden_score}, Choice<Tie>{"hantei", Tie::hantei}},
             r.tie);
     }},
    {"golden.limit", true,
     [](RuleSet& r, std::string_view v) -> Wrong {
         if (v == "none") return {};
         const auto d = clock_time(v);
         if (!d || d->ms == 0) return "Write a time like 3:00, or none.";
         r.golden_limit = *d;
         return {};
     }},
    {"golden.scores", true,
     [](RuleSet& r, std::string_view v) { return keep_wipe(v, r.golden_keeps_scores); }},
    {"golden.shido", true,
     [](RuleSet& r, std::string_view v) { return keep_wipe(v, r.golden_keeps_shido); }},
    {"golden.ends-on-shido", true,
     [](RuleSet& r, std::string_view v) {
         return choose(v,
                       {Choice<GoldenShido>{"no", GoldenShido::nothing},
                        Choice<GoldenShido>{"first", GoldenShido::first},
                        Choice<GoldenShido>{"lead", GoldenShido::lead}},
                       r.golden_shido);
     }},
    {"golden.hold", true,
     [](RuleSet& r, std::string_view v) {
         return choose(
             v,
             {Choice<GoldenHold>{"runs to ippon", GoldenHold::run_to_ippon},
              Choice<GoldenHold>{"stops at first score", GoldenHold::stop_at_first_score}},
             r.golden_hold);
     }},
    {"both-hansoku-make", true,
     [](RuleSet& r, std::string_view v) {
         return choose(v,
                       {Choice<BothHansokuMake>{"both lose", BothHansokuMake::both_lose},
                        Choice<BothHansokuMake>{"golden score", BothHansokuMake::golden_score}},
                       r.both_hansoku_make);
     }},
    {"side.first", true, [](RuleSet& r, std::string_view v) { return side_word(r.white_word, v); }},
    {"side.second", true, [](RuleSet& r, std::string_view v) { return side_word(r.blue_word, v); }},
};
constexpr std::size_t field_count = std::size(fields);
constexpr std::string_view time_prefix = "time.";

Wrong age_group(RuleSet& rules, std::string_view group, std::string_view text) {
    const auto d = clock_time(text);
    if (!d || d->ms == 0) {
        return "'" + std::string(text) + "' is not a time; write minutes:seconds like 4:00.";
    }
    for (const AgeGroup& known : rules.times) {
        if (known.name == group) return "This field stands twice; keep one.";
    }
    rules.times.push_back({std::string(group), *d});
    return {};
}

// What no single field can see.
Wrong whole(const RuleSet& rules) {
    Duration before;
    for (std::size_t i = 0; i < level_count; ++i) {
        const Duration needed = rules.hold[i];
        if (needed.ms == 0) continue;
        if (!rules.levels[i]) return "A hold gives a level that is not in levels.";
        if (needed <= before) return "A higher level needs a longer hold.";
        before = needed;
    }
    for (const Equivalent e : rules.shido_equivalent) {
        if (e != Equivalent::none && !rules.levels[static_cast<std::size_t>(e) - 1]) {
            return "A shido is worth a level that is not in levels.";
        }
    }
    if (rules.times.empty()) return "No contest time; write at least time.seniors = 4:00.";
    return {};
}

}  // namespace

std::variant<RuleSet, RulesFault> parse_rules(std::string_view text) {
    RuleSet rules;
    bool seen[field_count] = {};
    std::uint32_t line_number = 0;
    while (!text.empty()) {
        ++line_number;
        const std::size_t end = std::min(text.find('\n'), text.size());
        std::string_view line = text.substr(0, end);
        text.remove_prefix(std::min(end + 1, text.size()));
        line = trimmed(line.substr(0, std::min(line.find('#'), line.size())));
        if (line.empty()) continue;

        const std::size_t equals = line.find('=');
        if (equals == std::string_view::npos) {
            return RulesFault{line_number, std::string(line),
                              "There is no = on this line; write field = value."};
        }
        const std::string name(trimmed(line.substr(0, equals)));
        const std::string_view value = trimmed(line.substr(equals + 1));
        if (name.starts_with(time_prefix) && name.size() > time_prefix.size()) {
            Wrong wrong = age_group(rules, std::string_view(name).substr(time_prefix.size()),
                                    value);
            if (!wrong.empty()) return RulesFault{line_number, name, wrong};
            continue;
        }
        const auto* field = std::find_if(std::begin(fields), std::end(fields),
                                         [&](const Field& f) { return f.name == name; });
        if (field == std::end(fields)) {
            return RulesFault{line_number, name,
                              "This field is not known; docs/rules.md lists the fields."};
        }
        const auto at = static_cast<std::size_t>(field - std::begin(fields));
        if (seen[at]) return RulesFault{line_number, name, "This field stands twice; keep one."};
        seen[at] = true;
        if (Wrong wrong = field->take(rules, value); !wrong.empty()) {
            return RulesFault{line_number, name, wrong};
        }
    }
    for (std::size_t i = 0; i < field_count; ++i) {
        if (fields[i].needed && !seen[i]) {
            return RulesFault{0, std::string(fields[i].name), "This field is missing; add it."};
        }
    }
    if (Wrong wrong = whole(rules); !wrong.empty()) return RulesFault{0, "", wrong};
    return rules;
}

std::optional<RuleSet> shipped(std::string_view name) {
    for (const ShippedRules& entry : shipped_rules()) {
        if (entry.name != name) continue;
        auto parsed = parse_rules(entry.text);
        if (auto* rules = std::get_if<RuleSet>(&parsed)) return std::move(*rules);
    }
    return std::nullopt;
}

}  // namespace honbu

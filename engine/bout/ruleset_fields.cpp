// The whole format of a rule set file, one row a field; docs/rules.md section 12 explains each.
#include <algorithm>
#include <iterator>
#include <optional>

#include "engine/bout/clock_text.h"
#include "engine/bout/ruleset_text.h"

namespace honbu {
namespace {

constexpr std::size_t group_bytes_max = 40;
constexpr std::size_t groups_max = 40;

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

Wrong count(std::string_view text, std::uint32_t least, std::uint32_t most, std::uint8_t& out) {
    const auto value = number(text, most);
    if (!value || *value < least) {
        return "'" + std::string(text) + "' is not possible here; write a number from " +
               std::to_string(least) + " to " + std::to_string(most) + ".";
    }
    out = static_cast<std::uint8_t>(*value);
    return {};
}

Wrong in_seconds(std::string_view text, std::uint32_t most, std::string_view kind, Duration& out) {
    const bool unit = text.size() > 2 && text.substr(text.size() - 2) == " s";
    const auto value = unit ? number(text.substr(0, text.size() - 2), most) : std::nullopt;
    if (!value || *value == 0) {
        return "'" + std::string(text) + "' is not " + std::string(kind) +
               "; write seconds like 20 s, at most " + std::to_string(most) + " s.";
    }
    out = seconds(*value);
    return {};
}

// A contest time or a limit.
Wrong minutes(std::string_view text, std::string_view or_else, Duration& out) {
    const auto time = clock_time(text);
    if (!time) {
        return "'" + std::string(text) + "' is not a time; write minutes:seconds like 4:00" +
               std::string(or_else) + ".";
    }
    if (*time < contest_min || *time > contest_max) {
        return std::string(text) + " is not possible; write a time from " +
               clock_text(contest_min) + " to " + clock_text(contest_max) + std::string(or_else) +
               ".";
    }
    out = *time;
    return {};
}

Wrong short_text(std::string_view text, std::size_t most, std::string_view what, std::string& out) {
    if (text.empty() || text.size() > most) {
        return "Write " + std::string(what) + ", at most " + std::to_string(most) + " letters.";
    }
    out = text;
    return {};
}

// It stands in a cell of a CSV file, and people type it at a prompt.
Wrong name(RuleSet& rules, std::string_view text) {
    if (text.find_first_of(",;\"'/\\=|<>") != std::string_view::npos) {
        return "Write the name with letters, digits, blanks, - and . only: a competition file "
               "names it in a cell.";
    }
    return short_text(text, 40, "a short name", rules.name);
}

std::string small_letters(std::string_view text) {
    std::string out(text);
    for (char& c : out) {
        if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
    }
    return out;
}

std::string_view without_blanks(std::string_view text) {
    while (!text.empty() && text.front() == ' ')
        text.remove_prefix(1);
    while (!text.empty() && text.back() == ' ')
        text.remove_suffix(1);
    return text;
}

Wrong levels(RuleSet& rules, std::string_view text) {
    while (!text.empty()) {
        const std::size_t comma = std::min(text.find(','), text.size());
        Level level{};
        if (Wrong wrong = choose(
                without_blanks(text.substr(0, comma)),
                {Choice<Level>{"koka", Level::koka}, Choice<Level>{"yuko", Level::yuko},
                 Choice<Level>{"waza-ari", Level::waza_ari}, Choice<Level>{"ippon", Level::ippon}},
                level);
            !wrong.empty()) {
            return wrong;
        }
        rules.levels[index(level)] = true;
        text.remove_prefix(std::min(comma + 1, text.size()));
    }
    if (!rules.has(Level::ippon)) return "Ippon is missing from the list; add it.";
    return {};
}

Wrong hold(RuleSet& rules, Level level, std::string_view text) {
    return in_seconds(text, 60, "a hold time", rules.hold[index(level)]);
}

Wrong equivalent(RuleSet& rules, std::size_t nth, std::string_view text) {
    return choose(text,
                  {Choice<Equivalent>{"nothing", Equivalent::none},
                   Choice<Equivalent>{"koka", Equivalent::koka},
                   Choice<Equivalent>{"yuko", Equivalent::yuko},
                   Choice<Equivalent>{"waza-ari", Equivalent::waza_ari}},
                  rules.shido_equivalent[nth - 1]);
}

Wrong yes_no(std::string_view text, bool& out) {
    return choose(text, {Choice<bool>{"yes", true}, Choice<bool>{"no", false}}, out);
}

Wrong keep_wipe(std::string_view text, bool& keeps) {
    return choose(text, {Choice<bool>{"keep", true}, Choice<bool>{"wipe", false}}, keeps);
}

Wrong colour(std::string_view text, Colour& out) {
    return choose(text,
                  {Choice<Colour>{"white", Colour::white}, Choice<Colour>{"blue", Colour::blue},
                   Choice<Colour>{"red", Colour::red}},
                  out);
}

Wrong points(std::string_view text, std::uint8_t& out) { return count(text, 0, 200, out); }

Wrong golden_limit(RuleSet& rules, std::string_view text) {
    if (text == "none") return {};
    if (text == "as the contest") {
        rules.golden_as_contest = true;
        return {};
    }
    return minutes(text, ", or: none, or: as the contest", rules.golden_limit);
}

const RulesField fields[] = {
    {"name", true, name},
    {"title", true,
     [](RuleSet& r, std::string_view v) { return short_text(v, 200, "a title", r.title); }},
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
    {"ippon-needed", true,
     [](RuleSet& r, std::string_view v) { return count(v, 1, 5, r.ippon_needed); }},
    {"double-ippon", true,
     [](RuleSet& r, std::string_view v) {
         return choose(v,
                       {Choice<DoubleIppon>{"golden score", DoubleIppon::golden_score},
                        Choice<DoubleIppon>{"both void", DoubleIppon::void_both}},
                       r.double_ippon);
     }},
    {"shido.hansoku-make", true,
     [](RuleSet& r, std::string_view v) { return count(v, 1, shido_max, r.shido_out); }},
    {"shido.1", false, [](RuleSet& r, std::string_view v) { return equivalent(r, 1, v); }},
    {"shido.2", false, [](RuleSet& r, std::string_view v) { return equivalent(r, 2, v); }},
    {"shido.3", false, [](RuleSet& r, std::string_view v) { return equivalent(r, 3, v); }},
    {"shido.given", true,
     [](RuleSet& r, std::string_view v) {
         return choose(v,
                       {Choice<ShidoGiven>{"after mate", ShidoGiven::after_mate},
                        Choice<ShidoGiven>{"on the spot", ShidoGiven::on_the_spot}},
                       r.shido_given);
     }},
    {"leg-grab", true,
     [](RuleSet& r, std::string_view v) {
         return choose(v,
                       {Choice<LegGrab>{"shido", LegGrab::shido},
                        Choice<LegGrab>{"hansoku-make", LegGrab::hansoku_make},
                        Choice<LegGrab>{"second hansoku-make", LegGrab::second_hansoku_make}},
                       r.leg_grab);
     }},
    {"both-hansoku-make", true,
     [](RuleSet& r, std::string_view v) {
         return choose(v,
                       {Choice<BothHansokuMake>{"both lose", BothHansokuMake::both_lose},
                        Choice<BothHansokuMake>{"golden score", BothHansokuMake::golden_score}},
                       r.both_hansoku_make);
     }},
    {"direct-hansoku-make", true,
     [](RuleSet& r, std::string_view v) {
         return choose(v,
                       {Choice<bool>{"ends the event", true}, Choice<bool>{"by its class", false}},
                       r.direct_excludes);
     }},
    {"clock", true,
     [](RuleSet& r, std::string_view v) {
         return choose(v,
                       {Choice<ClockRuns>{"stops at mate", ClockRuns::to_mate},
                        Choice<ClockRuns>{"runs to a pause", ClockRuns::to_pause}},
                       r.clock_runs);
     }},
    {"end-signal", true,
     [](RuleSet& r, std::string_view v) {
         return choose(v,
                       {Choice<EndSignal>{"sounds", EndSignal::sounds},
                        Choice<EndSignal>{"waits for the hold", EndSignal::waits_for_hold}},
                       r.end_signal);
     }},
    {"at-time", true,
     [](RuleSet& r, std::string_view v) {
         return choose(v,
                       {Choice<AtTime>{"scores", AtTime::scores},
                        Choice<AtTime>{"scores, then shido", AtTime::scores_then_shido}},
                       r.at_time);
     }},
    {"tie", true,
     [](RuleSet& r, std::string_view v) {
         return choose(v,
                       {Choice<Tie>{"golden score", Tie::golden_score},
                        Choice<Tie>{"hantei", Tie::hantei},
                        Choice<Tie>{"hiki-wake", Tie::hiki_wake}},
                       r.tie);
     }},
    {"decision-by", true,
     [](RuleSet& r, std::string_view v) {
         return choose(v,
                       {Choice<DecisionBy>{"flags", DecisionBy::flags},
                        Choice<DecisionBy>{"one person", DecisionBy::one_person}},
                       r.decision_by);
     }},
    {"golden.limit", true, golden_limit},
    {"golden.undecided", true,
     [](RuleSet& r, std::string_view v) {
         return choose(
             v, {Choice<Tie>{"hantei", Tie::hantei}, Choice<Tie>{"hiki-wake", Tie::hiki_wake}},
             r.golden_tie);
     }},
    {"golden.scores", true,
     [](RuleSet& r, std::string_view v) { return keep_wipe(v, r.golden_keeps_scores); }},
    {"golden.shido", true,
     [](RuleSet& r, std::string_view v) { return keep_wipe(v, r.golden_keeps_shido); }},
    {"golden.medical", true,
     [](RuleSet& r, std::string_view v) { return keep_wipe(v, r.golden_keeps_medical); }},
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
    {"bleeding.treatments", true,
     [](RuleSet& r, std::string_view v) { return count(v, 1, 9, r.bleeding_treatments); }},
    {"absent.procedure", true,
     [](RuleSet& r, std::string_view v) {
         return choose(v,
                       {Choice<CallFor>{"countdown", CallFor::countdown},
                        Choice<CallFor>{"three calls", CallFor::three_calls}},
                       r.call_for);
     }},
    {"absent.wait", true,
     [](RuleSet& r, std::string_view v) { return in_seconds(v, 600, "a wait", r.call_wait); }},
    {"absent.default", false,
     [](RuleSet& r, std::string_view v) {
         return choose(
             v, {Choice<bool>{"third call", true}, Choice<bool>{"a wait after the third", false}},
             r.default_at_third);
     }},
    {"points.ippon", true,
     [](RuleSet& r, std::string_view v) { return points(v, r.points.ippon); }},
    {"points.waza-ari", false,
     [](RuleSet& r, std::string_view v) { return points(v, r.points.waza_ari); }},
    {"points.yuko", false, [](RuleSet& r, std::string_view v) { return points(v, r.points.yuko); }},
    {"points.koka", false, [](RuleSet& r, std::string_view v) { return points(v, r.points.koka); }},
    {"points.fewer-shido", true,
     [](RuleSet& r, std::string_view v) { return points(v, r.points.fewer_shido); }},
    {"points.hantei", true,
     [](RuleSet& r, std::string_view v) { return points(v, r.points.hantei); }},
    {"side.first", true,
     [](RuleSet& r, std::string_view v) {
         return short_text(v, 20, "one short word, like white", r.white_word);
     }},
    {"side.first.colour", true,
     [](RuleSet& r, std::string_view v) { return colour(v, r.white_colour); }},
    {"side.second", true,
     [](RuleSet& r, std::string_view v) {
         return short_text(v, 20, "one short word, like blue", r.blue_word);
     }},
    {"side.second.colour", true,
     [](RuleSet& r, std::string_view v) { return colour(v, r.blue_colour); }},
};

}  // namespace

std::span<const RulesField> rules_fields() { return fields; }

Wrong take_group(RuleSet& rules, std::string_view group, std::string_view value) {
    // Else nobody could tell it from a time in a competition file.
    if (group.front() >= '0' && group.front() <= '9') {
        return "Begin the name of an age group with a letter, like time.under 15.";
    }
    if (group.size() > group_bytes_max) {
        return "Write a shorter name for the age group, at most 40 letters.";
    }
    if (rules.group(group) != nullptr) return "This field stands twice; keep one.";
    for (const AgeGroup& other : rules.times) {
        if (small_letters(other.name) != small_letters(group)) continue;
        return "There is time." + other.name +
               " already, and capitals make no difference in a competition file; keep one.";
    }
    if (rules.times.size() == groups_max) return "There are more than 40 age groups; keep fewer.";
    AgeGroup made{std::string(group), {}, std::nullopt};
    if (Wrong wrong = minutes(value, "", made.time); !wrong.empty()) return wrong;
    rules.times.push_back(std::move(made));
    return {};
}

Wrong read_limit(std::string_view value, Duration& out) {
    out = Duration{};
    return value == "none" ? Wrong{} : minutes(value, ", or: none", out);
}

}  // namespace honbu

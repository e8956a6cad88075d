// Reads a rule set file: one `field = value` a line, `#` begins a comment, no field twice.
// What a field takes: ruleset_fields.cpp. What fits together: ruleset_whole.cpp.
#include "engine/bout/ruleset.h"

#include <algorithm>
#include <optional>

#include "engine/bout/rules_shipped.h"
#include "engine/bout/ruleset_text.h"

namespace honbu {
namespace {

std::string_view trimmed(std::string_view text) {
    const auto blank = [](char c) { return c == ' ' || c == '\t' || c == '\r'; };
    while (!text.empty() && blank(text.front()))
        text.remove_prefix(1);
    while (!text.empty() && blank(text.back()))
        text.remove_suffix(1);
    return text;
}

// What stands behind the prefix, if anything does.
std::optional<std::string_view> behind(std::string_view prefix, std::string_view name) {
    if (!name.starts_with(prefix) || name.size() == prefix.size()) return std::nullopt;
    return name.substr(prefix.size());
}

class RulesReader {
public:
    std::variant<RuleSet, RulesFault> read(std::string_view text) {
        std::uint32_t number = 0;
        while (!text.empty()) {
            ++number;
            const std::size_t end = std::min(text.find('\n'), text.size());
            const std::string_view line = text.substr(0, end);
            text.remove_prefix(std::min(end + 1, text.size()));
            if (auto fault = take_line(number, line)) return std::move(*fault);
        }
        if (auto fault = finish()) return std::move(*fault);
        return std::move(rules_);
    }

private:
    struct GroupLimit {  // waits for its age group, which may stand further down
        std::uint32_t line;
        std::string group;
        Duration limit;
    };

    std::optional<RulesFault> take_line(std::uint32_t number, std::string_view line) {
        line = trimmed(line.substr(0, std::min(line.find('#'), line.size())));
        if (line.empty()) return std::nullopt;
        const std::size_t equals = line.find('=');
        if (equals == std::string_view::npos) {
            return RulesFault{number, std::string(line),
                              "There is no = on this line; write field = value."};
        }
        const std::string_view name = trimmed(line.substr(0, equals));
        const std::string_view value = trimmed(line.substr(equals + 1));
        Wrong wrong = take(number, name, value);
        if (wrong.empty()) return std::nullopt;
        return RulesFault{number, std::string(name), std::move(wrong)};
    }

    Wrong take(std::uint32_t line, std::string_view name, std::string_view value) {
        if (const auto group = behind(time_prefix, name)) return take_group(rules_, *group, value);
        if (const auto group = behind(limit_prefix, name)) return limit(line, *group, value);
        const auto fields = rules_fields();
        const auto field = std::find_if(fields.begin(), fields.end(),
                                        [&](const RulesField& f) { return f.name == name; });
        if (field == fields.end()) {
            return "This field is not known; docs/rules.md section 12 lists the fields.";
        }
        std::uint32_t& seen = lines_[static_cast<std::size_t>(field - fields.begin())];
        if (seen != 0) return "This field stands twice; keep one.";
        seen = line;
        return field->take(rules_, value);
    }

    Wrong limit(std::uint32_t line, std::string_view group, std::string_view value) {
        for (const GroupLimit& known : limits_) {
            if (known.group == group) return "This field stands twice; keep one.";
        }
        GroupLimit made{line, std::string(group), {}};
        Wrong wrong = read_limit(value, made.limit);
        limits_.push_back(std::move(made));
        return wrong;
    }

    std::optional<RulesFault> finish() {
        const auto fields = rules_fields();
        for (std::size_t i = 0; i < fields.size(); ++i) {
            if (fields[i].needed && lines_[i] == 0) {
                return RulesFault{0, std::string(fields[i].name), "This field is missing; add it."};
            }
        }
        for (const GroupLimit& wanted : limits_) {
            const auto group = std::find_if(
                rules_.times.begin(), rules_.times.end(),
                [&](const AgeGroup& g) { return g.name == wanted.group; });
            if (group == rules_.times.end()) {
                return RulesFault{wanted.line, std::string(limit_prefix) + wanted.group,
                                  "There is no time." + wanted.group +
                                      " in this file; add it, or take this line out."};
            }
            group->golden_limit = wanted.limit;
        }
        const FieldLines lines(lines_);
        Contradiction found = contradiction(rules_, lines);
        if (found.reason.empty()) return std::nullopt;
        const std::uint32_t line = lines.of(found.field);
        return RulesFault{line, std::move(found.field), std::move(found.reason)};
    }

    RuleSet rules_;
    std::vector<std::uint32_t> lines_ = std::vector<std::uint32_t>(rules_fields().size());
    std::vector<GroupLimit> limits_;
};

}  // namespace

const AgeGroup* RuleSet::group(std::string_view wanted) const {
    const auto found = std::find_if(times.begin(), times.end(),
                                    [&](const AgeGroup& known) { return known.name == wanted; });
    return found == times.end() ? nullptr : &*found;
}

Duration RuleSet::golden_limit_for(Duration time, const AgeGroup* group) const {
    if (group != nullptr && group->golden_limit) return *group->golden_limit;
    return golden_as_contest ? time : golden_limit;
}

std::variant<RuleSet, RulesFault> parse_rules(std::string_view text) {
    return RulesReader().read(text);
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

#include "hub/competition/known_rules.h"

#include <algorithm>
#include <utility>
#include <variant>

#include "engine/bout/rules_shipped.h"
#include "hub/competition/csv.h"
#include "hub/core/plain_text.h"
#include "hub/insist.h"

namespace honbu {
namespace {

constexpr std::string_view byte_order_mark = "\xEF\xBB\xBF";

// What the engine does not look at: its texts go to screens as they are.
std::optional<RulesFault> text_fault(std::string_view text) {
    const std::string_view good = text.substr(0, utf8_length(text));
    if (good.size() < text.size()) {
        const auto line = std::count(good.begin(), good.end(), '\n') + 1;
        return RulesFault{static_cast<std::uint32_t>(line), "",
                          "This is not UTF-8 text; save the file as UTF-8."};
    }
    std::uint32_t number = 0;
    for (const std::string_view line : lines_of(text)) {
        ++number;
        std::string seen(line);
        std::replace(seen.begin(), seen.end(), '\t', ' ');
        if (has_control(seen)) {
            return RulesFault{number, "",
                              "There is a control character on this line; write the line anew."};
        }
        if (const auto hidden = hidden_in(seen)) {
            return RulesFault{number, "",
                              "There is a character on this line that can't be seen (" +
                                  code_point_text(*hidden) + "); write the line anew."};
        }
    }
    return std::nullopt;
}

std::uint32_t line_of_name(std::string_view text) {
    std::uint32_t number = 0;
    for (const std::string_view line : lines_of(text)) {
        ++number;
        const std::size_t equals = line.find('=');
        if (equals != std::string_view::npos && without_blanks(line.substr(0, equals)) == "name") {
            return number;
        }
    }
    return 0;
}

template<class Range, class Name> std::string listed(const Range& all, Name name) {
    std::string list;
    for (std::size_t i = 0; i < all.size(); ++i) {
        if (i > 0) list += i + 1 == all.size() ? " and " : ", ";
        list += name(all[i]);
    }
    return list;
}

}  // namespace

KnownRules::KnownRules() {
    for (const ShippedRules& entry : shipped_rules()) {
        std::optional<RuleSet> rules = shipped(entry.name);
        INSIST(rules);  // tests/unit/rules_test.cpp reads them all
        all_.push_back(std::move(*rules));
    }
}

std::optional<RulesFault> KnownRules::add(std::string_view text) {
    if (text.starts_with(byte_order_mark)) text.remove_prefix(byte_order_mark.size());
    if (auto fault = text_fault(text)) return fault;
    auto parsed = parse_rules(text);
    if (auto* fault = std::get_if<RulesFault>(&parsed)) return std::move(*fault);
    auto& rules = std::get<RuleSet>(parsed);
    if (const RuleSet* other = find(rules.name)) {
        return RulesFault{line_of_name(text), "name",
                          "There is a rule set " + other->name +
                              " already; give yours a name of its own."};
    }
    all_.push_back(std::move(rules));
    return std::nullopt;
}

const RuleSet* KnownRules::find(std::string_view name) const {
    const auto found = std::find_if(all_.begin(), all_.end(),
                                    [small = in_small_letters(name)](const RuleSet& rules) {
                                        return in_small_letters(rules.name) == small;
                                    });
    return found == all_.end() ? nullptr : &*found;
}

std::string KnownRules::names() const {
    return listed(all_, [](const RuleSet& rules) { return rules.name; });
}

std::string group_names(const RuleSet& rules) {
    return listed(rules.times, [](const AgeGroup& group) { return group.name; });
}

std::string words(std::string_view file, const RulesFault& fault) {
    std::string out(file);
    if (fault.line > 0) out += ", line " + std::to_string(fault.line);
    if (!fault.field.empty()) out += ", " + fault.field;
    return out + ": " + fault.reason;
}

}  // namespace honbu

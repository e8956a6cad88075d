// Rule set files with one line changed, and what is said of them.
#pragma once

#include <fstream>
#include <iterator>
#include <stdexcept>
#include <string>
#include <string_view>
#include <utility>
#include <variant>

#include "engine/bout/rules_shipped.h"
#include "engine/bout/ruleset.h"

namespace honbu::rules_text {

inline std::string file_text(const std::string& path) {
    std::ifstream file(path, std::ios::binary);
    if (!file) throw std::runtime_error(path);
    return {std::istreambuf_iterator<char>(file), {}};
}

inline std::string text_of(std::string_view name) {
    for (const ShippedRules& entry : shipped_rules()) {
        if (entry.name == name) return std::string(entry.text);
    }
    throw std::runtime_error(std::string(name));
}

// The text with another line in place of the field's; an empty line takes it out.
inline std::string line_in_place(std::string text, const std::string& field,
                                 const std::string& line) {
    const std::size_t at = text.find("\n" + field + " ");
    if (at == std::string::npos) throw std::runtime_error(field);
    const std::size_t end = text.find('\n', at + 1);
    return text.replace(at, end - at, "\n" + line);
}
inline std::string with(std::string_view name, const std::string& field, const std::string& value) {
    return line_in_place(text_of(name), field, field + " = " + value);
}
inline std::string without(std::string_view name, const std::string& field) {
    return line_in_place(text_of(name), field, "");
}

inline RulesFault fault_of(std::string_view text) {
    auto parsed = parse_rules(text);
    const auto* fault = std::get_if<RulesFault>(&parsed);
    return fault == nullptr ? RulesFault{} : *fault;
}
// "field: reason"; empty: there is none.
inline std::string said_of(std::string_view text) {
    const RulesFault fault = fault_of(text);
    return fault.reason.empty() ? "" : fault.field + ": " + fault.reason;
}

}  // namespace honbu::rules_text

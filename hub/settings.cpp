#include "hub/settings.h"

#include <algorithm>
#include <cctype>
#include <cstdlib>
#include <string_view>

#include <unistd.h>

#include "hub/command_slips.h"
#include "hub/settings_file.h"
#include "hub/wire/nearest.h"

namespace honbu {
namespace {

constexpr std::string_view ours = "HONBU_";

// What can be set anywhere; others, like --help, are for the line only.
bool can_be_set(const CLI::Option& option) {
    return option.get_configurable() && !option.get_lnames().empty();
}

std::string name_of(const CLI::Option& option) { return option.get_lnames().front(); }

const CLI::Option* find(const CLI::App& app, const std::string& name) {
    for (const CLI::Option* option : app.get_options()) {
        if (can_be_set(*option) && name_of(*option) == name) return option;
    }
    return nullptr;
}

OrFault<void> put(CLI::Option& option, const std::vector<std::string>& values,
                  const std::string& where) {
    const bool flag = option.get_expected_max() == 0;
    const bool truth = values.size() == 1 && (values[0] == "true" || values[0] == "false");
    if (flag && !truth) return Fault{where + ": " + name_of(option) + " is true or false."};
    if (!flag && values.size() > 1 && option.get_items_expected_max() < 2) {
        return Fault{where + ": " + name_of(option) + " has one value, no list."};
    }
    if (flag && values[0] == "false") return {};  // as if nothing was said
    try {
        option.add_result(values);
        option.run_callback();
    } catch (const CLI::ParseError& wrong) {
        return Fault{where + ": " + wrong.what() + "."};
    }
    return {};
}

// In quotes, as the file is read.
std::string in_quotes(const std::string& text) {
    const bool plain = text.find_first_of("\"\\") == std::string::npos;
    return plain ? '"' + text + '"' : "'" + text + "'";
}

std::string value_text(const CLI::Option& option, const std::vector<std::string>& values) {
    if (option.get_expected_max() == 0) return option.as<bool>() ? "true" : "false";
    const bool number = option.get_type_name().starts_with("N");
    if (option.get_items_expected_max() < 2) {
        const std::string value = values.empty() ? std::string() : values.back();
        return number ? value : in_quotes(value);
    }
    std::string list;
    for (const std::string& value : values)
        list += (list.empty() ? "" : ", ") + in_quotes(value);
    return "[" + list + "]";
}

}  // namespace

std::string variable_of(const std::string& name) {
    std::string variable(ours);
    for (const char c : name) {
        variable += c == '-' ? '_' : static_cast<char>(std::toupper(static_cast<unsigned char>(c)));
    }
    return variable;
}

OrFault<void> Settings::settle(CLI::App& app, const CLI::App& known) {
    std::string file;
    for (CLI::Option* option : app.get_options()) {
        const bool names_file = option->check_lname("config");
        if (!can_be_set(*option) && !names_file) continue;
        const std::string name = name_of(*option);
        if (option->count() > 0) {
            from_[name] = "--" + name;
        } else {
            const std::string variable = variable_of(name);
            const char* const given = std::getenv(variable.c_str());
            if (given != nullptr && *given != '\0') {
                if (const auto taken = put(*option, {given}, variable); !taken) return taken;
                from_[name] = variable;
            }
        }
        if (names_file && option->count() > 0) file = option->as<std::string>();
    }
    if (file.empty()) return {};
    const auto settings = read_settings_file(file);
    if (!settings) return settings.error();
    for (const FileSetting& setting : *settings) {
        if (find(known, setting.name) != nullptr) continue;
        std::string near = suggestion(known, "--" + setting.name);
        if (const auto at = near.find("--"); at != std::string::npos) near.erase(at, 2);
        return Fault{place(file, setting.line) + ": '" + setting.name + "' is not known here. " +
                     near + "The names are those of honbu serve --help, without --."};
    }
    for (const FileSetting& setting : *settings) {
        if (find(app, setting.name) == nullptr || from_.contains(setting.name)) continue;
        CLI::Option& option = *app.get_option("--" + setting.name);
        const std::string where = place(file, setting.line);
        if (const auto taken = put(option, setting.values, where); !taken) return taken;
        from_[setting.name] = where;
    }
    return {};
}

std::string Settings::text(const CLI::App& app) const {
    std::string text = "# What honbu " + app.get_name() +
                       " is set to, and where each value comes "
                       "from: first the line, then the\n# environment, then the file.\n";
    for (const CLI::Option* option : app.get_options()) {
        if (!can_be_set(*option)) continue;
        const std::string name = name_of(*option);
        const auto from = from_.find(name);
        std::string line;
        if (option->count() > 0) {
            line = name + " = " + value_text(*option, option->results());
        } else if (!option->get_default_str().empty()) {
            line = name + " = " + value_text(*option, {option->get_default_str()});
        } else {
            line = "# " + name + " =";
        }
        constexpr std::size_t column = 40;
        line.resize(std::max(column, line.size() + 2), ' ');
        text += line + "# " + (from != from_.end() ? from->second : "not said") + "\n";
    }
    return text;
}

std::vector<std::string> Settings::warnings(const CLI::App& known) const {
    constexpr std::size_t slips = 2;
    std::vector<std::string> variables{variable_of("config")};
    for (const CLI::Option* option : known.get_options()) {
        if (can_be_set(*option)) variables.push_back(variable_of(name_of(*option)));
    }
    std::vector<std::string> lines;
    for (char** one = environ; one != nullptr && *one != nullptr; ++one) {
        const std::string_view entry(*one);
        const std::string given(entry.substr(0, entry.find('=')));
        if (!given.starts_with(ours)) continue;
        const auto nearer = [&given](const std::string& a, const std::string& b) {
            return letters_apart(given, a) < letters_apart(given, b);
        };
        const auto best = std::min_element(variables.begin(), variables.end(), nearer);
        const std::size_t apart = letters_apart(given, *best);
        if (apart == 0 || apart > slips) continue;
        lines.push_back("The variable " + given +
                        " is not known and changes nothing. Did you mean " + *best + "?");
    }
    return lines;
}

}  // namespace honbu

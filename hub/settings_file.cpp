#include "hub/settings_file.h"

#include <algorithm>
#include <regex>
#include <sstream>

#include "hub/text_file.h"

namespace honbu {
namespace {

constexpr std::size_t line_max = 1000;

// TOML's basic strings without escapes, and its literal strings.
const std::string quoted = R"((?:"[^"\\\x01-\x08\x0a-\x1f]*"|'[^'\x01-\x08\x0a-\x1f]*'))";

bool is(const std::string& line, const std::string& form) {
    return std::regex_match(line, std::regex(form));
}

// A text without its quotes, each text of a list, or a bare word.
std::vector<std::string> values_of(const std::string& value) {
    if (value.find_first_of("\"'") == std::string::npos) return {value};
    const std::regex text(quoted);
    std::vector<std::string> found;
    for (std::sregex_iterator one(value.begin(), value.end(), text); one != std::sregex_iterator();
         ++one) {
        const std::string with_quotes = one->str();
        found.push_back(with_quotes.substr(1, with_quotes.size() - 2));
    }
    return found;
}

// Why a line is none of `name = value`, for people.
std::string why_not(const std::string& line) {
    if (is(line, R"(\s*\[.*)")) return "there are no sections here: write name = value";
    if (line.find('=') == std::string::npos) return "this is no setting: write name = value";
    if (line.find('\\') != std::string::npos) {
        return "a backslash is not read here: write the text in single quotes";
    }
    if (is(line, R"([^=]*=\s*\[[^\]]*)")) return "write the whole list on one line";
    return "the value can't be read: it is text in quotes, a whole number, true, false, or a list "
           "of texts in [ ]";
}

}  // namespace

std::string place(const std::filesystem::path& file, std::size_t line) {
    return file.string() + ", line " + std::to_string(line);
}

OrFault<std::vector<FileSetting>> read_settings_file(const std::filesystem::path& file) {
    const auto text = read_text(file);
    if (!text) return text.error();
    static const std::regex setting(R"(\s*([A-Za-z0-9_-]+)\s*=\s*()" + quoted +
                                    R"(|[0-9]+|true|false|\[\s*)" + quoted + R"((?:\s*,\s*)" +
                                    quoted + R"()*\s*\])\s*(?:#.*)?)");
    std::vector<FileSetting> settings;
    std::istringstream lines(*text);
    std::string line;
    for (std::size_t number = 1; std::getline(lines, line); ++number) {
        if (line.ends_with('\r')) line.pop_back();
        if (line.size() > line_max) {
            return Fault{place(file, number) + ": the line is longer than 1000 characters."};
        }
        if (is(line, R"(\s*(?:#.*)?)")) continue;
        std::smatch parts;
        if (!std::regex_match(line, parts, setting)) {
            return Fault{place(file, number) + ": " + why_not(line) + "."};
        }
        FileSetting found{parts[1], values_of(parts[2]), number};
        const auto same = [&found](const FileSetting& one) { return one.name == found.name; };
        const auto before = std::find_if(settings.begin(), settings.end(), same);
        if (before != settings.end()) {
            return Fault{place(file, number) + ": '" + found.name + "' is set on line " +
                         std::to_string(before->line) + " already. Keep one of the two."};
        }
        settings.push_back(std::move(found));
    }
    return settings;
}

}  // namespace honbu

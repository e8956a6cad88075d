#include "hub/command_slips.h"

#include <algorithm>
#include <vector>

#include "hub/wire/nearest.h"

namespace honbu {
namespace {

// Then it was only given too early: what an option belongs to comes before it.
bool known_here(const CLI::App& app, const std::string& given) {
    return given.starts_with("--") &&
           app.get_option_no_throw(given.substr(0, given.find('='))) != nullptr;
}

}  // namespace

Innermost innermost(CLI::App& app) {
    Innermost found{&app, app.get_name()};
    while (!found.app->get_subcommands().empty()) {
        found.app = found.app->get_subcommands().front();
        found.words += " " + found.app->get_name();
    }
    return found;
}

std::string suggestion(const CLI::App& app, const std::string& given) {
    std::vector<std::string> known;
    for (const CLI::Option* option : app.get_options()) {
        for (const std::string& name : option->get_lnames())
            known.push_back("--" + name);
    }
    for (const CLI::App* sub : app.get_subcommands({}))
        known.push_back(sub->get_name());
    const auto nearer = [&given](const std::string& a, const std::string& b) {
        return letters_apart(given, a) < letters_apart(given, b);
    };
    const auto best = std::min_element(known.begin(), known.end(), nearer);
    constexpr std::size_t slips = 3;
    if (best == known.end() || letters_apart(given, *best) > slips) return {};
    return "Did you mean " + *best + "? ";
}

// What was not understood comes first: what is missing is often only its consequence.
std::string slip_words(CLI::App& app, const CLI::ParseError& wrong) {
    const Innermost at = innermost(app);
    const std::vector<std::string> unknown = app.remaining(true);
    std::string said;
    if (!unknown.empty() && known_here(*at.app, unknown.front())) {
        said = "'" + unknown.front() + "' comes after the command: " + at.words + " " +
               unknown.front() + " ... ";
    } else if (!unknown.empty()) {
        said = "'" + unknown.front() + "' is not known here. " +
               suggestion(*at.app, unknown.front());
    } else {
        said = std::string(wrong.what()) + ". ";
    }
    return said + at.words + " --help says what can be given.";
}

}  // namespace honbu

// One precedence for what can be set: the command line, then the environment, then a file, then
// what holds if nothing was said.
//
// Every option that has a value is one word: --mirror-x on the line, HONBU_MIRROR_X in the
// environment, mirror-x in the file. A source that says a thing replaces what later ones say of it
// as a whole, lists too. Secrets are files that an option names, never values. Before anything is
// opened: what is wrong is one sentence, and nothing has been done.
#pragma once

#include <filesystem>
#include <map>
#include <string>
#include <vector>

#include <CLI/CLI.hpp>

#include "hub/fault.h"

namespace honbu {

class Settings {
public:
    // `app` has read its line. What was not given there comes from the environment, then from the
    // file that --config names. The file may say all that `known` takes.
    [[nodiscard]] OrFault<void> settle(CLI::App& app, const CLI::App& known);
    // As a file of settings, with where each value came from; can be given as one again.
    [[nodiscard]] std::string text(const CLI::App& app) const;
    // Of variables that begin like ours and are none, but look much like one.
    [[nodiscard]] std::vector<std::string> warnings(const CLI::App& known) const;

private:
    std::map<std::string, std::string> from_;  // by name: where the value stands
};

// "HONBU_MIRROR_X" for "mirror-x".
[[nodiscard]] std::string variable_of(const std::string& name);

}  // namespace honbu

// What somebody typed and honbu did not understand, said in one sentence.
#pragma once

#include <string>

#include <CLI/CLI.hpp>

namespace honbu {

// The innermost command that was named: its --help is the one that helps.
struct Innermost {
    CLI::App* app;
    std::string words;  // "honbu journal verify"
};
[[nodiscard]] Innermost innermost(CLI::App& app);

// "Did you mean --data? ", if something that is known there looks much like it; else nothing.
[[nodiscard]] std::string suggestion(const CLI::App& app, const std::string& given);
// Where it went wrong, what is meant perhaps, and where to read on. Ends with a full stop.
[[nodiscard]] std::string slip_words(CLI::App& app, const CLI::ParseError& wrong);

}  // namespace honbu

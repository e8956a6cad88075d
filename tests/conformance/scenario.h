// A worked bout: reads one file (format: tests/conformance/README.md) and plays it through the
// engine the way a table does: each call is first asked for entry, and only then kept.
//
// Words are checked while reading: whatever can't be read is one fault that names its line.
// Single-threaded, owns nothing but what it returns.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "engine/bout/fold.h"

namespace honbu {

struct ScenarioLine {
    std::size_t number = 0;
    std::string text;
};

struct Expectation {
    ScenarioLine line;
    std::optional<Instant> at;  // nothing: at the last call
    std::vector<std::string> facts;
};

struct Scenario {
    RuleSet rules;
    Duration time;
    Duration golden;  // limit of golden score; 0: none
    std::vector<Call> calls;
    std::vector<CallId> gives;  // calls that turn another as it then stands
    std::vector<Expectation> expectations;

    Conditions under() const { return Conditions{rules, time, golden}; }
    Instant end() const { return calls.back().entered; }
};

// Everything up to `until`, asked call by call: what was kept, and what was refused with words.
struct Played {
    std::vector<Call> kept;
    std::map<std::uint32_t, std::string> refused;  // by call line
};

Scenario read_scenario(const std::string& text);  // throws std::runtime_error with the line
Played play(const Scenario& scenario, Instant until);

// Empty: every expectation holds. Otherwise one sentence for each that does not, with its line.
std::vector<std::string> play_scenario(const std::string& text);

// -- reading, shared by the two halves; each throws std::runtime_error in words
[[noreturn]] void wrong(const std::string& what);
std::uint32_t number(const std::string& text);
std::uint32_t seconds_ms(const std::string& text);  // "12", "12.5"
std::uint32_t time_ms(const std::string& text);     // "1:12.5"
Side side_named(const std::string& text);
Site site_named(const std::string& text);
std::vector<std::string> words_of(const std::string& text);
// Of "shido white leg grab". `give` is a Replace whose act is looked up when it is played.
What call_named(const std::vector<std::string>& words);

}  // namespace honbu

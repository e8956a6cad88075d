// Reads a worked bout (format: tests/conformance/README.md) and plays it through the engine the way
// a table does: each call is first asked for refusal, and only then kept.
#pragma once

#include <string>
#include <vector>

namespace honbu {

// Empty: every expectation holds. Otherwise one sentence for each that does not, with its line.
std::vector<std::string> play_scenario(const std::string& text);

}  // namespace honbu

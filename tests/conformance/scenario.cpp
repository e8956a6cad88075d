#include "tests/conformance/scenario.h"

#include <algorithm>
#include <sstream>
#include <stdexcept>

#include "engine/bout/rules_shipped.h"
#include "tests/conformance/facts.h"

namespace honbu {
namespace {

constexpr RunId the_run{1};

std::string trimmed(const std::string& text) {
    const std::size_t first = text.find_first_not_of(" \t");
    if (first == std::string::npos) return {};
    return text.substr(first, text.find_last_not_of(" \t") - first + 1);
}

std::string without_comment(const std::string& line) {
    for (std::size_t hash = line.find('#'); hash != std::string::npos;
         hash = line.find('#', hash + 1)) {
        if (hash == 0 || line[hash - 1] == ' ') return trimmed(line.substr(0, hash));
    }
    return trimmed(line);
}

// Facts stand between commas; a comma inside "..." belongs to the words.
std::vector<std::string> facts_of(const std::string& text) {
    std::vector<std::string> out(1);
    bool quoted = false;
    for (const char c : text) {
        if (c == '"') quoted = !quoted;
        if (c == ',' && !quoted) {
            out.emplace_back();
        } else {
            out.back() += c;
        }
    }
    for (std::string& fact : out) {
        fact = trimmed(fact);
        if (fact.empty()) wrong("an empty fact");
    }
    return out;
}

class Reading {
public:
    void line(std::size_t number, const std::string& text) {
        const std::vector<std::string> words = words_of(text);
        if (words[0] == "rules") {
            rules_named(words.at(1));
        } else if (words[0] == "with") {
            changed(trimmed(text.substr(4)));
        } else if (words[0] == "time") {
            time_ = trimmed(text.substr(4));
        } else if (words[0] == "=") {
            expectation(number, text, words);
        } else {
            call(words);
        }
    }

    Scenario scenario() {
        if (time_.empty() || out_.calls.empty() || out_.expectations.empty()) {
            wrong("a scenario needs rules, time, a call and an expectation");
        }
        std::variant<RuleSet, RulesFault> parsed = parse_rules(rules_text_);
        if (const auto* fault = std::get_if<RulesFault>(&parsed)) {
            wrong("rules: " + fault->field + ": " + fault->reason);
        }
        out_.rules = std::get<RuleSet>(parsed);
        const AgeGroup* group = out_.rules.group(time_);
        out_.time = group != nullptr ? group->time : Duration{time_ms(time_)};
        out_.golden = out_.rules.golden_limit_for(out_.time, group);
        return std::move(out_);
    }

private:
    void rules_named(const std::string& name) {
        for (const ShippedRules& rules : shipped_rules()) {
            if (rules.name == name) rules_text_ = rules.text;
        }
        if (rules_text_.empty()) wrong("no rule set named " + name);
    }

    // The field's old line goes, the new one comes at the end.
    void changed(const std::string& line) {
        const std::size_t equals = line.find('=');
        if (equals == std::string::npos) wrong("with FIELD = VALUE");
        const std::string field = trimmed(line.substr(0, equals));
        std::istringstream in(rules_text_);
        std::string kept;
        for (std::string old; std::getline(in, old);) {
            if (trimmed(old.substr(0, old.find('='))) != field) kept += old + "\n";
        }
        rules_text_ = kept + line + "\n";
    }

    void expectation(std::size_t number, const std::string& text,
                     const std::vector<std::string>& words) {
        const std::size_t colon = text.find(": ");
        if (colon == std::string::npos) wrong("no facts");
        Expectation e{{number, text}, {}, facts_of(text.substr(colon + 2))};
        if (words.at(1) != "end:") {
            std::string at = words.at(2);
            at.pop_back();  // the colon
            e.at = Instant{time_ms(at)};
        }
        out_.expectations.push_back(std::move(e));
    }

    void call(std::vector<std::string> words) {
        Call call;
        call.id = {the_run, CallNumber{static_cast<std::uint32_t>(out_.calls.size() + 1)}};
        call.entered = Instant{time_ms(words[0])};
        words.erase(words.begin());
        if (words.size() > 2 && words[words.size() - 2] == "at") {
            call.back = call.entered - Instant{time_ms(words.back())};
            words.resize(words.size() - 2);
        }
        if (words.empty()) wrong("no call");
        call.what = call_named(words);
        if (!out_.calls.empty() && call.entered < out_.calls.back().entered) {
            wrong("instants go down");
        }
        if (words[0] == "give") out_.gives.push_back(call.id);
        out_.calls.push_back(std::move(call));
    }

    Scenario out_;
    std::string rules_text_;
    std::string time_;
};

}  // namespace

Scenario read_scenario(const std::string& text) {
    Reading reading;
    std::istringstream in(text);
    std::size_t line_number = 0;
    for (std::string line; std::getline(in, line);) {
        ++line_number;
        line = without_comment(line);
        if (line.empty()) continue;
        try {
            reading.line(line_number, line);
        } catch (const std::exception& e) {
            wrong("line " + std::to_string(line_number) + ": " + e.what() + " in '" + line + "'");
        }
    }
    return reading.scenario();
}

namespace {

// The same for the other athlete, as the call stands by now.
What given_over(const std::vector<Call>& kept, CallId id) {
    std::optional<Act> out;
    for (const Call& call : kept) {
        if (call.id == id) out = act(call.what);
        const auto* replace = std::get_if<Replace>(&call.what);
        if (replace != nullptr && replace->call == id) out = replace->by;
    }
    if (!out) wrong("there is no such call to give");
    return Replace{id, mirrored(*out)};
}

}  // namespace

Played play(const Scenario& scenario, Instant until) {
    const Conditions under = scenario.under();
    Played out;
    for (Call call : scenario.calls) {
        if (call.entered > until) break;
        if (std::holds_alternative<Confirm>(call.what)) {
            call.what = Confirm{result_of(under, out.kept, call.entered)};
        }
        if (std::count(scenario.gives.begin(), scenario.gives.end(), call.id) > 0) {
            call.what = given_over(out.kept, *refers_to(call.what));
        }
        if (const auto no = no_entry(under, out.kept, call)) {
            out.refused[call.id.number.value] = *no;
        } else {
            out.kept.push_back(std::move(call));
        }
    }
    return out;
}

std::vector<std::string> play_scenario(const std::string& text) {
    std::vector<std::string> faults;
    try {
        const Scenario scenario = read_scenario(text);
        for (const Expectation& e : scenario.expectations) {
            const Instant until = e.at.value_or(scenario.end());
            const Played played = play(scenario, until);
            const Seen seen(scenario, played, until);
            for (const std::string& fact : e.facts) {
                if (seen.holds(fact)) continue;
                faults.push_back("line " + std::to_string(e.line.number) + ": '" + fact +
                                 "' does not hold; " + seen.described());
            }
        }
    } catch (const std::exception& e) {
        faults.emplace_back(e.what());
    }
    return faults;
}

}  // namespace honbu

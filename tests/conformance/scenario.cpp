#include "tests/conformance/scenario.h"

#include <charconv>
#include <map>
#include <optional>
#include <sstream>
#include <stdexcept>

#include "engine/bout/fold.h"

namespace honbu {
namespace {

[[noreturn]] void wrong(const std::string& what) { throw std::runtime_error(what); }

std::uint32_t number(const std::string& text) {
    std::uint32_t value = 0;
    const auto [end, ec] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (ec != std::errc{} || end != text.data() + text.size()) wrong("not a number: " + text);
    return value;
}

// "12", "12.5", "12.345" seconds.
std::uint32_t seconds_ms(const std::string& text) {
    const std::size_t dot = text.find('.');
    std::uint32_t ms = number(text.substr(0, dot)) * 1000;
    if (dot != std::string::npos) {
        std::string part = text.substr(dot + 1);
        if (part.empty() || part.size() > 3) wrong("not a time: " + text);
        part.resize(3, '0');
        ms += number(part);
    }
    return ms;
}

std::uint32_t time_ms(const std::string& text) {
    const std::size_t colon = text.find(':');
    if (colon == std::string::npos) wrong("not a time: " + text);
    return number(text.substr(0, colon)) * 60'000 + seconds_ms(text.substr(colon + 1));
}

Side side_named(const std::string& text) {
    if (text == "white") return Side::white;
    if (text == "blue") return Side::blue;
    wrong("white or blue, not '" + text + "'");
}

Sides sides_named(const std::string& text) {
    return text == "both" ? both_sides() : only(side_named(text));
}

constexpr RunId the_run{1};

What call_named(const std::string& name, const std::string& rest) {
    if (name == "hajime") return Hajime{};
    if (name == "mate") return Mate{};
    if (name == "sono-mama") return SonoMama{};
    if (name == "yoshi") return Yoshi{};
    if (name == "toketa") return Toketa{};
    if (name == "sore-made") return SoreMade{};
    if (name == "kachi") return Kachi{};
    if (name == "osaekomi") return Osaekomi{side_named(rest)};
    if (name == "koka") return Score{side_named(rest), Level::koka};
    if (name == "yuko") return Score{side_named(rest), Level::yuko};
    if (name == "waza-ari") return Score{side_named(rest), Level::waza_ari};
    if (name == "ippon") return Score{side_named(rest), Level::ippon};
    if (name == "shido") return Shido{sides_named(rest)};
    if (name == "hansoku-make") return HansokuMake{sides_named(rest)};
    if (name == "submission") return Submission{side_named(rest)};
    if (name == "hantei") return Award{side_named(rest), Way::hantei};
    if (name == "kiken-gachi") return Award{side_named(rest), Way::kiken_gachi};
    if (name == "fusen-gachi") return Award{side_named(rest), Way::fusen_gachi};
    if (name == "strike") return Strike{CallId{the_run, CallNumber{number(rest)}}};
    wrong("unknown call: " + name);
}

struct Line {
    std::size_t number = 0;
    std::string text;
};

struct Expectation {
    Line line;
    std::optional<Instant> at;  // nothing: at the last call
    std::vector<std::string> facts;
};

struct Scenario {
    RuleSet rules;
    Duration time;
    std::vector<Call> calls;
    std::vector<Expectation> expectations;
};

std::vector<std::string> words_of(const std::string& text) {
    std::istringstream in(text);
    std::vector<std::string> out;
    for (std::string word; in >> word;)
        out.push_back(word);
    return out;
}

std::string trimmed(const std::string& text) {
    const std::size_t first = text.find_first_not_of(" \t");
    if (first == std::string::npos) return {};
    return text.substr(first, text.find_last_not_of(" \t") - first + 1);
}

Scenario read(const std::string& text) {
    Scenario scenario;
    bool has_rules = false;
    bool has_time = false;
    std::istringstream in(text);
    std::size_t line_number = 0;
    for (std::string line; std::getline(in, line);) {
        ++line_number;
        for (std::size_t hash = line.find('#'); hash != std::string::npos;
             hash = line.find('#', hash + 1)) {
            if (hash == 0 || line[hash - 1] == ' ') {
                line.resize(hash);
                break;
            }
        }
        line = trimmed(line);
        if (line.empty()) continue;
        try {
            const std::vector<std::string> words = words_of(line);
            if (words[0] == "rules") {
                const std::optional<RuleSet> found = shipped(words.at(1));
                if (!found) wrong("no rule set named " + words[1]);
                scenario.rules = *found;
                has_rules = true;
            } else if (words[0] == "time") {
                scenario.time = Duration{time_ms(words.at(1))};
                has_time = true;
            } else if (words[0] == "=") {
                const std::size_t colon = line.find(": ");
                if (colon == std::string::npos) wrong("no facts");
                Expectation e{{line_number, line}, {}, {}};
                if (words.at(1) != "end:") {
                    std::string at = words.at(2);
                    at.pop_back();  // the colon
                    e.at = Instant{time_ms(at)};
                }
                std::istringstream facts(line.substr(colon + 2));
                for (std::string fact; std::getline(facts, fact, ',');) {
                    e.facts.push_back(trimmed(fact));
                }
                if (e.facts.empty()) wrong("no facts");
                scenario.expectations.push_back(std::move(e));
            } else {
                Call call;
                call.id = {the_run,
                           CallNumber{static_cast<std::uint32_t>(scenario.calls.size() + 1)}};
                call.entered = Instant{time_ms(words[0])};
                call.what = call_named(words.at(1), words.size() > 2 ? words[2] : "");
                if (!scenario.calls.empty() && call.entered < scenario.calls.back().entered) {
                    wrong("instants go down");
                }
                scenario.calls.push_back(std::move(call));
            }
        } catch (const std::exception& e) {
            wrong("line " + std::to_string(line_number) + ": " + e.what() + " in '" + line + "'");
        }
    }
    if (!has_rules || !has_time || scenario.calls.empty() || scenario.expectations.empty()) {
        wrong("a scenario needs rules, time, a call and an expectation");
    }
    return scenario;
}

// What one looks at: the state, and what became of each call line made so far.
struct Seen {
    const RuleSet& rules;
    State state;
    Instant at;
    std::map<std::uint32_t, Standing> standing;  // by call line
    std::map<std::uint32_t, std::string> refused;
};

bool holds(const Seen& seen, const std::string& fact) {
    const std::vector<std::string> w = words_of(fact);
    const State& s = seen.state;
    const std::string& head = w.at(0);
    if (head == "undecided") return !s.decided();
    if (head == "winner") {
        if (w.at(1) == "none") return !s.decided();
        if (w.at(1) == "both") return s.decision.winner == Winner::both_lose;
        return s.decision.winner == winner(side_named(w[1]));
    }
    if (head == "way") return word(s.decision.way) == fact.substr(4);
    if (head == "clock") return s.contest.at(seen.at).ms == time_ms(w.at(1));
    if (head == "total") return (s.regular + s.contest.at(seen.at)).ms == time_ms(w.at(1));
    if (fact == "golden score") return s.golden;
    if (fact == "time up") return s.time_up;
    if (head == "running") return s.contest.running;
    if (head == "standing") return !s.contest.running && s.phase != Phase::frozen;
    if (head == "frozen") return s.phase == Phase::frozen && !s.contest.running;
    if (fact == "no hold") return !s.hold.on;
    if (head == "hold") {
        return s.hold.on && s.hold.by == side_named(w.at(1)) &&
               s.hold.clock.at(seen.at).ms == seconds_ms(w.at(2));
    }
    if (head == "board") {
        const BoardSide board = shown(seen.rules, s, side_named(w.at(1)));
        return board.score[index(Level::ippon)] == number(w.at(2)) &&
               board.score[index(Level::waza_ari)] == number(w.at(3)) &&
               board.score[index(Level::yuko)] == number(w.at(4)) && board.shido == number(w.at(5));
    }
    if (head == "refused") return seen.refused.count(number(w.at(1))) == 1;
    if (head == "without") {
        const auto found = seen.standing.find(number(w.at(2)));
        return found != seen.standing.end() && found->second == Standing::without_effect;
    }
    wrong("unknown fact: " + fact);
}

std::string described(const Seen& seen) {
    const State& s = seen.state;
    std::string out = "winner " + std::to_string(static_cast<int>(s.decision.winner)) + " way '" +
                      std::string(word(s.decision.way)) + "' clock " +
                      std::to_string(s.contest.at(seen.at).ms) + " ms phase " +
                      std::to_string(static_cast<int>(s.phase));
    for (const Side side : {Side::white, Side::blue}) {
        const BoardSide board = shown(seen.rules, s, side);
        out += std::string(" | ") + std::string(word(side));
        for (std::size_t i = level_count; i-- > 0;)
            out += " " + std::to_string(board.score[i]);
        out += " shido " + std::to_string(board.shido);
    }
    if (s.hold.on) out += " | hold " + std::to_string(s.hold.clock.at(seen.at).ms) + " ms";
    for (const auto& [line, why] : seen.refused) {
        out += " | refused " + std::to_string(line) + ": " + why;
    }
    return out;
}

}  // namespace

std::vector<std::string> play_scenario(const std::string& text) {
    std::vector<std::string> faults;
    try {
        const Scenario scenario = read(text);
        const Conditions under{scenario.rules, scenario.time};
        for (const Expectation& e : scenario.expectations) {
            const Instant until = e.at.value_or(scenario.calls.back().entered);
            Seen seen{scenario.rules, {}, until, {}, {}};
            std::vector<Call> kept;
            for (const Call& call : scenario.calls) {
                if (call.entered > until) break;
                const State before = fold(under, kept, call.entered).state;
                if (const auto no = refusal(under, kept, before, call.what)) {
                    seen.refused[call.id.number.value] = *no;
                } else {
                    kept.push_back(call);
                }
            }
            const Folded folded = fold(under, kept, until);
            seen.state = folded.state;
            for (std::size_t i = 0; i < kept.size(); ++i) {
                seen.standing[kept[i].id.number.value] = folded.places[i].standing;
            }
            for (const std::string& fact : e.facts) {
                if (holds(seen, fact)) continue;
                faults.push_back("line " + std::to_string(e.line.number) + ": '" + fact +
                                 "' does not hold; " + described(seen));
            }
        }
    } catch (const std::exception& e) {
        faults.push_back(e.what());
    }
    return faults;
}

}  // namespace honbu

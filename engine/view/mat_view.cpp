#include "engine/view/mat_view.h"

#include <utility>

#include "engine/bout/text.h"

namespace honbu {
namespace {

std::string_view side_word(const RuleSet& rules, Winner who) {
    return who == Winner::white ? std::string_view(rules.white_word)
                                : std::string_view(rules.blue_word);
}

std::string outcome(const RuleSet& rules, Winner who, Way way, Means means) {
    switch (who) {
    case Winner::undecided: return {};
    case Winner::white:
    case Winner::blue:
        return Text() << side_word(rules, who) << " wins by " << word(way)
                      << (word(means).empty() ? "" : " ") << word(means);
    case Winner::both_lose: return "both lose";
    case Winner::draw: return "hiki-wake";
    }
    return {};
}

// A hold that has scored in golden score has decided the bout and goes on.
bool runs_on(const State& s) { return s.hold.on && s.decided(); }

// Time is up while a hold runs, and the rules let the signal wait for its end.
bool signal_waits(const RuleSet& rules, const State& s) {
    return rules.end_signal == EndSignal::waits_for_hold && s.time_up && s.hold.on;
}

Instant moved(Instant t, std::int64_t shift_ms) {
    const std::int64_t at = std::int64_t{t.ms} + shift_ms;
    return Instant{at < 0 ? 0U : static_cast<std::uint32_t>(at)};
}

}  // namespace

BoutHead seated(BoutHead head, bool names_exchanged) {
    if (names_exchanged) std::swap(head.white, head.blue);
    return head;
}

std::string words(const RuleSet& rules, const State& s) {
    if (s.decided()) {
        std::string text = outcome(rules, s.decision.winner, s.decision.way, s.decision.means);
        if (runs_on(s)) text += ", the hold goes on";
        return text;
    }
    if (s.absence.who.bits != 0) {
        const bool both = s.absence.who == both_sides();
        const std::string& who = s.absence.who.has(Side::white) ? rules.white_word
                                                                : rules.blue_word;
        if (both) return "both are called for";
        return Text() << who << " is called for";
    }
    switch (s.phase) {
    case Phase::waiting: return {};
    case Phase::called: return "called to the mat";
    case Phase::frozen: return "sono-mama";
    case Phase::fighting:
    case Phase::stopped:
    case Phase::over:
    case Phase::announced:
    case Phase::confirmed:
    case Phase::accepted: break;
    }
    if (s.time_up && s.hold.on) return "time is up, the hold goes on";
    if (s.time_up) {
        switch (s.golden ? rules.golden_tie : rules.tie) {
        case Tie::golden_score: return "golden score follows";
        case Tie::hantei: return "equal: hantei";
        case Tie::hiki_wake: return "equal: hiki-wake";
        }
    }
    if (s.golden) return "golden score";
    if (s.phase == Phase::over) return "sore-made";
    return {};
}

std::string words(const RuleSet& rules, const Result& r) {
    Text text;
    text << outcome(rules, r.winner, r.way, r.means);
    if (r.way == Way::fusen_gachi) return text;
    if (r.flags > 0) text << " " << r.flags << ":" << 3U - r.flags;
    text << ", " << clock_text(r.regular);
    if (r.golden_score) {
        text << " + golden score " << clock_text(r.golden) << " = "
             << clock_text(r.regular + r.golden);
    }
    return text;
}

std::vector<Level> board_levels(const RuleSet& rules) {
    std::vector<Level> levels;
    for (const Level level : {Level::ippon, Level::waza_ari, Level::yuko, Level::koka}) {
        if (rules.has(level)) levels.push_back(level);
    }
    return levels;
}

void put_rules(const RuleSet& rules, BoutHead& head) {
    head.white_word = rules.white_word;
    head.blue_word = rules.blue_word;
    head.white_colour = rules.white_colour;
    head.blue_colour = rules.blue_colour;
    head.levels = board_levels(rules);
}

FrameShown show(const Conditions& under, const Frame& frame, std::int64_t shift_ms) {
    const State& s = frame.state;
    FrameShown out;
    out.from = moved(frame.from, shift_ms);
    out.why = frame.why;
    out.phase = s.phase;
    out.golden = s.golden;
    out.time_up = s.time_up;
    out.clock_running = s.contest.running;
    out.clock_down = !s.golden;
    const Duration elapsed = s.contest.at(frame.from);
    out.clock = out.clock_down ? under.time - elapsed : elapsed;
    out.hold_on = s.hold.on;
    if (s.hold.on) {
        out.hold_by = s.hold.by;
        out.hold_running = s.hold.clock.running;
        out.hold = s.hold.clock.at(frame.from);
        out.hold_reached = s.hold.reached;
    }
    out.white = shown(under.rules, s, Side::white);
    out.blue = shown(under.rules, s, Side::blue);
    out.winner = s.decision.winner;
    out.way = s.decision.way;
    out.words = words(under.rules, s);
    out.regular = s.golden ? s.regular : elapsed;
    out.limit = s.golden ? under.golden : Duration{};
    out.decided = s.decided();
    out.review = s.review;
    out.signal_waits = signal_waits(under.rules, s);
    if (s.past_hold.readable) {
        out.past_hold = true;
        out.past_hold_by = s.past_hold.by;
        out.past_hold_value = s.past_hold.value;
    }
    out.absent = s.absence.who;
    out.absent_calls = s.absence.calls;
    out.absent_running = s.absence.clock.running;
    if (s.absence.clock.running) {
        out.absent_left = under.rules.call_wait - s.absence.clock.at(frame.from);
    }
    out.absent_over = s.absence.over;
    return out;
}

std::vector<FrameShown> show_all(const Conditions& under, std::span<const Call> calls,
                                 std::int64_t shift_ms) {
    return show_all(under, frames(under, calls), shift_ms);
}

std::vector<FrameShown> show_all(const Conditions& under, const std::vector<Frame>& frames,
                                 std::int64_t shift_ms) {
    std::vector<FrameShown> out;
    for (const Frame& frame : frames)
        out.push_back(show(under, frame, shift_ms));
    return out;
}

}  // namespace honbu

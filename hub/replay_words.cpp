// The replay for people: a table that reads from top to bottom as the bout went.
#include <algorithm>
#include <iostream>
#include <variant>

#include "engine/view/mat_view.h"
#include "hub/call_words.h"
#include "hub/how_many.h"
#include "hub/replay_telling.h"

namespace honbu {

std::string happening_words(const RuleSet& rules, const Frame& frame) {
    const State& s = frame.state;
    switch (frame.why) {
    case Happening::none: return {};
    case Happening::time_up: return s.golden ? "golden score is over" : "time is up";
    case Happening::hold_level:
        if (s.hold.on && s.hold.reached > 0) {
            return "hold: " + std::string(word(static_cast<Level>(s.hold.reached))) + " for " +
                   rules.side_word(s.hold.by);
        }
        return "hold: the next score is reached";
    case Happening::hold_ended: return "the hold has reached its end";
    case Happening::absence_due: return "the next call for who is missing is due";
    case Happening::absence_over: return "the time to appear is over";
    case Happening::hold_faded: return "the last hold's time is taken off the board";
    }
    return {};
}

namespace {

constexpr std::size_t words_wide = 38;

std::string left(std::string text, std::size_t wide) {
    if (text.size() < wide) text.append(wide - text.size(), ' ');
    return text;
}
std::string right(const std::string& text, std::size_t wide) {
    return text.size() < wide ? std::string(wide - text.size(), ' ') + text : text;
}

char letter(Level level) {
    switch (level) {
    case Level::koka: return 'K';
    case Level::yuko: return 'Y';
    case Level::waza_ari: return 'W';
    case Level::ippon: return 'I';
    }
    return ' ';
}

// "2:40.000": since the beginning of the file's clock.
std::string instant_text(Instant t) {
    const std::string thousandths = std::to_string(t.ms % 1000);
    return clock_text(Duration{t.ms}) + "." + std::string(3 - thousandths.size(), '0') +
           thousandths;
}

class InWords final : public Telling {
public:
    void begin(const Conditions& under) override {
        rules_ = under.rules;
        time_ = under.time;
        golden_ = under.golden;
        std::cout << "Rules " << rules_.name << " (" << rules_.title << "), " << clock_text(time_)
                  << golden_words() << ".\n";
        std::cout << "The board: ";
        for (const Level level : board_levels(rules_))
            std::cout << letter(level) << " " << word(level) << ", ";
        std::cout << "S shido (H: hansoku-make). GS: golden score.\n\n";
        head();
    }

    void came(const Frame& frame) override {
        if (frame.why == Happening::hold_faded) return;
        row(frame, "", happening_words(rules_, frame));
    }

    void taken(const Said& said, const Frame& after) override {
        row(after, std::to_string(said.position), named(said.call));
    }

    void refused(const Said& said, const Frame& still, const std::string& why) override {
        std::cout << right(instant_text(still.from), 10) << right(clock(still), 10)
                  << right(std::to_string(said.position), 5) << "  " << named(said.call)
                  << ": NOT TAKEN. " << why << "\n";
    }

    void end(const Ended& ended) override {
        const Conditions under{rules_, time_, golden_};
        corrected(under, ended);
        const Folded folded = fold(under, ended.calls, ended.until);
        result(under, ended, folded.state);
        idle(ended, folded);
        if (ended.refused > 0) {
            std::cout << "\n"
                      << how_many(ended.refused, "call was", "calls were")
                      << " not taken; the lines above say why.\n";
        }
        const auto offered = offers(under, ended.calls, folded.state, ended.until);
        if (!offered.empty()) std::cout << "\nOffered to the table, which decides:\n";
        for (const Offer& offer : offered)
            std::cout << "  " << offer.words << "\n";
        const auto asked = prompts(under, folded.state);
        if (!asked.empty()) std::cout << "\nFor a person to decide:\n";
        for (const std::string& prompt : asked)
            std::cout << "  " << prompt << "\n";
    }

private:
    std::string golden_words() const {
        if (rules_.tie != Tie::golden_score) return ", no golden score";
        return golden_.ms == 0 ? ", golden score without limit"
                               : ", golden score of at most " + clock_text(golden_);
    }

    std::string named(const Call& call) const {
        std::string out = call_words(
            call.what, TellCalls{rules_.white_word, rules_.blue_word, [&call](CallId id) {
                                     const std::string number = std::to_string(id.number.value);
                                     return id.run == call.id.run ? "call " + number
                                                                  : "another page's call " + number;
                                 }});
        if (call.back.ms > 0) {
            out += ", put in for " + clock_text(call.back) + "." +
                   std::to_string(call.back.ms % 1000 / 100) + " before";
        }
        return out;
    }

    std::string clock(const Frame& frame) const {
        const Duration elapsed = frame.state.contest.at(frame.from);
        if (frame.state.golden) return "GS " + clock_text(elapsed);
        return remaining_text(time_ - elapsed);
    }

    std::string side_head() const {
        std::string out;
        for (const Level level : board_levels(rules_))
            out += std::string(1, letter(level)) + " ";
        return out + "S";
    }

    std::string side(const State& s, Side which) const {
        const BoardSide board = shown(rules_, s, which);
        std::string out;
        for (const Level level : board_levels(rules_))
            out += std::to_string(board.score[index(level)]) + " ";
        return out + (board.hansoku_make ? "H" : std::to_string(board.shido));
    }

    static std::string hold(const RuleSet& rules, const Frame& frame) {
        const State& s = frame.state;
        if (s.hold.on) {
            return rules.side_word(s.hold.by) + " " + clock_text(s.hold.clock.at(frame.from));
        }
        if (s.past_hold.readable) {
            return "(" + rules.side_word(s.past_hold.by) + " " + clock_text(s.past_hold.value) +
                   ")";
        }
        return {};
    }

    void head() const {
        const std::size_t wide = std::max(side_head().size(), rules_.white_word.size());
        const std::size_t also = std::max(side_head().size(), rules_.blue_word.size());
        const std::string before(10 + 10 + 5 + 2 + words_wide + 2, ' ');
        std::cout << before << left(rules_.white_word, wide) << "   " << rules_.blue_word << "\n"
                  << right("instant", 10) << right("clock", 10) << right("call", 5) << "  "
                  << left("what", words_wide) << "  " << left(side_head(), wide) << "   "
                  << left(side_head(), also) << "   " << left("hold", 12) << "  state\n";
    }

    void row(const Frame& frame, const std::string& position, const std::string& what) const {
        const std::size_t wide = std::max(side_head().size(), rules_.white_word.size());
        const std::size_t also = std::max(side_head().size(), rules_.blue_word.size());
        std::string state(state_word(frame.state));
        const std::string more = words(rules_, frame.state);
        if (!more.empty() && more != state) state += ": " + more;
        std::cout << right(instant_text(frame.from), 10) << right(clock(frame), 10)
                  << right(position, 5) << "  " << left(what, words_wide) << "  "
                  << left(side(frame.state, Side::white), wide) << "   "
                  << left(side(frame.state, Side::blue), also) << "   "
                  << left(hold(rules_, frame), 12) << "  " << state << "\n";
    }

    // The whole bout again, with every correction where it belongs.
    void corrected(const Conditions& under, const Ended& ended) const {
        const bool any = std::any_of(ended.calls.begin(), ended.calls.end(), [](const Call& call) {
            return call.back.ms > 0 || refers_to(call.what) != nullptr;
        });
        if (!any) return;
        std::cout << "\nWith the corrections, the bout went like this:\n\n";
        head();
        for (const Step& step : steps(under, ended.calls, ended.until)) {
            const Frame frame{step.at, step.why, step.state};
            if (!step.call) {
                if (step.why == Happening::hold_faded) continue;
                row(frame, "", happening_words(rules_, frame));
                continue;
            }
            Call call = ended.calls[*step.call];
            call.what = step.what;
            call.back = {};
            std::string what = named(call);
            if (step.standing == Standing::struck) what += " (struck)";
            if (step.standing == Standing::without_effect) what += " (without effect)";
            row(frame, std::to_string(ended.said[*step.call].position), what);
        }
    }

    std::string board_words(const BoardSide& board) const {
        std::string out;
        for (const Level level : board_levels(rules_)) {
            out += std::to_string(board.score[index(level)]) + " " + std::string(word(level)) +
                   ", ";
        }
        out += std::to_string(board.shido) + " shido";
        return out + (board.hansoku_make ? ", hansoku-make" : "");
    }

    void result(const Conditions& under, const Ended& ended, const State& state) const {
        const Result r = result_of(under, ended.calls, ended.until);
        std::cout << "\n";
        if (r.winner == Winner::undecided) {
            std::cout << "Nobody has won yet. Fought so far: " << clock_text(r.regular);
            if (r.golden_score) std::cout << " and golden score " << clock_text(r.golden);
            std::cout << ".\n";
        } else {
            std::cout << "Result: " << words(rules_, r) << "\n        " << because(rules_, r)
                      << "\n"
                      << "Decided at " << clock_text(r.decided)
                      << (r.golden_score ? " of golden score" : " of the contest") << ", instant "
                      << instant_text(state.decision.at) << ".\n";
        }
        std::cout << rules_.white_word << ": " << board_words(r.white) << "\n"
                  << rules_.blue_word << ": " << board_words(r.blue) << "\n";
        if (r.winner == Winner::white || r.winner == Winner::blue) {
            std::cout << "Points for the winner: " << int{r.points} << "\n";
        }
        if (r.names_exchanged) std::cout << "The two names have changed places.\n";
    }

    void idle(const Ended& ended, const Folded& folded) const {
        bool first = true;
        for (std::size_t i = 0; i < ended.said.size(); ++i) {
            const Standing standing = folded.places[i].standing;
            if (standing == Standing::counts) continue;
            if (first) std::cout << "\nCalls that have no effect any more:\n";
            first = false;
            std::cout << "  call " << ended.said[i].position << ", line " << ended.said[i].line
                      << ": " << named(ended.said[i].call)
                      << (standing == Standing::struck ? " (struck)"
                                                       : " (impossible where it stands now)")
                      << "\n";
        }
    }

    RuleSet rules_;
    Duration time_;
    Duration golden_;
};

}  // namespace

std::unique_ptr<Telling> telling_in_words() { return std::make_unique<InWords>(); }

}  // namespace honbu

// The replay for people: a table that reads from top to bottom as the bout went.
#include <algorithm>
#include <iostream>
#include <optional>
#include <variant>

#include "engine/bout/clock_text.h"
#include "engine/view/mat_view.h"
#include "hub/replay_table.h"
#include "hub/replay_telling.h"
#include "hub/words/call_words.h"
#include "hub/words/how_many.h"

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

std::string first_line(const Conditions& under) {
    const RuleSet& rules = under.rules;
    std::string out = "Rules " + rules.name + " (" + rules.title + "), " + clock_text(under.time);
    if (rules.tie != Tie::golden_score) return out + ", no golden score.\n";
    if (under.golden.ms == 0) return out + ", golden score without limit.\n";
    return out + ", golden score of at most " + clock_text(under.golden) + ".\n";
}

// Where the file's names of the sides are not the words of the rules.
std::string sides_line(const RuleSet& rules) {
    if (rules.white_word == word(Side::white) && rules.blue_word == word(Side::blue)) return {};
    return "In the file SIDE_WHITE is " + rules.white_word + ", called first, and SIDE_BLUE is " +
           rules.blue_word + ".\n";
}

class InWords final : public Telling {
public:
    void begin(const Conditions& under) override {
        rules_ = under.rules;
        time_ = under.time;
        golden_ = under.golden;
        std::cout << first_line(under) << sides_line(rules_) << "The board: ";
        for (const Level level : board_levels(rules_))
            std::cout << letter(level) << " " << word(level) << ", ";
        std::cout << "S shido (H: hansoku-make). GS: golden score.\n\n";
        table_.emplace(Conditions{rules_, time_, golden_});
        table_->head();
    }

    void came(const Frame& frame) override {
        if (frame.why == Happening::hold_faded) return;
        table_->row(frame, "", happening_words(rules_, frame));
    }

    void taken(const Said& said, const Frame& after, std::span<const Offer> fresh) override {
        table_->row(after, std::to_string(said.position),
                    named(said.call) + left(said.call, after));
        for (const Offer& offer : fresh)
            table_->note("(offered: " + offer.words + ")");
    }

    void refused(const Said& said, const Frame& still, const std::string& why) override {
        table_->row_without_effect(still, std::to_string(said.position),
                                   named(said.call) + ": NOT TAKEN. " + why);
    }

    void end(const Ended& ended) override {
        const Conditions under{rules_, time_, golden_};
        corrected(under, ended);
        const Folded folded = fold(under, ended.calls, ended.until);
        result(under, ended, folded.state);
        idle(ended, folded);
        not_taken(ended);
        offered(under, ended, folded.state);
        auto asked = prompts(under, folded.state);
        if (const std::string tie = tie_words(folded.state); !tie.empty()) asked.push_back(tie);
        if (!asked.empty()) std::cout << "\nFor a person to decide:\n";
        for (const std::string& prompt : asked)
            std::cout << "  " << prompt << "\n";
    }

private:
    std::string named(const Call& call) const {
        TellCalls tell{rules_.white_word, rules_.blue_word,
                       [&call](CallId id) {
                           const std::string number = std::to_string(id.number.value);
                           return id.run == call.id.run ? "call " + number
                                                        : "another page's call " + number;
                       },
                       ""};
        const std::string out = call_words(call.what, tell);
        if (call.back.ms == 0) return out;
        return out + ", put in " + length_text(call.back) + " late";
    }

    // A clock is set to what was fought; the board shows what is left.
    std::string left(const Call& call, const Frame& after) const {
        if (!std::holds_alternative<SetClock>(call.what) || after.state.golden) return {};
        return ", " + table_->clock(after) + " left";
    }

    // The bout again, as it stands: only what counts, with every correction where it belongs.
    void corrected(const Conditions& under, const Ended& ended) {
        const bool any = std::any_of(ended.calls.begin(), ended.calls.end(), [](const Call& call) {
            return call.back.ms > 0 || refers_to(call.what) != nullptr;
        });
        if (!any) return;
        std::cout << "\nWith the corrections, the bout went like this:\n\n";
        table_->head();
        const auto went = steps(under, ended.calls, ended.until);
        const auto opened = std::find_if(went.rbegin(), went.rend(), [](const Step& step) {
            return step.call && std::holds_alternative<Reopen>(step.what);
        });
        const auto last = went.rend() - opened;  // steps up to the last opening
        for (std::size_t i = 0; i < went.size(); ++i) {
            const Step& step = went[i];
            const Frame frame{step.at, step.why, step.state};
            if (!step.call && step.why != Happening::hold_faded) {
                table_->row(frame, "", happening_words(rules_, frame));
            }
            const bool withdrawn = static_cast<std::ptrdiff_t>(i) < last && announces(step.what);
            if (!step.call || step.standing != Standing::counts || withdrawn ||
                refers_to(step.what) != nullptr) {
                continue;
            }
            Call call = ended.calls[*step.call];
            call.what = step.what;
            call.back = {};
            table_->row(frame, std::to_string(ended.said[*step.call].position),
                        named(call) + left(call, frame));
        }
    }

    // An opening takes back what was announced before it.
    static bool announces(const What& what) {
        return std::holds_alternative<Kachi>(what) || std::holds_alternative<Confirm>(what) ||
               std::holds_alternative<Accept>(what) || std::holds_alternative<Reopen>(what);
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
            std::cout << "Points for the winner, for standings of pools and teams: "
                      << int{r.points} << "\n";
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

    void not_taken(const Ended& ended) const {
        constexpr std::size_t shown_max = 20;
        const std::size_t all = ended.refused.size();
        if (all == 0) return;
        std::cout << "\n" << how_many(all, "call was", "calls were") << " not taken:\n";
        for (const Refused& refused : ended.refused.first(std::min(all, shown_max))) {
            std::cout << "  call " << refused.said.position << ", line " << refused.said.line
                      << ": " << named(refused.said.call) << ". " << refused.why << "\n";
        }
        if (all > shown_max) std::cout << "  and " << all - shown_max << " more; see above\n";
    }

    static void offered(const Conditions& under, const Ended& ended, const State& state) {
        const auto stand = offers(under, ended.calls, state, ended.until);
        if (!stand.empty()) std::cout << "\nOffered to the table, which decides:\n";
        for (const Offer& offer : stand)
            std::cout << "  " << offer.words << "\n";
        if (!ended.passed_by.empty()) std::cout << "\nOffered to the table, and not taken:\n";
        for (const Offered& offered : ended.passed_by) {
            std::cout << "  after call " << offered.position << ", " << instant_text(offered.at)
                      << ": " << offered.offer.words << "\n";
        }
    }

    // What comes by no clock: somebody has to call it.
    std::string tie_words(const State& state) const {
        if (state.decided() || !state.time_up || state.hold.on) return {};
        switch (state.golden ? rules_.golden_tie : rules_.tie) {
        case Tie::golden_score: return {};
        case Tie::hantei:
            return rules_.decision_by == DecisionBy::flags
                       ? "All is equal when time is up: hantei, by the flags of the referees."
                       : "All is equal when time is up: hantei, by the referee.";
        case Tie::hiki_wake: return "All is equal when time is up: hiki-wake.";
        }
        return {};
    }

    RuleSet rules_;
    Duration time_;
    Duration golden_;
    std::optional<ReplayTable> table_;
};

}  // namespace

std::unique_ptr<Telling> telling_in_words() { return std::make_unique<InWords>(); }

}  // namespace honbu

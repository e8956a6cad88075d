// The sheet of one bout, out of its committed calls.
#include "hub/core/sheet.h"

#include <algorithm>

#include "hub/core/inside.h"

namespace honbu {
namespace {

// What a line says beside its word. Whatever is nobody's business is not `open`.
struct Told {
    bool open = true;
    Sides side{};
    Reason reason = Reason::not_said;
    std::string_view between = " to ";
};

struct Tell {
    Told operator()(const Called&) const { return {}; }
    Told operator()(const Absent& c) const { return {true, c.who, {}, ": "}; }
    Told operator()(const Present&) const { return {}; }
    Told operator()(const Hajime&) const { return {}; }
    Told operator()(const Mate&) const { return {}; }
    Told operator()(const Pause&) const { return {}; }
    Told operator()(const SonoMama&) const { return {}; }
    Told operator()(const Yoshi&) const { return {}; }
    Told operator()(const Osaekomi& c) const { return {true, c.by, {}, " by "}; }
    Told operator()(const HoldChanged&) const { return {}; }
    Told operator()(const Toketa&) const { return {}; }
    Told operator()(const Score& c) const { return {true, c.to}; }
    Told operator()(const Awasete& c) const { return {true, c.to}; }
    Told operator()(const Shido& c) const { return {true, c.to, c.reason}; }
    // Its class and reason are between the athlete and the officials.
    Told operator()(const HansokuMake& c) const { return {true, c.to}; }
    Told operator()(const Submission& c) const { return {true, c.to}; }
    Told operator()(const Award& c) const { return {true, c.to}; }
    Told operator()(const BothLose&) const { return {}; }
    Told operator()(const HikiWake&) const { return {}; }
    Told operator()(const Review&) const { return {}; }
    Told operator()(const ReviewOver&) const { return {}; }
    Told operator()(const SoreMade&) const { return {}; }
    Told operator()(const Kachi&) const { return {}; }
    Told operator()(const SetClock&) const { return {}; }
    Told operator()(const SetHold& c) const { return {true, c.by, {}, " by "}; }
    Told operator()(const ExchangeNames&) const { return {}; }
    Told operator()(const Confirm&) const { return {}; }
    Told operator()(const Accept&) const { return {}; }
    Told operator()(const Reopen&) const { return {}; }
    // About the body.
    Told operator()(const Doctor&) const { return closed(); }
    Told operator()(const Bleeding&) const { return closed(); }
    Told operator()(const Injury&) const { return closed(); }
    Told operator()(const Judogi&) const { return closed(); }
    // Worked into the calls they correct.
    Told operator()(const Strike&) const { return closed(); }
    Told operator()(const Replace&) const { return closed(); }
    Told operator()(const Move&) const { return closed(); }
    Told operator()(const Joint&) const { return closed(); }

    static Told closed() { return {false, {}, {}, ""}; }
};

std::string side_word(const RuleSet& rules, Sides side) {
    if (side == both_sides()) return "both";
    return side == only(Side::white) ? rules.white_word : rules.blue_word;
}

std::string words_of(const RuleSet& rules, const Step& step) {
    const State& s = step.state;
    switch (step.why) {
    case Happening::none:
    case Happening::hold_faded: return {};
    case Happening::time_up: return "time is up";
    case Happening::hold_level:
        if (s.hold.reached == 0) return {};
        return "the hold is worth " + std::string(word(static_cast<Level>(s.hold.reached))) +
               " to " + side_word(rules, s.hold.by);
    case Happening::hold_ended: return "the hold has ended";
    case Happening::absence_due: return "the next call is due";
    case Happening::absence_over: return "the time to appear is over";
    }
    return {};
}

}  // namespace

std::optional<BoutSheet> Hub::sheet(BoutId bout) const {
    const auto found = in_->bouts.find(bout);
    if (found == in_->bouts.end()) return std::nullopt;
    const BoutLog& log = found->second;
    const Conditions under = in_->under(log);
    const RuleSet& rules = under.rules;
    BoutSheet sheet;
    sheet.number = std::max(in_->mats.at(log.entry.mat).number, log.changed);
    sheet.mat = log.entry.mat;
    sheet.bout = in_->head(log);
    sheet.rules = rules.title;
    sheet.time = under.time;
    sheet.golden = under.golden;
    sheet.changed = log.changed;
    sheet.at_desk = log.known_at_desk;
    if (log.standing) {
        sheet.has_result = true;
        sheet.result = *log.standing;
        sheet.result_number = log.standing_since;
        sheet.words = words(rules, sheet.result);
        sheet.phase = Phase::confirmed;
    }
    const auto calls = in_->committed_calls(log);
    if (calls.empty()) return sheet;

    const Frame now = frames(under, calls).front();
    if (!sheet.has_result || now.state.phase == Phase::accepted) sheet.phase = now.state.phase;
    if (!sheet.has_result) sheet.words = words(rules, now.state);
    for (const Step& step : steps(under, calls, now.from)) {
        if (step.standing != Standing::counts) continue;
        SheetLine line;
        line.elapsed = step.state.contest.at(step.at);
        line.golden = step.state.golden;
        line.why = step.why;
        line.words = words_of(rules, step);
        if (step.call) {
            const Told told = std::visit(Tell{}, step.what);
            if (!told.open) continue;
            line.call = word(step.what);
            line.side = told.side;
            line.reason = told.reason;
            line.words = line.call;
            if (told.side != Sides{}) {
                line.words += std::string(told.between) + side_word(rules, told.side);
            }
            if (told.reason != Reason::not_said) {
                line.words += " for " + std::string(word(told.reason));
            }
        }
        if (line.words.empty()) continue;
        line.white = shown(rules, step.state, Side::white);
        line.blue = shown(rules, step.state, Side::blue);
        sheet.lines.push_back(std::move(line));
    }
    return sheet;
}

}  // namespace honbu

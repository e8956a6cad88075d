#include "hub/replay_table.h"

#include <algorithm>
#include <iostream>
#include <sstream>

#include "engine/bout/clock_text.h"
#include "engine/view/json.h"
#include "engine/view/mat_view.h"
#include "hub/words/call_words.h"

namespace honbu {
namespace {

constexpr std::size_t wide = 100;
constexpr std::size_t words_wide_min = 24;
constexpr std::size_t instant_wide = 9;
constexpr std::size_t clock_wide = 10;
constexpr std::size_t call_wide = 6;
constexpr std::size_t state_wide = 11;

std::string left(std::string text, std::size_t to) {
    if (text.size() < to) text.append(to - text.size(), ' ');
    return text;
}
std::string right(const std::string& text, std::size_t to) {
    return text.size() < to ? std::string(to - text.size(), ' ') + text : text;
}

}  // namespace

char letter(Level level) {
    switch (level) {
    case Level::koka: return 'K';
    case Level::yuko: return 'Y';
    case Level::waza_ari: return 'W';
    case Level::ippon: return 'I';
    }
    return ' ';
}

std::string ReplayTable::clock(const Frame& frame) const {
    const Duration elapsed = frame.state.contest.at(frame.from);
    if (frame.state.golden) return "GS " + clock_text(elapsed);
    return remaining_text(time_ - elapsed);
}

std::string ReplayTable::levels() const {
    std::string out;
    for (const Level level : board_levels(rules_))
        out += std::string(1, letter(level)) + " ";
    return out + "S";
}

std::string ReplayTable::side(const State& state, Side which) const {
    const BoardSide board = shown(rules_, state, which);
    std::string out;
    for (const Level level : board_levels(rules_))
        out += std::to_string(board.score[index(level)]) + " ";
    return out + (board.hansoku_make ? "H" : std::to_string(board.shido));
}

std::string ReplayTable::hold(const Frame& frame) const {
    const State& s = frame.state;
    if (s.hold.on) {
        return rules_.side_word(s.hold.by) + " " + clock_text(s.hold.clock.at(frame.from));
    }
    if (!s.past_hold.readable) return {};
    return "(" + rules_.side_word(s.past_hold.by) + " " + clock_text(s.past_hold.value) + ")";
}

std::size_t ReplayTable::side_wide(Side which) const {
    return std::max(levels().size(), rules_.side_word(which).size()) + 3;
}

std::size_t ReplayTable::hold_wide() const {
    constexpr std::string_view around = "( 0:20)  ";
    return std::max(rules_.white_word.size(), rules_.blue_word.size()) + around.size();
}

std::size_t ReplayTable::before_words() const {
    return instant_wide + clock_wide + call_wide + 2 + side_wide(Side::white) +
           side_wide(Side::blue) + hold_wide() + state_wide;
}

// Words that do not fit go on below themselves.
void ReplayTable::print(std::string before, const std::string& words) const {
    const std::size_t indent = before_words();
    const std::size_t room = std::max(words_wide_min, wide - std::min(wide, indent));
    std::istringstream in(words);
    std::string word;
    std::string line;
    while (in >> word) {
        if (!line.empty() && line.size() + 1 + word.size() > room) {
            std::cout << before << line << "\n";
            before.assign(indent, ' ');
            line = "  " + word;
        } else {
            line += (line.empty() ? "" : " ") + word;
        }
    }
    std::cout << before << line << "\n";
}

void ReplayTable::head() {
    known_.clear();
    std::cout << std::string(instant_wide + clock_wide + call_wide + 2, ' ')
              << left(rules_.white_word, side_wide(Side::white)) << rules_.blue_word << "\n"
              << right("instant", instant_wide) << right("clock", clock_wide)
              << right("call", call_wide) << "  " << left(levels(), side_wide(Side::white))
              << left(levels(), side_wide(Side::blue)) << left("hold", hold_wide())
              << left("state", state_wide) << "what\n";
}

void ReplayTable::row(const Frame& frame, const std::string& position, const std::string& what) {
    const State& s = frame.state;
    // Else it is only the phase, which has a column.
    const bool more = s.decided() || s.time_up || s.golden || s.absence.who.bits != 0;
    const std::string going_on = more ? words(rules_, s) : std::string();
    const bool news = going_on != known_ && !going_on.empty() &&
                      what.find(going_on) == std::string::npos;
    known_ = going_on;
    row_without_effect(frame, position, news ? what + ": " + going_on : what);
}

void ReplayTable::row_without_effect(const Frame& frame, const std::string& position,
                                     const std::string& what) const {
    print(right(instant_text(frame.from), instant_wide) + right(clock(frame), clock_wide) +
              right(position, call_wide) + "  " +
              left(side(frame.state, Side::white), side_wide(Side::white)) +
              left(side(frame.state, Side::blue), side_wide(Side::blue)) +
              left(hold(frame), hold_wide()) +
              left(std::string(state_word(frame.state)), state_wide),
          what);
}

void ReplayTable::note(const std::string& words) const {
    print(std::string(before_words(), ' '), words);
}

}  // namespace honbu

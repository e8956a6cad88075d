#include "hub/words/call_words.h"

#include <string_view>
#include <variant>

#include "engine/bout/clock_text.h"
#include "engine/view/json.h"

namespace honbu {
namespace {

std::string padded(std::uint32_t value, std::size_t digits) {
    std::string text = std::to_string(value);
    return text.size() < digits ? std::string(digits - text.size(), '0') + text : text;
}

std::string because(Reason reason) {
    return reason == Reason::not_said ? std::string() : " for " + std::string(word(reason));
}
std::string flags(std::uint8_t count) {
    return count == 0 ? std::string() : ", " + std::to_string(count) + " flags of three";
}
std::string_view word(DoctorCall by) {
    switch (by) {
    case DoctorCall::referee: return "the referee";
    case DoctorCall::athlete: return "the athlete";
    case DoctorCall::doctor: return "the doctor";
    }
    return "";
}
std::string_view word(Blame by) {
    switch (by) {
    case Blame::not_said: return "";
    case Blame::own: return ", caused by the athlete";
    case Blame::other: return ", caused by the opponent";
    case Blame::unknown: return ", cause unknown";
    case Blame::outside: return ", caused from outside";
    }
    return "";
}

std::string winner_text(Winner winner, const TellCalls& tell) {
    switch (winner) {
    case Winner::undecided: return "nobody has won yet";
    case Winner::white: return tell.white;
    case Winner::blue: return tell.blue;
    case Winner::both_lose: return "both lose";
    case Winner::draw: return "draw";
    }
    return "";
}

// What the word alone does not say.
struct Detail {
    const TellCalls& tell;
    std::string side(Side side) const { return side == Side::white ? tell.white : tell.blue; }
    std::string sides(Sides sides) const {
        if (sides == both_sides()) return "both";
        return side(sides.has(Side::white) ? Side::white : Side::blue);
    }
    std::string operator()(const Called&) const { return {}; }
    std::string operator()(const Absent& c) const { return ": " + sides(c.who); }
    std::string operator()(const Present&) const { return {}; }
    std::string operator()(const Hajime&) const { return {}; }
    std::string operator()(const Mate&) const { return {}; }
    std::string operator()(const Pause&) const { return {}; }
    std::string operator()(const SonoMama&) const { return {}; }
    std::string operator()(const Yoshi&) const { return {}; }
    std::string operator()(const Osaekomi& c) const { return " by " + side(c.by); }
    std::string operator()(const HoldChanged&) const { return {}; }
    std::string operator()(const Toketa&) const { return {}; }
    std::string operator()(const Score& c) const { return " to " + sides(c.to); }
    std::string operator()(const Awasete& c) const { return " to " + side(c.to); }
    std::string operator()(const Shido& c) const {
        return " to " + sides(c.to) + because(c.reason);
    }
    std::string operator()(const HansokuMake& c) const {
        return " to " + sides(c.to) + because(c.reason) +
               (c.of == DirectClass::not_said ? std::string() : ", " + std::string(word(c.of)));
    }
    std::string operator()(const Submission& c) const { return " to " + side(c.to); }
    std::string operator()(const Award& c) const { return " to " + side(c.to) + flags(c.flags); }
    std::string operator()(const BothLose&) const { return {}; }
    std::string operator()(const HikiWake&) const { return {}; }
    std::string operator()(const Doctor& c) const {
        return " at " + side(c.to) + ", asked for by " + std::string(word(c.by));
    }
    std::string operator()(const Bleeding& c) const {
        return ": " + side(c.to) + ", " + std::string(word(c.site));
    }
    std::string operator()(const Injury& c) const {
        return ": " + side(c.to) + std::string(word(c.by));
    }
    std::string operator()(const Judogi& c) const { return ": " + sides(c.who); }
    std::string operator()(const Review&) const { return {}; }
    std::string operator()(const ReviewOver&) const { return {}; }
    std::string operator()(const SoreMade&) const { return {}; }
    std::string operator()(const Kachi&) const { return {}; }
    std::string operator()(const SetClock& c) const {
        return ": " + length_text(c.elapsed) + " fought in this period";
    }
    std::string operator()(const SetHold& c) const {
        return ": " + side(c.by) + ", " + length_text(c.value) + " held";
    }
    std::string operator()(const ExchangeNames&) const { return {}; }
    std::string operator()(const Replace& c) const {
        return " " + tell.name(c.call) + " by " + std::string(word(what(c.by))) +
               std::visit(*this, c.by);
    }
    std::string operator()(const Move& c) const {
        return " " + tell.name(c.call) + " to " + instant_text(c.to) + tell.clock;
    }
    std::string operator()(const Confirm& c) const { return ": " + result_words(c.result, tell); }
    std::string operator()(const Accept&) const { return {}; }
    std::string operator()(const Reopen& c) const { return ": " + std::string(word(c.ground)); }
    std::string operator()(const Strike& c) const { return " " + tell.name(c.call); }
    std::string operator()(const Joint& c) const {
        return ": " + instant_text(c.here) + " here was " + instant_text(c.there) + " of run " +
               name_text(c.earlier.value);
    }
};

}  // namespace

std::string time_text(Instant t) {
    return std::to_string(t.ms / 3'600'000) + ":" + padded(t.ms / 60'000 % 60, 2) + ":" +
           padded(t.ms / 1'000 % 60, 2) + "." + padded(t.ms % 1'000, 3);
}

std::string instant_text(Instant t) {
    return clock_text(Duration{t.ms}) + "." + padded(t.ms % 1'000, 3);
}

std::string length_text(Duration d) {
    return d.ms % 1'000 == 0 ? clock_text(d) : instant_text(Instant{d.ms});
}

std::string result_words(const Result& result, const TellCalls& tell) {
    const std::string way(word(result.way));
    return winner_text(result.winner, tell) + (way.empty() ? way : ", " + way) +
           flags(result.flags) + (result.names_exchanged ? ", names exchanged" : "") +
           (result.administrative ? ", changed by the desk" : "");
}

std::string call_words(const What& what, const TellCalls& tell) {
    return std::string(word(what)) + std::visit(Detail{tell}, what);
}

}  // namespace honbu

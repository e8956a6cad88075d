#include "hub/record_line.h"

#include <variant>

#include "engine/record/canon.h"

namespace honbu {
namespace {

std::string padded(std::uint32_t value, std::size_t digits) {
    std::string text = std::to_string(value);
    return text.size() < digits ? std::string(digits - text.size(), '0') + text : text;
}

std::string time_text(std::uint32_t ms) {
    return std::to_string(ms / 3'600'000) + ":" + padded(ms / 60'000 % 60, 2) + ":" +
           padded(ms / 1'000 % 60, 2) + "." + padded(ms % 1'000, 3);
}

std::string_view word(Verdict verdict) {
    switch (verdict) {
    case Verdict::none: return "";
    case Verdict::applied: return "applied";
    case Verdict::without_effect: return "without effect";
    case Verdict::set_aside: return "set aside";
    }
    return "";
}

std::string side(Side side) { return std::string(word(side)); }
std::string sides(Sides sides) {
    if (sides == both_sides()) return "both";
    return side(sides.has(Side::white) ? Side::white : Side::blue);
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
std::string call_id(CallId id) {
    return hex16(id.run.value) + "/" + std::to_string(id.number.value);
}
std::string winner_text(Winner winner) {
    switch (winner) {
    case Winner::undecided: return "nobody yet";
    case Winner::white: return "white";
    case Winner::blue: return "blue";
    case Winner::both_lose: return "both lose";
    case Winner::draw: return "draw";
    }
    return "";
}

// What the word alone does not say.
struct Detail {
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
        return ": " + time_text(c.elapsed.ms) + " fought in this period";
    }
    std::string operator()(const SetHold& c) const {
        return ": " + side(c.by) + " holds since " + time_text(c.value.ms);
    }
    std::string operator()(const ExchangeNames&) const { return {}; }
    std::string operator()(const Replace& c) const {
        return " " + call_id(c.call) + " by " + std::string(word(what(c.by))) +
               std::visit(*this, c.by);
    }
    std::string operator()(const Move& c) const {
        return " " + call_id(c.call) + " to " + time_text(c.to.ms) + " of its run";
    }
    std::string operator()(const Confirm& c) const {
        return ": " + winner_text(c.result.winner) + ", " + std::string(word(c.result.way)) +
               flags(c.result.flags) + (c.result.names_exchanged ? ", names exchanged" : "") +
               (c.result.administrative ? ", changed by the desk" : "");
    }
    std::string operator()(const Accept&) const { return {}; }
    std::string operator()(const Reopen& c) const { return ": " + std::string(word(c.ground)); }
    std::string operator()(const Strike& c) const { return " " + call_id(c.call); }
    std::string operator()(const Joint& c) const {
        return ": " + time_text(c.here.ms) + " here was " + time_text(c.there.ms) + " of run " +
               hex16(c.earlier.value);
    }
};

struct FactText {
    const Record& record;
    std::string operator()(const EpochBegan& f) const {
        return "epoch " + hex16(f.epoch.value) + " began, fold version " +
               std::to_string(f.fold_version) +
               (f.rehearsal_rate == 1
                    ? std::string()
                    : ", rehearsal at " + std::to_string(f.rehearsal_rate) + " times the speed");
    }
    std::string operator()(const CompetitionLoaded& f) const {
        return "competition loaded: " + f.title + ", " + std::to_string(f.bouts.size()) + " bouts";
    }
    std::string operator()(const MatTaken& f) const {
        return "mat " + std::to_string(f.mat.value) + "  taken, term " +
               std::to_string(f.term.value);
    }
    std::string operator()(const Call& f) const {
        return "mat " + std::to_string(f.mat.value) + "  bout " + std::to_string(f.bout.value) +
               "  " + std::string(word(f.what)) + std::visit(Detail(), f.what) + "  " +
               std::string(word(record.verdict));
    }
};

}  // namespace

std::string hex16(std::uint64_t name) {
    std::string bytes;
    for (int shift = 56; shift >= 0; shift -= 8)
        bytes += static_cast<char>(name >> shift & 0xFFU);
    return hex(bytes);
}

std::string line(const Record& record) {
    std::string out = time_text(record.received.ms) + "  " +
                      std::visit(FactText{record}, record.fact);
    if (record.device == DeviceId()) return out;
    out += "  (";
    if (!record.hand.empty()) out += record.hand + ", ";
    out += "device " + hex16(record.device.value);
    if (const auto* call = std::get_if<Call>(&record.fact)) out += ", run " + call_id(call->id);
    return out + ")";
}

}  // namespace honbu

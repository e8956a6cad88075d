#include "engine/bout/by_kind.h"
#include "engine/bout/call.h"
#include "engine/bout/clock_text.h"
#include "engine/bout/text.h"

namespace honbu {

std::string_view word(Level level) {
    switch (level) {
    case Level::koka: return "koka";
    case Level::yuko: return "yuko";
    case Level::waza_ari: return "waza-ari";
    case Level::ippon: return "ippon";
    }
    return "";
}

std::string_view word(Side side) { return side == Side::white ? "white" : "blue"; }

std::string_view word(Way way) {
    switch (way) {
    case Way::none: return "";
    case Way::ippon: return "ippon";
    case Way::waza_ari_awasete_ippon: return "waza-ari-awasete-ippon";
    case Way::sogo_gachi: return "sogo-gachi";
    case Way::waza_ari: return "waza-ari";
    case Way::yuko: return "yuko";
    case Way::koka: return "koka";
    case Way::fewer_shido: return "fewer shido";
    case Way::hantei: return "hantei";
    case Way::hansoku_make_by_shido: return "hansoku-make (shido)";
    case Way::hansoku_make_direct: return "hansoku-make (direct)";
    case Way::kiken_gachi: return "kiken-gachi";
    case Way::fusen_gachi: return "fusen-gachi";
    case Way::both_lose: return "both lose";
    case Way::hiki_wake: return "hiki-wake";
    }
    return "";
}

std::string_view word(Means means) {
    switch (means) {
    case Means::none:
    case Means::called: return "";
    case Means::hold: return "by hold";
    case Means::submission: return "by submission";
    case Means::choke: return "by choke or lock";
    }
    return "";
}

std::string_view word(Reason reason) {
    switch (reason) {
    case Reason::not_said: return "";
    case Reason::non_combativity: return "non-combativity";
    case Reason::false_attack: return "false attack";
    case Reason::excessive_defence: return "excessive defence";
    case Reason::avoiding_grip: return "avoiding the grip";
    case Reason::two_hand_grip_break: return "breaking the grip with two hands";
    case Reason::unorthodox_grip: return "unorthodox grip without attack";
    case Reason::sleeve_end: return "gripping the sleeve end in defence";
    case Reason::fingers_inside: return "fingers inside sleeve or trousers";
    case Reason::pistol_grip: return "pistol or pocket grip";
    case Reason::interlocked_fingers: return "interlocked fingers";
    case Reason::leaving_area: return "leaving the contest area";
    case Reason::danger_area: return "standing in the danger area";
    case Reason::pushing_out: return "pushing the other out";
    case Reason::leg_grab: return "grip on the leg";
    case Reason::bear_hug: return "bear hug";
    case Reason::judogi: return "disordering the judogi";
    case Reason::pulling_down: return "pulling down to ground work";
    case Reason::body_scissors: return "body scissors";
    case Reason::bending_fingers: return "bending the fingers back";
    case Reason::forced_posture: return "forcing the other's posture without attack";
    case Reason::arm_lock_in_throw: return "arm-lock in a throw";
    case Reason::use_of_head: return "use of the head";
    case Reason::reverse_seoi_nage: return "reverse seoi-nage";
    case Reason::attire: return "attire or hair";
    case Reason::kawazu_gake: return "kawazu-gake";
    case Reason::lock_elsewhere: return "lock elsewhere than the elbow";
    case Reason::lifting_and_dropping: return "lifting from the ground and dropping";
    case Reason::reaping_support: return "reaping the supporting leg";
    case Reason::ignoring_referee: return "ignoring the referee";
    case Reason::unsporting: return "unsporting words or gestures";
    case Reason::head_dive: return "head dive";
    case Reason::neck_or_spine: return "danger to neck or spine";
    case Reason::straight_down_lock: return "falling straight down with a lock";
    case Reason::falling_backwards: return "falling backwards on the other";
    case Reason::hard_object: return "hard or metal object";
    case Reason::head_defence: return "defence with the head";
    case Reason::other: return "another reason";
    }
    return "";
}

std::string_view word(DirectClass of) {
    switch (of) {
    case DirectClass::not_said: return "";
    case DirectClass::endangered_self: return "endangered himself or herself";
    case DirectClass::against_spirit: return "against the spirit of judo";
    }
    return "";
}

std::string_view word(Site site) {
    switch (site) {
    case Site::nose: return "nose";
    case Site::mouth: return "mouth";
    case Site::face: return "face";
    case Site::head: return "head";
    case Site::ear: return "ear";
    case Site::neck: return "neck";
    case Site::hand: return "hand";
    case Site::arm: return "arm";
    case Site::leg: return "leg";
    case Site::foot: return "foot";
    case Site::other: return "elsewhere";
    }
    return "";
}

std::string_view word(Ground ground) {
    switch (ground) {
    case Ground::slip: return "a slip at the table";
    case Ground::referee: return "the referee corrected himself or herself";
    case Ground::majority: return "majority of three";
    case Ground::names: return "the wrong athletes";
    case Ground::clock: return "a clock was wrong";
    case Ground::administrative: return "administrative: the referees have left";
    }
    return "";
}

std::string_view word(const What& what) {
    struct Word {
        std::string_view operator()(const Called&) const { return "called to the mat"; }
        std::string_view operator()(const Absent&) const { return "called for, not there"; }
        std::string_view operator()(const Present&) const { return "there"; }
        std::string_view operator()(const Hajime&) const { return "hajime"; }
        std::string_view operator()(const Mate&) const { return "mate"; }
        std::string_view operator()(const Pause&) const { return "pause"; }
        std::string_view operator()(const SonoMama&) const { return "sono-mama"; }
        std::string_view operator()(const Yoshi&) const { return "yoshi"; }
        std::string_view operator()(const Osaekomi&) const { return "osaekomi"; }
        std::string_view operator()(const HoldChanged&) const { return "hold changed"; }
        std::string_view operator()(const Toketa&) const { return "toketa"; }
        std::string_view operator()(const Score& c) const { return word(c.level); }
        std::string_view operator()(const Awasete&) const { return "waza-ari-awasete-ippon"; }
        std::string_view operator()(const Shido&) const { return "shido"; }
        std::string_view operator()(const HansokuMake&) const { return "hansoku-make"; }
        std::string_view operator()(const Submission& c) const {
            return c.means == Means::choke ? "ippon by choke or lock" : "ippon by submission";
        }
        std::string_view operator()(const Award& c) const { return word(c.way); }
        std::string_view operator()(const BothLose&) const { return "both lose"; }
        std::string_view operator()(const HikiWake&) const { return "hiki-wake"; }
        std::string_view operator()(const Doctor&) const { return "doctor"; }
        std::string_view operator()(const Bleeding&) const { return "bleeding treated"; }
        std::string_view operator()(const Injury& c) const {
            switch (c.harm) {
            case Harm::injury: return "injury";
            case Harm::illness: return "illness";
            case Harm::head: return "head impact";
            case Harm::unconscious: return "unconscious";
            }
            return "";
        }
        std::string_view operator()(const Judogi&) const { return "judogi in order"; }
        std::string_view operator()(const Review&) const { return "review"; }
        std::string_view operator()(const ReviewOver&) const { return "review over"; }
        std::string_view operator()(const SoreMade&) const { return "sore-made"; }
        std::string_view operator()(const Kachi&) const { return "kachi"; }
        std::string_view operator()(const SetClock&) const { return "clock set by hand"; }
        std::string_view operator()(const SetHold&) const { return "hold set by hand"; }
        std::string_view operator()(const ExchangeNames&) const { return "names exchanged"; }
        std::string_view operator()(const Confirm&) const { return "confirmed"; }
        std::string_view operator()(const Accept&) const { return "accepted by the desk"; }
        std::string_view operator()(const Reopen&) const { return "opened again"; }
        std::string_view operator()(const Strike&) const { return "strike"; }
        std::string_view operator()(const Replace&) const { return "replaced"; }
        std::string_view operator()(const Move&) const { return "moved"; }
        std::string_view operator()(const Joint&) const { return "clocks joined"; }
    };
    return by_kind(Word{}, what);
}

std::string clock_text(Duration d) {
    const std::uint32_t whole = d.ms / 1000;
    const std::uint32_t rest = whole % 60;
    return Text() << whole / 60 << (rest < 10 ? ":0" : ":") << rest;
}

std::string remaining_text(Duration d) { return clock_text(Duration{d.ms + 999}); }

std::optional<Duration> clock_time(std::string_view text) {
    const std::size_t colon = text.find(':');
    if (colon == std::string_view::npos || colon < 1 || colon > 2 || text.size() != colon + 3) {
        return std::nullopt;
    }
    std::uint32_t parts[2] = {0, 0};
    for (std::size_t i = 0; i < text.size(); ++i) {
        if (i == colon) continue;
        if (text[i] < '0' || text[i] > '9') return std::nullopt;
        std::uint32_t& part = parts[i < colon ? 0 : 1];
        part = part * 10 + static_cast<std::uint32_t>(text[i] - '0');
    }
    if (parts[1] > 59) return std::nullopt;
    return seconds(parts[0] * 60 + parts[1]);
}

}  // namespace honbu

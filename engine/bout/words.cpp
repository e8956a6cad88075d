#include <array>
#include <utility>

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

namespace {

// Of the kinds whose word is always the same.
struct KindWord {
    constexpr std::string_view operator()(const Called&) const { return "called to the mat"; }
    constexpr std::string_view operator()(const Absent&) const { return "called for, not there"; }
    constexpr std::string_view operator()(const Present&) const { return "there"; }
    constexpr std::string_view operator()(const Hajime&) const { return "hajime"; }
    constexpr std::string_view operator()(const Mate&) const { return "mate"; }
    constexpr std::string_view operator()(const Pause&) const { return "pause"; }
    constexpr std::string_view operator()(const SonoMama&) const { return "sono-mama"; }
    constexpr std::string_view operator()(const Yoshi&) const { return "yoshi"; }
    constexpr std::string_view operator()(const Osaekomi&) const { return "osaekomi"; }
    constexpr std::string_view operator()(const HoldChanged&) const { return "hold changed"; }
    constexpr std::string_view operator()(const Toketa&) const { return "toketa"; }
    constexpr std::string_view operator()(const Awasete&) const { return "waza-ari-awasete-ippon"; }
    constexpr std::string_view operator()(const Shido&) const { return "shido"; }
    constexpr std::string_view operator()(const HansokuMake&) const { return "hansoku-make"; }
    constexpr std::string_view operator()(const BothLose&) const { return "both lose"; }
    constexpr std::string_view operator()(const HikiWake&) const { return "hiki-wake"; }
    constexpr std::string_view operator()(const Doctor&) const { return "doctor"; }
    constexpr std::string_view operator()(const Bleeding&) const { return "bleeding treated"; }
    constexpr std::string_view operator()(const Judogi&) const { return "judogi in order"; }
    constexpr std::string_view operator()(const Review&) const { return "review"; }
    constexpr std::string_view operator()(const ReviewOver&) const { return "review over"; }
    constexpr std::string_view operator()(const SoreMade&) const { return "sore-made"; }
    constexpr std::string_view operator()(const Kachi&) const { return "kachi"; }
    constexpr std::string_view operator()(const SetClock&) const { return "clock set by hand"; }
    constexpr std::string_view operator()(const SetHold&) const { return "hold set by hand"; }
    constexpr std::string_view operator()(const ExchangeNames&) const { return "names exchanged"; }
    constexpr std::string_view operator()(const Confirm&) const { return "confirmed"; }
    constexpr std::string_view operator()(const Accept&) const { return "accepted by the desk"; }
    constexpr std::string_view operator()(const Reopen&) const { return "opened again"; }
    constexpr std::string_view operator()(const Strike&) const { return "strike"; }
    constexpr std::string_view operator()(const Replace&) const { return "replaced"; }
    constexpr std::string_view operator()(const Move&) const { return "moved"; }
    constexpr std::string_view operator()(const Joint&) const { return "clocks joined"; }
    template<class Call> constexpr std::string_view operator()(const Call&) const { return {}; }
};

// As a table: looked up, not decided.
template<std::size_t... Kind>
constexpr std::array<std::string_view, sizeof...(Kind)> kind_words(std::index_sequence<Kind...>) {
    return {KindWord{}(std::variant_alternative_t<Kind, What>{})...};
}

constexpr auto words_by_kind = kind_words(std::make_index_sequence<std::variant_size_v<What>>{});

std::string_view word(Harm harm) {
    switch (harm) {
    case Harm::injury: return "injury";
    case Harm::illness: return "illness";
    case Harm::head: return "head impact";
    case Harm::unconscious: return "unconscious";
    }
    return "";
}

}  // namespace

std::string_view word(const What& what) {
    if (const auto* score = std::get_if<Score>(&what)) return word(score->level);
    if (const auto* award = std::get_if<Award>(&what)) return word(award->way);
    if (const auto* injury = std::get_if<Injury>(&what)) return word(injury->harm);
    if (const auto* win = std::get_if<Submission>(&what)) {
        return win->means == Means::choke ? "ippon by choke or lock" : "ippon by submission";
    }
    return words_by_kind[what.index()];
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

#include "engine/table/arguments.h"

#include <array>
#include <span>

#include "engine/bout/by_kind.h"
#include "engine/bout/clock_text.h"
#include "engine/bout/text.h"

namespace honbu {
namespace {

// By number: ids are for ever, like the numbers.
constexpr std::array<std::string_view, 38> reason_ids = {
    "",
    "non_combativity",
    "false_attack",
    "excessive_defence",
    "avoiding_grip",
    "two_hand_grip_break",
    "unorthodox_grip",
    "sleeve_end",
    "fingers_inside",
    "pistol_grip",
    "interlocked_fingers",
    "leaving_area",
    "danger_area",
    "pushing_out",
    "leg_grab",
    "bear_hug",
    "judogi",
    "pulling_down",
    "body_scissors",
    "bending_fingers",
    "forced_posture",
    "arm_lock_in_throw",
    "use_of_head",
    "reverse_seoi_nage",
    "attire",
    "kawazu_gake",
    "lock_elsewhere",
    "lifting_and_dropping",
    "reaping_support",
    "ignoring_referee",
    "unsporting",
    "head_dive",
    "neck_or_spine",
    "straight_down_lock",
    "falling_backwards",
    "hard_object",
    "head_defence",
    "other",
};
constexpr std::size_t first_grave = static_cast<std::size_t>(Reason::kawazu_gake);

constexpr std::array<std::string_view, 3> class_ids = {"", "endangered_self", "against_spirit"};
constexpr std::array<std::string_view, 12> site_ids = {
    "", "nose", "mouth", "face", "head", "ear", "neck", "hand", "arm", "leg", "foot", "other"};
constexpr std::array<std::string_view, 7> ground_ids = {
    "", "slip", "referee", "majority", "names", "clock", "administrative"};
constexpr std::array<std::string_view, 4> doctor_ids = {"", "referee", "athlete", "doctor"};
constexpr std::array<std::string_view, 4> doctor_words = {"", "the referee called",
                                                          "the athlete asked",
                                                          "the doctor came of his or her own "
                                                          "accord"};
constexpr std::array<std::string_view, 5> blame_ids = {"", "own", "other", "unknown", "outside"};
constexpr std::array<std::string_view, 5> blame_words = {"", "own doing", "caused by the other",
                                                         "cause not known", "caused from outside"};

// Where the id stands; 0: nowhere.
std::size_t place_of(std::span<const std::string_view> ids, std::string_view id) {
    for (std::size_t i = 1; i < ids.size(); ++i) {
        if (ids[i] == id) return i;
    }
    return 0;
}

template<class Enum>
bool find(std::span<const std::string_view> ids, std::string_view id, Enum& value) {
    const std::size_t place = place_of(ids, id);
    if (place != 0) value = static_cast<Enum>(place);
    return place != 0;
}

void add(std::vector<Argument>& out, std::string_view id, std::string_view words) {
    out.push_back({std::string(id), std::string(words)});
}

template<class Enum>
void add_all(std::vector<Argument>& out, std::span<const std::string_view> ids, std::size_t from,
             std::size_t to) {
    for (std::size_t i = from; i < to; ++i)
        add(out, ids[i], word(static_cast<Enum>(i)));
}

std::string unknown(std::string_view argument, std::string_view what) {
    return Text() << "'" << argument << "' is no " << what
                  << " that is known here: choose one of the list.";
}

// A whole number that fits; nothing: it is none.
std::optional<std::uint32_t> whole(std::string_view text) {
    if (text.empty() || text.size() > 6) return std::nullopt;
    std::uint32_t number = 0;
    for (const char c : text) {
        if (c < '0' || c > '9') return std::nullopt;
        number = number * 10 + static_cast<std::uint32_t>(c - '0');
    }
    return number;
}

struct List {
    const Conditions& under;
    std::vector<Argument>& out;

    void operator()(const Shido&) const {
        add_all<Reason>(out, reason_ids, 1, first_grave);
        add(out, "other", word(Reason::other));
    }
    void operator()(const HansokuMake&) const {
        add_all<DirectClass>(out, class_ids, 1, class_ids.size());
        if (under.rules.leg_grab != LegGrab::shido) add(out, "leg_grab", word(Reason::leg_grab));
        add_all<Reason>(out, reason_ids, first_grave, reason_ids.size());
    }
    void operator()(const Award& c) const {
        if (c.way != Way::hantei || under.rules.decision_by != DecisionBy::flags) return;
        add(out, "3", "3 flags of 3");
        add(out, "2", "2 flags of 3");
    }
    void operator()(const Doctor&) const {
        for (std::size_t i = 1; i < doctor_ids.size(); ++i)
            add(out, doctor_ids[i], doctor_words[i]);
    }
    void operator()(const Bleeding&) const { add_all<Site>(out, site_ids, 1, site_ids.size()); }
    void operator()(const Injury& c) const {
        if (c.harm == Harm::illness) return;
        for (std::size_t i = 1; i < blame_ids.size(); ++i)
            add(out, blame_ids[i], blame_words[i]);
    }
    void operator()(const Reopen&) const { add_all<Ground>(out, ground_ids, 1, ground_ids.size()); }
    template<class Call> void operator()(const Call&) const {}
};

struct Put {
    const Conditions& under;
    const State& state;
    std::string_view argument;

    std::string operator()(Shido& c) const {
        if (find(reason_ids, argument, c.reason)) return {};
        return unknown(argument, "reason for a shido");
    }
    std::string operator()(HansokuMake& c) const {
        if (find(class_ids, argument, c.of) || find(reason_ids, argument, c.reason)) return {};
        return unknown(argument, "reason for a hansoku-make");
    }
    std::string operator()(Award& c) const {
        if (c.way != Way::hantei) return none();
        if (under.rules.decision_by != DecisionBy::flags) {
            return "Under these rules one referee decides: there are no flags to count.";
        }
        if (argument != "2" && argument != "3") return "Say 2 or 3 flags of three.";
        c.flags = argument == "2" ? 2 : 3;
        return {};
    }
    std::string operator()(Doctor& c) const {
        if (find(doctor_ids, argument, c.by)) return {};
        return unknown(argument, "way to call a doctor");
    }
    std::string operator()(Bleeding& c) const {
        if (find(site_ids, argument, c.site)) return {};
        return unknown(argument, "place of bleeding");
    }
    std::string operator()(Injury& c) const {
        if (c.harm == Harm::illness) return none();
        if (find(blame_ids, argument, c.by)) return {};
        return unknown(argument, "cause");
    }
    std::string operator()(Reopen& c) const {
        if (find(ground_ids, argument, c.ground)) return {};
        return unknown(argument, "ground to open a bout again");
    }
    std::string operator()(SetClock& c) const {
        const auto time = clock_time(argument);
        if (!time) return "Give what the clock shall show as minutes:seconds, such as 3:21.";
        if (state.golden) {
            c.elapsed = *time;
            return {};
        }
        if (*time > under.time) {
            return Text() << "This bout is only " << clock_text(under.time) << " long.";
        }
        c.elapsed = under.time - *time;
        return {};
    }
    std::string operator()(SetHold& c) const {
        const auto value = whole(argument);
        if (!value) return "Give the hold in whole seconds, such as 12.";
        c.value = seconds(*value);
        return {};
    }
    template<class Call> std::string operator()(Call&) const { return none(); }

private:
    std::string none() const {
        return Text() << "Nothing can be said after this key: '" << argument << "'.";
    }
};

}  // namespace

std::vector<Argument> arguments_of(const Conditions& under, const What& what) {
    std::vector<Argument> out;
    by_kind(List{under, out}, what);
    return out;
}

std::string add_argument(const Conditions& under, const State& state, What& what,
                         std::string_view argument) {
    // Both kind and reason of a hansoku-make may be said.
    while (true) {
        const std::size_t colon = std::holds_alternative<HansokuMake>(what) ? argument.find(':')
                                                                            : argument.npos;
        const std::string_view one = argument.substr(0, colon);
        if (std::string no = by_kind(Put{under, state, one}, what); !no.empty()) return no;
        if (colon == argument.npos) return {};
        argument.remove_prefix(colon + 1);
    }
}

std::string_view needs(const What& what) {
    if (std::holds_alternative<Reopen>(what)) return "Say why the bout is opened again.";
    if (std::holds_alternative<SetClock>(what)) return "Say what the clock shall show.";
    if (std::holds_alternative<SetHold>(what)) return "Say how long the hold has lasted.";
    return {};
}

}  // namespace honbu

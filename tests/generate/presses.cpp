#include "tests/generate/presses.h"

#include <array>

namespace honbu::generate {
namespace {

Side side_of(std::uint32_t detail) { return detail % 2 == 0 ? Side::white : Side::blue; }
Sides sides_of(std::uint32_t detail) {
    const std::uint32_t lot = detail % 10;
    if (lot == 9) return both_sides();
    return only(side_of(detail));
}
template<class Enum> Enum one_of(std::uint32_t detail, Enum first, Enum last) {
    const auto low = static_cast<std::uint32_t>(first);
    return static_cast<Enum>(low + detail % (static_cast<std::uint32_t>(last) - low + 1));
}

// Acts, each as often as it stands here: what drives a bout on more often than the rest.
Act act_of(std::uint32_t kind, std::uint32_t detail) {
    const std::uint32_t more = detail / 16;
    switch (kind % 40) {
    case 0: return Called{};
    case 1: return Absent{sides_of(detail)};
    case 2: return Present{};
    case 3:
    case 4:
    case 5:
    case 6: return Hajime{};
    case 7:
    case 8:
    case 9: return Mate{};
    case 10: return Pause{};
    case 11: return SonoMama{};
    case 12: return Yoshi{};
    case 13:
    case 14:
    case 15: return Osaekomi{side_of(detail)};
    case 16: return HoldChanged{};
    case 17:
    case 18: return Toketa{};
    case 19:
    case 20:
    case 21: return Score{sides_of(detail), one_of(more, Level::koka, Level::ippon)};
    case 22: return Awasete{side_of(detail)};
    case 23:
    case 24:
    case 25: return Shido{sides_of(detail), one_of(more, Reason::not_said, Reason::other)};
    case 26:
        return HansokuMake{sides_of(detail),
                           one_of(more, DirectClass::not_said, DirectClass::against_spirit),
                           one_of(more / 4, Reason::not_said, Reason::other)};
    case 27: return Submission{side_of(detail), one_of(more, Means::submission, Means::choke)};
    case 28: {
        constexpr std::array ways{Way::hantei, Way::kiken_gachi, Way::fusen_gachi, Way::sogo_gachi};
        const Way way = ways[more % ways.size()];
        const bool flagged = way == Way::hantei;
        return Award{side_of(detail), way,
                     static_cast<std::uint8_t>(flagged ? 2 + (detail >> 8) % 2 : 0U)};
    }
    case 29: return BothLose{};
    case 30: return HikiWake{};
    case 31: return Doctor{side_of(detail), one_of(more, DoctorCall::referee, DoctorCall::doctor)};
    case 32: return Bleeding{side_of(detail), one_of(more, Site::nose, Site::other)};
    case 33:
        return Injury{side_of(detail), one_of(more, Harm::injury, Harm::unconscious),
                      one_of(more / 4, Blame::not_said, Blame::outside)};
    case 34: return Judogi{sides_of(detail)};
    case 35: return detail % 2 == 0 ? Act(Review{}) : Act(ReviewOver{});
    case 36: return SoreMade{};
    case 37: return Kachi{};
    case 38: return SetClock{Duration{more % 300'000}};
    default: break;
    }
    if (detail % 4 == 0) return ExchangeNames{};
    return SetHold{side_of(detail), Duration{more % 26'000}};
}

Duration gap_of(std::uint16_t gap) {
    switch (gap % 4) {
    case 0: return Duration{};
    case 1: return Duration{gap % 1'000U};
    case 2: return Duration{gap % 12'000U};
    default: break;
    }
    return Duration{gap};
}

// Kinds above the acts: corrections and what is said about the whole bout.
constexpr std::uint32_t act_kinds = 40;
constexpr std::uint32_t kinds = 56;

}  // namespace

CallId Sitting::earlier(std::uint32_t detail) const {
    if (calls_.empty() || detail % 32 == 31) return CallId{RunId{99}, CallNumber{1 + detail % 7}};
    return calls_[detail % calls_.size()].id;
}

What Sitting::what_of(const Press& press) const {
    const std::uint32_t kind = press.kind % kinds;
    if (kind < act_kinds) return what(act_of(kind, press.detail));
    const std::uint32_t more = press.detail / 1'024;
    switch (kind) {
    case 40:
    case 41:
    case 42:
    case 43: return Strike{earlier(press.detail)};
    case 44:
    case 45:
    case 46: return Replace{earlier(press.detail), act_of(more, more / 64)};
    case 47:
    case 48:
    case 49: return Move{earlier(press.detail), clock_ - Duration{more % 60'000}};
    case 50:
    case 51: return Confirm{result_of(under_, calls_, now())};
    case 52: return Accept{};
    case 53:
    case 54: return Reopen{one_of(press.detail, Ground::slip, Ground::administrative)};
    default: break;
    }
    Joint joint;
    joint.earlier = run_;
    joint.there = clock_;
    joint.here = Instant{100'000 + more % 5'000};  // as far from zero as the first run
    joint.source = one_of(press.detail, Joint::Source::wall_clock, Joint::Source::assumed);
    return joint;
}

Call Sitting::call(What what) const {
    Call made;
    made.id = CallId{run_, CallNumber{next_}};
    made.term = Term{1};
    made.mat = MatId{1};
    made.bout = BoutId{1};
    made.entered = clock_;
    made.what = std::move(what);
    return made;
}

Instant Sitting::now() const { return Timeline(calls_).place(run_, clock_); }

std::optional<std::string> Sitting::enter(Call call) {
    if (asking_ == Asking::asked) {
        if (auto no = no_entry(under_, calls_, call)) return no;
    }
    run_ = call.id.run;
    clock_ = call.entered;
    next_ = call.id.number.value + 1;
    calls_.push_back(std::move(call));
    return {};
}

std::optional<std::string> Sitting::press(const Press& press) {
    clock_ = clock_ + gap_of(press.gap);
    Call made = call(what_of(press));
    if (const auto* joint = std::get_if<Joint>(&made.what)) {
        if (calls_.empty()) return {};  // a bout's first call has no earlier run
        made.id = CallId{RunId{run_.value + 1}, CallNumber{1}};
        made.entered = joint->here;
    } else if (press.detail % 8 == 7) {
        made.back = Duration{press.detail / 8 % 20'000};
    }
    return enter(std::move(made));
}

std::vector<Press> presses(Lots& lots, std::uint32_t count) {
    std::vector<Press> out(count);
    for (Press& press : out) {
        press.kind = static_cast<std::uint8_t>(lots.below(kinds));
        press.gap = static_cast<std::uint16_t>(lots.below(65'536));
        press.detail = lots.any();
    }
    return out;
}

}  // namespace honbu::generate

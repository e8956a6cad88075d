// Calls in the canonical encoding.
#include "engine/bout/by_kind.h"
#include "engine/record/parts.h"

namespace honbu {
namespace {

// Kinds of `What` on disk. Never renumbered: kept journals hold them.
enum class Kind : std::uint8_t {
    called = 1,
    hajime = 2,
    mate = 3,
    sono_mama = 4,
    yoshi = 5,
    osaekomi = 6,
    toketa = 7,
    score = 8,
    shido = 9,
    hansoku_make = 10,
    submission = 11,
    award = 12,
    sore_made = 13,
    kachi = 14,
    confirm = 15,
    strike = 16,
    joint = 17,
    absent = 18,
    present = 19,
    pause = 20,
    hold_changed = 21,
    awasete = 22,
    both_lose = 23,
    hiki_wake = 24,
    doctor = 25,
    bleeding = 26,
    injury = 27,
    judogi = 28,
    review = 29,
    review_over = 30,
    set_clock = 31,
    set_hold = 32,
    exchange_names = 33,
    replace = 34,
    move = 35,
    accept = 36,
    reopen = 37,
};

// ---- to bytes

void put(Writer& w, Sides sides) { w.u8(sides.bits); }
void put(Writer& w, const BoardSide& side) {
    const auto& [score, shido, hansoku_make] = side;
    w.fixed(score);
    w.u8(shido);
    w.flag(hansoku_make);
}

}  // namespace

void put(Writer& w, CallId id) {
    w.u64(id.run.value);
    w.u32(id.number.value);
}
void put(Writer& w, const Joint& joint) {
    w.u64(joint.earlier.value);
    w.u32(joint.there.ms);
    w.u32(joint.here.ms);
    put_choice(w, joint.source);
}
void put(Writer& w, const Result& result) {
    const auto& [who, way, means, flags, golden_score, decided, stopped, regular, golden, white,
                 blue, points, names_exchanged, administrative, rules_hash, fold] = result;
    put_choice(w, who);
    put_choice(w, way);
    put_choice(w, means);
    w.u8(flags);
    w.flag(golden_score);
    w.u32(decided.ms);
    w.u32(stopped.ms);
    w.u32(regular.ms);
    w.u32(golden.ms);
    put(w, white);
    put(w, blue);
    w.u8(points);
    w.flag(names_exchanged);
    w.flag(administrative);
    w.fixed(rules_hash);
    w.u32(fold);
}

namespace {

// Out of line: a replacement holds a call as well.
[[gnu::noinline]] void put(Writer& w, const What& what);

struct PutWhat {
    Writer& w;
    void kind(Kind k) const { put_choice(w, k); }
    void operator()(const Called&) const { kind(Kind::called); }
    void operator()(const Absent& c) const {
        kind(Kind::absent);
        put(w, c.who);
    }
    void operator()(const Present&) const { kind(Kind::present); }
    void operator()(const Hajime&) const { kind(Kind::hajime); }
    void operator()(const Mate&) const { kind(Kind::mate); }
    void operator()(const Pause&) const { kind(Kind::pause); }
    void operator()(const SonoMama&) const { kind(Kind::sono_mama); }
    void operator()(const Yoshi&) const { kind(Kind::yoshi); }
    void operator()(const Osaekomi& c) const {
        kind(Kind::osaekomi);
        put_choice(w, c.by);
    }
    void operator()(const HoldChanged&) const { kind(Kind::hold_changed); }
    void operator()(const Toketa&) const { kind(Kind::toketa); }
    void operator()(const Score& c) const {
        kind(Kind::score);
        put(w, c.to);
        put_choice(w, c.level);
    }
    void operator()(const Awasete& c) const {
        kind(Kind::awasete);
        put_choice(w, c.to);
    }
    void operator()(const Shido& c) const {
        kind(Kind::shido);
        put(w, c.to);
        put_choice(w, c.reason);
    }
    void operator()(const HansokuMake& c) const {
        kind(Kind::hansoku_make);
        put(w, c.to);
        put_choice(w, c.of);
        put_choice(w, c.reason);
    }
    void operator()(const Submission& c) const {
        kind(Kind::submission);
        put_choice(w, c.to);
        put_choice(w, c.means);
    }
    void operator()(const Award& c) const {
        kind(Kind::award);
        put_choice(w, c.to);
        put_choice(w, c.way);
        w.u8(c.flags);
    }
    void operator()(const BothLose&) const { kind(Kind::both_lose); }
    void operator()(const HikiWake&) const { kind(Kind::hiki_wake); }
    void operator()(const Doctor& c) const {
        kind(Kind::doctor);
        put_choice(w, c.to);
        put_choice(w, c.by);
    }
    void operator()(const Bleeding& c) const {
        kind(Kind::bleeding);
        put_choice(w, c.to);
        put_choice(w, c.site);
    }
    void operator()(const Injury& c) const {
        kind(Kind::injury);
        put_choice(w, c.to);
        put_choice(w, c.harm);
        put_choice(w, c.by);
    }
    void operator()(const Judogi& c) const {
        kind(Kind::judogi);
        put(w, c.who);
    }
    void operator()(const Review&) const { kind(Kind::review); }
    void operator()(const ReviewOver&) const { kind(Kind::review_over); }
    void operator()(const SoreMade&) const { kind(Kind::sore_made); }
    void operator()(const Kachi&) const { kind(Kind::kachi); }
    void operator()(const SetClock& c) const {
        kind(Kind::set_clock);
        w.u32(c.elapsed.ms);
    }
    void operator()(const SetHold& c) const {
        kind(Kind::set_hold);
        put_choice(w, c.by);
        w.u32(c.value.ms);
    }
    void operator()(const ExchangeNames&) const { kind(Kind::exchange_names); }
    void operator()(const Strike& c) const {
        kind(Kind::strike);
        put(w, c.call);
    }
    void operator()(const Replace& c) const {
        kind(Kind::replace);
        put(w, c.call);
        put(w, what(c.by));
    }
    void operator()(const Move& c) const {
        kind(Kind::move);
        put(w, c.call);
        w.u32(c.to.ms);
    }
    void operator()(const Confirm& c) const {
        kind(Kind::confirm);
        put(w, c.result);
    }
    void operator()(const Accept&) const { kind(Kind::accept); }
    void operator()(const Reopen& c) const {
        kind(Kind::reopen);
        put_choice(w, c.ground);
    }
    void operator()(const Joint& c) const {
        kind(Kind::joint);
        put(w, c);
    }
};

void put(Writer& w, const What& what) { by_kind(PutWhat{w}, what); }

// ---- from bytes

Side side_of(Reader& r) { return r.choice(Side::white, Side::blue); }
Sides sides_of(Reader& r) {
    const std::uint8_t bits = r.u8();
    if (bits == 0 || bits > 3) r.fail();
    return Sides{bits};
}
Reason reason_of(Reader& r) { return r.choice(Reason::not_said, Reason::other); }
// Two or three of three decide; 0: not said.
std::uint8_t flags_of(Reader& r, bool hantei) {
    const std::uint8_t flags = r.u8();
    if (flags == 1 || flags > 3 || (flags != 0 && !hantei)) r.fail();
    return flags;
}

}  // namespace

CallId call_id_of(Reader& r) {
    const RunId run{r.u64()};
    return CallId{run, CallNumber{r.u32()}};
}

namespace {

BoardSide board_side_of(Reader& r) {
    BoardSide side;
    r.fixed(side.score);
    side.shido = r.u8();
    side.hansoku_make = r.flag();
    return side;
}

}  // namespace

Result result_of(Reader& r) {
    Result v;
    v.winner = r.choice(Winner::undecided, Winner::draw);
    v.way = r.choice(Way::none, Way::hiki_wake);
    v.means = r.choice(Means::none, Means::choke);
    v.flags = flags_of(r, v.way == Way::hantei);
    v.golden_score = r.flag();
    v.decided = Duration{r.u32()};
    v.stopped = Duration{r.u32()};
    v.regular = Duration{r.u32()};
    v.golden = Duration{r.u32()};
    v.white = board_side_of(r);
    v.blue = board_side_of(r);
    v.points = r.u8();
    v.names_exchanged = r.flag();
    v.administrative = r.flag();
    r.fixed(v.rules_hash);
    v.fold_version = r.u32();
    return v;
}

namespace {

Award award_of(Reader& r) {
    Award award;
    award.to = side_of(r);
    award.way = r.choice(Way::none, Way::hiki_wake);
    const bool hantei = award.way == Way::hantei;
    if (!hantei && award.way != Way::kiken_gachi && award.way != Way::fusen_gachi &&
        award.way != Way::sogo_gachi) {
        r.fail();
    }
    award.flags = flags_of(r, hantei);
    return award;
}

}  // namespace

Joint joint_of(Reader& r) {
    Joint joint;
    joint.earlier = RunId{r.u64()};
    joint.there = Instant{r.u32()};
    joint.here = Instant{r.u32()};
    joint.source = r.choice(Joint::Source::wall_clock, Joint::Source::assumed);
    return joint;
}

namespace {

// In braced lists the fields are read in the order they are written in: C++20, [dcl.init.list].
Act act_of(Reader& r, Kind kind) {
    switch (kind) {
    case Kind::called: return Called{};
    case Kind::absent: return Absent{sides_of(r)};
    case Kind::present: return Present{};
    case Kind::hajime: return Hajime{};
    case Kind::mate: return Mate{};
    case Kind::pause: return Pause{};
    case Kind::sono_mama: return SonoMama{};
    case Kind::yoshi: return Yoshi{};
    case Kind::osaekomi: return Osaekomi{side_of(r)};
    case Kind::hold_changed: return HoldChanged{};
    case Kind::toketa: return Toketa{};
    case Kind::score: return Score{sides_of(r), r.choice(Level::koka, Level::ippon)};
    case Kind::awasete: return Awasete{side_of(r)};
    case Kind::shido: return Shido{sides_of(r), reason_of(r)};
    case Kind::hansoku_make:
        return HansokuMake{sides_of(r),
                           r.choice(DirectClass::not_said, DirectClass::against_spirit),
                           reason_of(r)};
    case Kind::submission: return Submission{side_of(r), r.choice(Means::submission, Means::choke)};
    case Kind::award: return award_of(r);
    case Kind::both_lose: return BothLose{};
    case Kind::hiki_wake: return HikiWake{};
    case Kind::doctor: return Doctor{side_of(r), r.choice(DoctorCall::referee, DoctorCall::doctor)};
    case Kind::bleeding: return Bleeding{side_of(r), r.choice(Site::nose, Site::other)};
    case Kind::injury:
        return Injury{side_of(r), r.choice(Harm::injury, Harm::unconscious),
                      r.choice(Blame::not_said, Blame::outside)};
    case Kind::judogi: return Judogi{sides_of(r)};
    case Kind::review: return Review{};
    case Kind::review_over: return ReviewOver{};
    case Kind::sore_made: return SoreMade{};
    case Kind::kachi: return Kachi{};
    case Kind::set_clock: return SetClock{Duration{r.u32()}};
    case Kind::set_hold: return SetHold{side_of(r), Duration{r.u32()}};
    case Kind::exchange_names: return ExchangeNames{};
    // What is said about calls is no act, so a correction never holds another.
    case Kind::confirm:
    case Kind::strike:
    case Kind::joint:
    case Kind::replace:
    case Kind::move:
    case Kind::accept:
    case Kind::reopen: break;
    }
    r.fail();
    return Called{};
}

Kind kind_of(Reader& r) { return r.choice(Kind::called, Kind::reopen); }

What what_of(Reader& r) {
    const Kind kind = kind_of(r);
    if (kind == Kind::confirm) return Confirm{result_of(r)};
    if (kind == Kind::strike) return Strike{call_id_of(r)};
    if (kind == Kind::joint) return joint_of(r);
    if (kind == Kind::replace) {
        const CallId call = call_id_of(r);
        return Replace{call, act_of(r, kind_of(r))};
    }
    if (kind == Kind::move) return Move{call_id_of(r), Instant{r.u32()}};
    if (kind == Kind::accept) return Accept{};
    if (kind == Kind::reopen) return Reopen{r.choice(Ground::slip, Ground::administrative)};
    return what(act_of(r, kind));
}

}  // namespace

void put(Writer& w, const Call& call) {
    put(w, call.id);
    w.u32(call.term.value);
    w.u16(call.mat.value);
    w.u32(call.bout.value);
    w.u32(call.entered.ms);
    w.u32(call.back.ms);
    w.u32(call.seen);
    put(w, call.what);
}

Call call_of(Reader& r) {
    Call call;
    call.id = call_id_of(r);
    call.term = Term{r.u32()};
    call.mat = MatId{r.u16()};
    call.bout = BoutId{r.u32()};
    call.entered = Instant{r.u32()};
    call.back = Duration{r.u32()};
    call.seen = r.u32();
    call.what = what_of(r);
    return call;
}

}  // namespace honbu

#include "engine/record/canon.h"

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
};

void put(Writer& w, Kind kind) { w.u8(static_cast<std::uint8_t>(kind)); }
void put(Writer& w, Side side) { w.u8(static_cast<std::uint8_t>(side)); }
void put(Writer& w, CallId id) {
    w.u64(id.run.value);
    w.u32(id.number.value);
}
void put(Writer& w, const BoardSide& side) {
    w.fixed(side.score);
    w.u8(side.shido);
    w.flag(side.hansoku_make);
}
void put(Writer& w, const Result& r) {
    w.u8(static_cast<std::uint8_t>(r.winner));
    w.u8(static_cast<std::uint8_t>(r.way));
    w.flag(r.golden_score);
    w.u32(r.regular.ms);
    w.u32(r.golden.ms);
    put(w, r.white);
    put(w, r.blue);
    w.fixed(r.rules_hash);
    w.u32(r.fold_version);
}

struct PutWhat {
    Writer& w;
    void operator()(const Called&) const { put(w, Kind::called); }
    void operator()(const Hajime&) const { put(w, Kind::hajime); }
    void operator()(const Mate&) const { put(w, Kind::mate); }
    void operator()(const SonoMama&) const { put(w, Kind::sono_mama); }
    void operator()(const Yoshi&) const { put(w, Kind::yoshi); }
    void operator()(const Osaekomi& c) const {
        put(w, Kind::osaekomi);
        put(w, c.by);
    }
    void operator()(const Toketa&) const { put(w, Kind::toketa); }
    void operator()(const Score& c) const {
        put(w, Kind::score);
        put(w, c.to);
        w.u8(static_cast<std::uint8_t>(c.level));
    }
    void operator()(const Shido& c) const {
        put(w, Kind::shido);
        w.u8(c.to.bits);
    }
    void operator()(const HansokuMake& c) const {
        put(w, Kind::hansoku_make);
        w.u8(c.to.bits);
    }
    void operator()(const Submission& c) const {
        put(w, Kind::submission);
        put(w, c.to);
    }
    void operator()(const Award& c) const {
        put(w, Kind::award);
        put(w, c.to);
        w.u8(static_cast<std::uint8_t>(c.way));
    }
    void operator()(const SoreMade&) const { put(w, Kind::sore_made); }
    void operator()(const Kachi&) const { put(w, Kind::kachi); }
    void operator()(const Confirm& c) const {
        put(w, Kind::confirm);
        put(w, c.result);
    }
    void operator()(const Strike& c) const {
        put(w, Kind::strike);
        put(w, c.call);
    }
    void operator()(const Joint& c) const {
        put(w, Kind::joint);
        w.u64(c.earlier.value);
        w.u32(c.there.ms);
        w.u32(c.here.ms);
        w.u8(static_cast<std::uint8_t>(c.source));
    }
};

void put(Writer& w, const Stopwatch& clock) {
    w.flag(clock.running);
    w.u32(clock.value.ms);
    w.u32(clock.since.ms);
}
void put(Writer& w, const Tally& tally) {
    w.fixed(tally.score);
    w.u8(tally.shido);
    w.flag(tally.direct_hansoku_make);
}

Side side_of(Reader& r) { return r.choice(Side::white, Side::blue); }
Sides sides_of(Reader& r) {
    const std::uint8_t bits = r.u8();
    if (bits == 0 || bits > 3) r.fail();
    return Sides{bits};
}
CallId call_id_of(Reader& r) {
    const RunId run{r.u64()};
    return CallId{run, CallNumber{r.u32()}};
}
BoardSide board_side_of(Reader& r) {
    BoardSide side;
    r.fixed(side.score);
    side.shido = r.u8();
    side.hansoku_make = r.flag();
    return side;
}
Result result_from(Reader& r) {
    Result v;
    v.winner = r.choice(Winner::undecided, Winner::draw);
    v.way = r.choice(Way::none, Way::hiki_wake);
    v.golden_score = r.flag();
    v.regular = Duration{r.u32()};
    v.golden = Duration{r.u32()};
    v.white = board_side_of(r);
    v.blue = board_side_of(r);
    r.fixed(v.rules_hash);
    v.fold_version = r.u32();
    return v;
}

What what_of(Reader& r) {
    switch (r.choice(Kind::called, Kind::joint)) {
    case Kind::called: return Called{};
    case Kind::hajime: return Hajime{};
    case Kind::mate: return Mate{};
    case Kind::sono_mama: return SonoMama{};
    case Kind::yoshi: return Yoshi{};
    case Kind::osaekomi: return Osaekomi{side_of(r)};
    case Kind::toketa: return Toketa{};
    case Kind::score: {
        const Side to = side_of(r);
        return Score{to, r.choice(Level::koka, Level::ippon)};
    }
    case Kind::shido: return Shido{sides_of(r)};
    case Kind::hansoku_make: return HansokuMake{sides_of(r)};
    case Kind::submission: return Submission{side_of(r)};
    case Kind::award: {
        const Side to = side_of(r);
        return Award{to, r.choice(Way::none, Way::hiki_wake)};
    }
    case Kind::sore_made: return SoreMade{};
    case Kind::kachi: return Kachi{};
    case Kind::confirm: return Confirm{result_from(r)};
    case Kind::strike: return Strike{call_id_of(r)};
    case Kind::joint: {
        Joint joint;
        joint.earlier = RunId{r.u64()};
        joint.there = Instant{r.u32()};
        joint.here = Instant{r.u32()};
        joint.source = r.choice(Joint::Source::wall_clock, Joint::Source::assumed);
        return joint;
    }
    }
    r.fail();
    return Called{};
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
    std::visit(PutWhat{w}, call.what);
}

void put(Writer& w, const RuleSet& r) {
    w.text(r.name);
    w.text(r.title);
    for (const bool has : r.levels)
        w.flag(has);
    for (const Duration d : r.hold)
        w.u32(d.ms);
    w.flag(r.two_waza_ari_are_ippon);
    w.flag(r.sogo_gachi);
    w.u8(r.shido_out);
    for (const Equivalent e : r.shido_equivalent)
        w.u8(static_cast<std::uint8_t>(e));
    w.u8(static_cast<std::uint8_t>(r.at_time));
    w.u8(static_cast<std::uint8_t>(r.tie));
    w.u32(r.golden_limit.ms);
    w.flag(r.golden_keeps_scores);
    w.flag(r.golden_keeps_shido);
    w.u8(static_cast<std::uint8_t>(r.golden_shido));
    w.u8(static_cast<std::uint8_t>(r.golden_hold));
    w.u8(static_cast<std::uint8_t>(r.both_hansoku_make));
    w.text(r.white_word);
    w.text(r.blue_word);
    w.u32(static_cast<std::uint32_t>(r.times.size()));
    for (const AgeGroup& group : r.times) {
        w.text(group.name);
        w.u32(group.time.ms);
    }
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

RuleSet rules_of(Reader& r) {
    RuleSet v;
    v.name = r.text();
    v.title = r.text();
    for (bool& has : v.levels)
        has = r.flag();
    for (Duration& d : v.hold)
        d = Duration{r.u32()};
    v.two_waza_ari_are_ippon = r.flag();
    v.sogo_gachi = r.flag();
    v.shido_out = r.u8();
    for (Equivalent& e : v.shido_equivalent)
        e = r.choice(Equivalent::none, Equivalent::waza_ari);
    v.at_time = r.choice(AtTime::scores, AtTime::scores_then_shido);
    v.tie = r.choice(Tie::golden_score, Tie::hantei);
    v.golden_limit = Duration{r.u32()};
    v.golden_keeps_scores = r.flag();
    v.golden_keeps_shido = r.flag();
    v.golden_shido = r.choice(GoldenShido::nothing, GoldenShido::lead);
    v.golden_hold = r.choice(GoldenHold::run_to_ippon, GoldenHold::stop_at_first_score);
    v.both_hansoku_make = r.choice(BothHansokuMake::both_lose, BothHansokuMake::golden_score);
    v.white_word = r.text();
    v.blue_word = r.text();
    const std::uint32_t groups = r.count(6);
    for (std::uint32_t i = 0; i < groups && r.good(); ++i) {
        AgeGroup group;
        group.name = r.text();
        group.time = Duration{r.u32()};
        v.times.push_back(std::move(group));
    }
    return v;
}

std::string encode(const Call& call) {
    Writer w;
    put(w, call);
    return w.take();
}

std::string encode(const RuleSet& rules) {
    Writer w;
    put(w, rules);
    return w.take();
}

std::string encode(const State& s) {
    Writer w;
    w.u8(static_cast<std::uint8_t>(s.phase));
    w.flag(s.golden);
    w.flag(s.time_up);
    put(w, s.contest);
    w.flag(s.frozen_running);
    w.u32(s.regular.ms);
    w.flag(s.hold.on);
    put(w, s.hold.by);
    put(w, s.hold.clock);
    w.u8(s.hold.reached);
    w.flag(s.hold.decides);
    for (const Tally& tally : s.tally)
        put(w, tally);
    w.u8(static_cast<std::uint8_t>(s.decision.winner));
    w.u8(static_cast<std::uint8_t>(s.decision.way));
    w.u32(s.decision.at.ms);
    return w.take();
}

std::optional<Call> decode_call(std::string_view bytes) {
    Reader r(bytes);
    Call call = call_of(r);
    if (!r.complete()) return std::nullopt;
    return call;
}

std::optional<RuleSet> decode_rules(std::string_view bytes) {
    Reader r(bytes);
    RuleSet rules = rules_of(r);
    if (!r.complete()) return std::nullopt;
    return rules;
}

std::uint32_t short_hash(const State& state) {
    const Hash h = sha256(encode(state));
    return std::uint32_t{h[0]} << 24 | std::uint32_t{h[1]} << 16 | std::uint32_t{h[2]} << 8 |
           std::uint32_t{h[3]};
}

}  // namespace honbu

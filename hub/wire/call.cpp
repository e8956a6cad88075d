// Calls and results, both ways.
#include <algorithm>
#include <variant>

#include "engine/view/json.h"
#include "hub/wire/parts.h"

namespace honbu::wire {
namespace {

v1::Side side_number(Side side) { return static_cast<v1::Side>(side); }
v1::Side side_number(Sides sides) { return static_cast<v1::Side>(sides.bits); }

struct PutWhat {
    v1::Call& out;
    void operator()(const Called&) const { out.set_plain(v1::PLAIN_CALLED); }
    void operator()(const Hajime&) const { out.set_plain(v1::PLAIN_HAJIME); }
    void operator()(const Mate&) const { out.set_plain(v1::PLAIN_MATE); }
    void operator()(const SonoMama&) const { out.set_plain(v1::PLAIN_SONO_MAMA); }
    void operator()(const Yoshi&) const { out.set_plain(v1::PLAIN_YOSHI); }
    void operator()(const Toketa&) const { out.set_plain(v1::PLAIN_TOKETA); }
    void operator()(const SoreMade&) const { out.set_plain(v1::PLAIN_SORE_MADE); }
    void operator()(const Kachi&) const { out.set_plain(v1::PLAIN_KACHI); }
    void operator()(const Osaekomi& c) const { out.set_osaekomi(side_number(c.by)); }
    void operator()(const Score& c) const {
        v1::Score& score = *out.mutable_score();
        score.set_to(side_number(c.to));
        score.set_level(static_cast<v1::Level>(c.level));
    }
    void operator()(const Shido& c) const { out.set_shido(side_number(c.to)); }
    void operator()(const HansokuMake& c) const { out.set_hansoku_make(side_number(c.to)); }
    void operator()(const Submission& c) const { out.set_submission(side_number(c.to)); }
    void operator()(const Award& c) const {
        v1::Award& award = *out.mutable_award();
        award.set_to(side_number(c.to));
        award.set_way(static_cast<v1::Way>(c.way));
    }
    void operator()(const Confirm& c) const { put(c.result, *out.mutable_confirm()); }
    void operator()(const Strike& c) const { put(c.call, *out.mutable_strike()); }
    void operator()(const Joint& c) const {
        v1::Joint& joint = *out.mutable_joint();
        joint.set_earlier(name_text(c.earlier.value));
        joint.set_there(c.there.ms);
        joint.set_here(c.here.ms);
        joint.set_source(static_cast<v1::Joint::Source>(c.source));
    }
};

What plain_of(v1::Plain plain, Check& check) {
    switch (plain) {
    case v1::PLAIN_CALLED: return Called{};
    case v1::PLAIN_HAJIME: return Hajime{};
    case v1::PLAIN_MATE: return Mate{};
    case v1::PLAIN_SONO_MAMA: return SonoMama{};
    case v1::PLAIN_YOSHI: return Yoshi{};
    case v1::PLAIN_TOKETA: return Toketa{};
    case v1::PLAIN_SORE_MADE: return SoreMade{};
    case v1::PLAIN_KACHI: return Kachi{};
    case v1::PLAIN_NONE:
    // protobuf's own fences against an enum's growth; neither is a value of the schema.
    case v1::Plain_INT_MIN_SENTINEL_DO_NOT_USE_:
    case v1::Plain_INT_MAX_SENTINEL_DO_NOT_USE_: break;
    }
    check.wrong("call.plain is " + std::to_string(plain) + ", which is no call this hub knows.");
    return Called{};
}

Award award_of(const v1::Award& in, Check& check) {
    Award award{check.side(in.to(), "call.award.to"),
                check.among<Way>(in.way(), v1::WAY_NONE, v1::WAY_HIKI_WAKE, "call.award.way")};
    if (award.way != Way::hantei && award.way != Way::kiken_gachi &&
        award.way != Way::fusen_gachi) {
        check.wrong("call.award.way must be hantei (8), kiken-gachi (11) or fusen-gachi (12); "
                    "every other win follows from the calls.");
    }
    return award;
}

BoardSide board_side_of(const v1::BoardSide& in, const std::string& field, Check& check) {
    BoardSide side;
    side.score[index(Level::ippon)] = check.count(in.ippon(), field + ".ippon");
    side.score[index(Level::waza_ari)] = check.count(in.waza_ari(), field + ".waza_ari");
    side.score[index(Level::yuko)] = check.count(in.yuko(), field + ".yuko");
    side.score[index(Level::koka)] = check.count(in.koka(), field + ".koka");
    side.shido = check.count(in.shido(), field + ".shido");
    side.hansoku_make = in.hansoku_make();
    return side;
}

Result result_of(const v1::Result& in, Check& check) {
    Result result;
    result.winner = check.among<Winner>(in.winner(), v1::WINNER_UNDECIDED, v1::WINNER_DRAW,
                                        "call.confirm.winner");
    result.way = check.among<Way>(in.way(), v1::WAY_NONE, v1::WAY_HIKI_WAKE, "call.confirm.way");
    result.golden_score = in.golden_score();
    result.regular = Duration{in.regular_ms()};
    result.golden = Duration{in.golden_ms()};
    result.white = board_side_of(in.white(), "call.confirm.white", check);
    result.blue = board_side_of(in.blue(), "call.confirm.blue", check);
    if (in.rules_hash().size() == result.rules_hash.size()) {
        std::transform(in.rules_hash().begin(), in.rules_hash().end(), result.rules_hash.begin(),
                       [](char c) { return static_cast<std::uint8_t>(c); });
    } else {
        check.wrong("call.confirm.rules_hash has " + std::to_string(in.rules_hash().size()) +
                    " bytes; a SHA-256 has 32.");
    }
    result.fold_version = in.fold_version();
    return result;
}

Joint joint_of(const v1::Joint& in, Check& check) {
    Joint joint;
    joint.earlier = RunId{check.name(in.earlier(), "call.joint.earlier")};
    joint.there = Instant{in.there()};
    joint.here = Instant{in.here()};
    joint.source = check.among<Joint::Source>(in.source(), v1::Joint::SOURCE_WALL_CLOCK,
                                              v1::Joint::SOURCE_ASSUMED, "call.joint.source");
    return joint;
}

What what_of(const v1::Call& in, Check& check) {
    switch (in.what_case()) {
    case v1::Call::kPlain: return plain_of(in.plain(), check);
    case v1::Call::kOsaekomi: return Osaekomi{check.side(in.osaekomi(), "call.osaekomi")};
    case v1::Call::kScore:
        return Score{check.side(in.score().to(), "call.score.to"),
                     check.among<Level>(in.score().level(), v1::LEVEL_KOKA, v1::LEVEL_IPPON,
                                        "call.score.level")};
    case v1::Call::kShido: return Shido{check.sides(in.shido(), "call.shido")};
    case v1::Call::kHansokuMake:
        return HansokuMake{check.sides(in.hansoku_make(), "call.hansoku_make")};
    case v1::Call::kSubmission: return Submission{check.side(in.submission(), "call.submission")};
    case v1::Call::kAward: return award_of(in.award(), check);
    case v1::Call::kConfirm: return Confirm{result_of(in.confirm(), check)};
    case v1::Call::kStrike: return Strike{call_id_of(true, in.strike(), "call.strike", check)};
    case v1::Call::kJoint: return joint_of(in.joint(), check);
    case v1::Call::WHAT_NOT_SET: break;
    }
    check.wrong("call.what is missing or of a kind this hub does not know.");
    return Called{};
}

}  // namespace

// ---- to messages --------------------------------------------------------------------------------

void put(const Call& call, v1::Call& out) {
    put(call.id, *out.mutable_id());
    out.set_term(call.term.value);
    out.set_mat(call.mat.value);
    out.set_bout(call.bout.value);
    out.set_entered(call.entered.ms);
    out.set_back(call.back.ms);
    out.set_seen(call.seen);
    std::visit(PutWhat{out}, call.what);
}

void put(CallId id, v1::CallRef& out) {
    out.set_run(name_text(id.run.value));
    out.set_number(id.number.value);
}

void put(const Result& result, v1::Result& out) {
    out.set_winner(static_cast<v1::Winner>(result.winner));
    out.set_way(static_cast<v1::Way>(result.way));
    out.set_golden_score(result.golden_score);
    out.set_regular_ms(result.regular.ms);
    out.set_golden_ms(result.golden.ms);
    put(result.white, *out.mutable_white());
    put(result.blue, *out.mutable_blue());
    out.set_rules_hash(result.rules_hash.data(), result.rules_hash.size());
    out.set_fold_version(result.fold_version);
}

void put(const BoardSide& side, v1::BoardSide& out) {
    out.set_ippon(side.score[index(Level::ippon)]);
    out.set_waza_ari(side.score[index(Level::waza_ari)]);
    out.set_yuko(side.score[index(Level::yuko)]);
    out.set_koka(side.score[index(Level::koka)]);
    out.set_shido(side.shido);
    out.set_hansoku_make(side.hansoku_make);
}

// ---- from messages ------------------------------------------------------------------------------

CallId call_id_of(bool present, const v1::CallRef& in, std::string_view field, Check& check) {
    if (!present) {
        check.wrong(std::string(field) + " is missing; a call is named by its run and number.");
        return CallId{};
    }
    const RunId run{check.name(in.run(), std::string(field) + ".run")};
    if (in.number() == 0) {
        check.wrong(std::string(field) + ".number is 0; calls of a run are numbered from 1.");
    }
    return CallId{run, CallNumber{in.number()}};
}

Call call_of(const v1::Call& in, Check& check) {
    Call call;
    call.id = call_id_of(in.has_id(), in.id(), "call.id", check);
    call.term = Term{in.term()};
    call.mat = check.mat(in.mat(), "call.mat");
    call.bout = BoutId{in.bout()};
    call.entered = Instant{in.entered()};
    call.back = Duration{in.back()};
    call.seen = in.seen();
    call.what = what_of(in, check);
    return call;
}

}  // namespace honbu::wire

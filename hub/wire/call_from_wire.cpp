// Messages to calls. `at` is the way to the message, as hub.proto names it: "call", or
// "call.replace.by" for what replaces another.
#include <optional>

#include "hub/wire/parts.h"

namespace honbu::wire {
namespace {

struct FromWire {
    const v1::Call& in;
    std::string at;
    Check& check;

    std::string field(std::string_view name) const { return at + "." + std::string(name); }
    Side side(v1::Side value, std::string_view name) const {
        return check.side(value, field(name));
    }
    Sides sides(v1::Side value, std::string_view name) const {
        return check.sides(value, field(name));
    }

    // nullopt: not one of the plain acts.
    std::optional<Act> plain() const {
        switch (in.plain()) {
        case v1::PLAIN_CALLED: return Called{};
        case v1::PLAIN_HAJIME: return Hajime{};
        case v1::PLAIN_MATE: return Mate{};
        case v1::PLAIN_SONO_MAMA: return SonoMama{};
        case v1::PLAIN_YOSHI: return Yoshi{};
        case v1::PLAIN_TOKETA: return Toketa{};
        case v1::PLAIN_SORE_MADE: return SoreMade{};
        case v1::PLAIN_KACHI: return Kachi{};
        case v1::PLAIN_PAUSE: return Pause{};
        case v1::PLAIN_HOLD_CHANGED: return HoldChanged{};
        case v1::PLAIN_PRESENT: return Present{};
        case v1::PLAIN_BOTH_LOSE: return BothLose{};
        case v1::PLAIN_HIKI_WAKE: return HikiWake{};
        case v1::PLAIN_REVIEW: return Review{};
        case v1::PLAIN_REVIEW_OVER: return ReviewOver{};
        case v1::PLAIN_EXCHANGE_NAMES: return ExchangeNames{};
        case v1::PLAIN_ACCEPT: return std::nullopt;
        case v1::PLAIN_NONE:
        // protobuf's own fences against an enum's growth; neither is a value of the schema.
        case v1::Plain_INT_MIN_SENTINEL_DO_NOT_USE_:
        case v1::Plain_INT_MAX_SENTINEL_DO_NOT_USE_: break;
        }
        check.wrong(field("plain") + " is " + std::to_string(in.plain()) +
                    ", which is no call this hub knows.");
        return Called{};
    }

    Reason reason() const {
        return check.among<Reason>(in.reason(), v1::PENALTY_REASON_NOT_SAID,
                                   v1::PENALTY_REASON_OTHER, field("reason"));
    }
    Submission submission() const {
        Submission out{side(in.submission(), "submission")};
        if (in.means() == v1::MEANS_NONE) return out;
        out.means = check.among<Means>(in.means(), v1::MEANS_SUBMISSION, v1::MEANS_CHOKE,
                                       field("means"));
        return out;
    }
    HansokuMake hansoku_make() const {
        HansokuMake out{sides(in.hansoku_make(), "hansoku_make")};
        out.of = check.among<DirectClass>(in.direct_class(), v1::DIRECT_CLASS_NOT_SAID,
                                          v1::DIRECT_CLASS_AGAINST_SPIRIT, field("direct_class"));
        out.reason = reason();
        return out;
    }
    Award award() const {
        Award out;
        out.to = side(in.award().to(), "award.to");
        out.way = check.among<Way>(in.award().way(), v1::WAY_NONE, v1::WAY_HIKI_WAKE,
                                   field("award.way"));
        if (out.way != Way::hantei && out.way != Way::kiken_gachi && out.way != Way::fusen_gachi &&
            out.way != Way::sogo_gachi) {
            check.wrong(field("award.way") +
                        " must be sogo-gachi (3), hantei (8), kiken-gachi (11) or fusen-gachi "
                        "(12); every other win follows from the calls.");
        }
        out.flags = check.flags(in.award().flags(), out.way, field("award.flags"));
        return out;
    }
    Doctor doctor() const {
        return Doctor{side(in.doctor().to(), "doctor.to"),
                      check.among<DoctorCall>(in.doctor().by(), v1::DOCTOR_CALL_REFEREE,
                                              v1::DOCTOR_CALL_DOCTOR, field("doctor.by"))};
    }
    Bleeding bleeding() const {
        return Bleeding{side(in.bleeding().to(), "bleeding.to"),
                        check.among<Site>(in.bleeding().site(), v1::SITE_NOSE, v1::SITE_OTHER,
                                          field("bleeding.site"))};
    }
    Injury injury() const {
        return Injury{side(in.injury().to(), "injury.to"),
                      check.among<Harm>(in.injury().harm(), v1::HARM_INJURY, v1::HARM_UNCONSCIOUS,
                                        field("injury.harm")),
                      check.among<Blame>(in.injury().by(), v1::BLAME_NOT_SAID, v1::BLAME_OUTSIDE,
                                         field("injury.by"))};
    }

    // nullopt: a correction, or something said about the whole bout.
    std::optional<Act> act() const {
        switch (in.what_case()) {
        case v1::Call::kPlain: return plain();
        case v1::Call::kOsaekomi: return Osaekomi{side(in.osaekomi(), "osaekomi")};
        case v1::Call::kScore:
            return Score{sides(in.score().to(), "score.to"),
                         check.among<Level>(in.score().level(), v1::LEVEL_KOKA, v1::LEVEL_IPPON,
                                            field("score.level"))};
        case v1::Call::kShido: return Shido{sides(in.shido(), "shido"), reason()};
        case v1::Call::kHansokuMake: return hansoku_make();
        case v1::Call::kSubmission: return submission();
        case v1::Call::kAward: return award();
        case v1::Call::kAbsent: return Absent{sides(in.absent(), "absent")};
        case v1::Call::kAwasete: return Awasete{side(in.awasete(), "awasete")};
        case v1::Call::kDoctor: return doctor();
        case v1::Call::kBleeding: return bleeding();
        case v1::Call::kInjury: return injury();
        case v1::Call::kJudogi: return Judogi{sides(in.judogi(), "judogi")};
        case v1::Call::kSetClock: return SetClock{Duration{in.set_clock()}};
        case v1::Call::kSetHold:
            return SetHold{side(in.set_hold().by(), "set_hold.by"), Duration{in.set_hold().ms()}};
        case v1::Call::kConfirm:
        case v1::Call::kStrike:
        case v1::Call::kJoint:
        case v1::Call::kReplace:
        case v1::Call::kMove:
        case v1::Call::kReopen:
        case v1::Call::WHAT_NOT_SET: break;
        }
        return std::nullopt;
    }

    // What stands beside the call belongs to it.
    void check_beside() const {
        const auto what = in.what_case();
        const bool shido = what == v1::Call::kShido;
        const bool hansoku_make = what == v1::Call::kHansokuMake;
        if (in.reason() != v1::PENALTY_REASON_NOT_SAID && !shido && !hansoku_make) {
            check.wrong(field("reason") + " stands beside a shido or a hansoku_make only.");
        }
        if (in.direct_class() != v1::DIRECT_CLASS_NOT_SAID && !hansoku_make) {
            check.wrong(field("direct_class") + " stands beside a hansoku_make only.");
        }
        if (in.means() != v1::MEANS_NONE && what != v1::Call::kSubmission) {
            check.wrong(field("means") + " stands beside a submission only.");
        }
    }

    Joint joint() const {
        Joint out;
        out.earlier = RunId{check.name(in.joint().earlier(), field("joint.earlier"))};
        out.there = Instant{in.joint().there()};
        out.here = Instant{in.joint().here()};
        out.source = check.among<Joint::Source>(in.joint().source(), v1::Joint::SOURCE_WALL_CLOCK,
                                                v1::Joint::SOURCE_ASSUMED, field("joint.source"));
        return out;
    }

    Replace replace() const {
        const v1::Replace& wish = in.replace();
        Replace out;
        out.call = call_id_of(wish.has_call(), wish.call(), field("replace.call"), check);
        const v1::Call& by = wish.by();
        const FromWire inner{by, field("replace.by"), check};
        if (!wish.has_by() || by.what_case() == v1::Call::WHAT_NOT_SET) {
            check.wrong(inner.at + " is missing or of a kind this hub does not know.");
            return out;
        }
        if (by.has_id() || by.term() != 0 || by.mat() != 0 || by.bout() != 0 || by.entered() != 0 ||
            by.back() != 0 || by.seen() != 0) {
            check.wrong(inner.at + " says more than what was called; id, term, mat, bout, entered, "
                                   "back and seen stay with the call itself.");
        }
        inner.check_beside();
        const std::optional<Act> act = inner.act();
        if (!act) {
            check.wrong(inner.at + " is a correction, a confirmation, an acceptance or a joint; a "
                                   "call can be replaced only by one made at the mat.");
            return out;
        }
        out.by = *act;
        return out;
    }

    What what() const {
        check_beside();
        if (const std::optional<Act> made = act()) return honbu::what(*made);
        switch (in.what_case()) {
        case v1::Call::kPlain: return Accept{};
        case v1::Call::kConfirm: return Confirm{result_of(in.confirm(), field("confirm"), check)};
        case v1::Call::kStrike:
            return Strike{call_id_of(true, in.strike(), field("strike"), check)};
        case v1::Call::kReplace: return replace();
        case v1::Call::kMove:
            return Move{
                call_id_of(in.move().has_call(), in.move().call(), field("move.call"), check),
                Instant{in.move().to()}};
        case v1::Call::kReopen:
            return Reopen{check.among<Ground>(in.reopen(), v1::GROUND_SLIP,
                                              v1::GROUND_ADMINISTRATIVE, field("reopen"))};
        case v1::Call::kJoint: return joint();
        case v1::Call::kOsaekomi:
        case v1::Call::kScore:
        case v1::Call::kShido:
        case v1::Call::kHansokuMake:
        case v1::Call::kSubmission:
        case v1::Call::kAward:
        case v1::Call::kAbsent:
        case v1::Call::kAwasete:
        case v1::Call::kDoctor:
        case v1::Call::kBleeding:
        case v1::Call::kInjury:
        case v1::Call::kJudogi:
        case v1::Call::kSetClock:
        case v1::Call::kSetHold:
        case v1::Call::WHAT_NOT_SET: break;
        }
        check.wrong(field("what") + " is missing or of a kind this hub does not know.");
        return Called{};
    }
};

}  // namespace

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
    call.what = FromWire{in, "call", check}.what();
    return call;
}

}  // namespace honbu::wire

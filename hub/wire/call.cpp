// Calls to messages.
#include <variant>

#include "engine/view/json.h"
#include "hub/wire/parts.h"

namespace honbu::wire {
namespace {

v1::Side side_number(Side side) { return static_cast<v1::Side>(side); }
v1::Side side_number(Sides sides) { return static_cast<v1::Side>(sides.bits); }
v1::PenaltyReason reason_number(Reason reason) { return static_cast<v1::PenaltyReason>(reason); }

struct PutWhat {
    v1::Call& out;
    void plain(v1::Plain which) const { out.set_plain(which); }
    void operator()(const Called&) const { plain(v1::PLAIN_CALLED); }
    void operator()(const Absent& c) const { out.set_absent(side_number(c.who)); }
    void operator()(const Present&) const { plain(v1::PLAIN_PRESENT); }
    void operator()(const Hajime&) const { plain(v1::PLAIN_HAJIME); }
    void operator()(const Mate&) const { plain(v1::PLAIN_MATE); }
    void operator()(const Pause&) const { plain(v1::PLAIN_PAUSE); }
    void operator()(const SonoMama&) const { plain(v1::PLAIN_SONO_MAMA); }
    void operator()(const Yoshi&) const { plain(v1::PLAIN_YOSHI); }
    void operator()(const Osaekomi& c) const { out.set_osaekomi(side_number(c.by)); }
    void operator()(const HoldChanged&) const { plain(v1::PLAIN_HOLD_CHANGED); }
    void operator()(const Toketa&) const { plain(v1::PLAIN_TOKETA); }
    void operator()(const Score& c) const {
        v1::Score& score = *out.mutable_score();
        score.set_to(side_number(c.to));
        score.set_level(static_cast<v1::Level>(c.level));
    }
    void operator()(const Awasete& c) const { out.set_awasete(side_number(c.to)); }
    void operator()(const Shido& c) const {
        out.set_shido(side_number(c.to));
        out.set_reason(reason_number(c.reason));
    }
    void operator()(const HansokuMake& c) const {
        out.set_hansoku_make(side_number(c.to));
        out.set_direct_class(static_cast<v1::DirectClass>(c.of));
        out.set_reason(reason_number(c.reason));
    }
    void operator()(const Submission& c) const {
        out.set_submission(side_number(c.to));
        out.set_means(static_cast<v1::Means>(c.means));
    }
    void operator()(const Award& c) const {
        v1::Award& award = *out.mutable_award();
        award.set_to(side_number(c.to));
        award.set_way(static_cast<v1::Way>(c.way));
        award.set_flags(c.flags);
    }
    void operator()(const BothLose&) const { plain(v1::PLAIN_BOTH_LOSE); }
    void operator()(const HikiWake&) const { plain(v1::PLAIN_HIKI_WAKE); }
    void operator()(const Doctor& c) const {
        v1::Doctor& doctor = *out.mutable_doctor();
        doctor.set_to(side_number(c.to));
        doctor.set_by(static_cast<v1::DoctorCall>(c.by));
    }
    void operator()(const Bleeding& c) const {
        v1::Bleeding& bleeding = *out.mutable_bleeding();
        bleeding.set_to(side_number(c.to));
        bleeding.set_site(static_cast<v1::Site>(c.site));
    }
    void operator()(const Injury& c) const {
        v1::Injury& injury = *out.mutable_injury();
        injury.set_to(side_number(c.to));
        injury.set_harm(static_cast<v1::Harm>(c.harm));
        injury.set_by(static_cast<v1::Blame>(c.by));
    }
    void operator()(const Judogi& c) const { out.set_judogi(side_number(c.who)); }
    void operator()(const Review&) const { plain(v1::PLAIN_REVIEW); }
    void operator()(const ReviewOver&) const { plain(v1::PLAIN_REVIEW_OVER); }
    void operator()(const SoreMade&) const { plain(v1::PLAIN_SORE_MADE); }
    void operator()(const Kachi&) const { plain(v1::PLAIN_KACHI); }
    void operator()(const SetClock& c) const { out.set_set_clock(c.elapsed.ms); }
    void operator()(const SetHold& c) const {
        v1::SetHold& hold = *out.mutable_set_hold();
        hold.set_by(side_number(c.by));
        hold.set_ms(c.value.ms);
    }
    void operator()(const ExchangeNames&) const { plain(v1::PLAIN_EXCHANGE_NAMES); }
    void operator()(const Strike& c) const { put(c.call, *out.mutable_strike()); }
    void operator()(const Replace& c) const {
        v1::Replace& replace = *out.mutable_replace();
        put(c.call, *replace.mutable_call());
        std::visit(PutWhat{*replace.mutable_by()}, c.by);
    }
    void operator()(const Move& c) const {
        v1::Move& move = *out.mutable_move();
        put(c.call, *move.mutable_call());
        move.set_to(c.to.ms);
    }
    void operator()(const Confirm& c) const { put(c.result, *out.mutable_confirm()); }
    void operator()(const Accept&) const { plain(v1::PLAIN_ACCEPT); }
    void operator()(const Reopen& c) const { out.set_reopen(static_cast<v1::Ground>(c.ground)); }
    void operator()(const Joint& c) const {
        v1::Joint& joint = *out.mutable_joint();
        joint.set_earlier(name_text(c.earlier.value));
        joint.set_there(c.there.ms);
        joint.set_here(c.here.ms);
        joint.set_source(static_cast<v1::Joint::Source>(c.source));
    }
};

}  // namespace

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

}  // namespace honbu::wire

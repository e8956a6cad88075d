// The wire: what a call must not say beside what was called, and what a correction must not hold.
//
// A reason that lands beside the wrong call would be lost without a word; a correction that holds a
// correction would have no end. So each field is put where it does not belong.
#include <gtest/gtest.h>

#include <functional>

#include "honbu/v1/hub.pb.h"
#include "hub/wire/wire.h"

namespace honbu {
namespace {

constexpr const char* run_name = "00f3a1b2c3d4e5f6";
using Fill = std::function<void(v1::Call&)>;

v1::ToHub with(const Fill& fill) {
    v1::ToHub message;
    v1::Call& call = *message.mutable_submit()->mutable_call();
    call.mutable_id()->set_run(run_name);
    call.mutable_id()->set_number(1);
    call.set_mat(2);
    fill(call);
    return message;
}
std::string words(const Fill& fill) {
    const auto read = from_wire(with(fill).SerializeAsString());
    const auto* fault = std::get_if<WireFault>(&read);
    return fault ? fault->words : "";
}
// One sentence that begins with the place.
void expect_fault(const Fill& fill, std::string_view place) {
    const std::string said = words(fill);
    EXPECT_TRUE(said.starts_with(place)) << place << ": " << said;
    EXPECT_TRUE(said.ends_with('.')) << said;
}
Call taken(const Fill& fill) {
    const auto read = from_wire(with(fill).SerializeAsString());
    if (const auto* fault = std::get_if<WireFault>(&read)) {
        ADD_FAILURE() << fault->words;
        return Call{};
    }
    return std::get<Submit>(std::get<Command>(read)).call;
}

TEST(WireCall, AReasonStandsBesideAPenaltyOnly) {
    const auto reason = [](v1::Call& c) { c.set_reason(v1::PENALTY_REASON_LEG_GRAB); };
    const auto shido = taken([&](v1::Call& c) { reason(c), c.set_shido(v1::SIDE_BLUE); });
    EXPECT_EQ(std::get<Shido>(shido.what).reason, Reason::leg_grab);
    const auto out = taken([&](v1::Call& c) { reason(c), c.set_hansoku_make(v1::SIDE_BLUE); });
    EXPECT_EQ(std::get<HansokuMake>(out.what).reason, Reason::leg_grab);
    expect_fault([&](v1::Call& c) { reason(c), c.set_plain(v1::PLAIN_MATE); }, "call.reason");
    expect_fault([&](v1::Call& c) { reason(c), c.set_submission(v1::SIDE_BLUE); }, "call.reason");
    expect_fault([&](v1::Call& c) { reason(c), c.set_judogi(v1::SIDE_BLUE); }, "call.reason");
    for (const int bad : {38, -1}) {
        expect_fault(
            [&](v1::Call& c) {
                c.set_shido(v1::SIDE_WHITE);
                c.set_reason(static_cast<v1::PenaltyReason>(bad));
            },
            "call.reason");
    }
}

TEST(WireCall, AClassStandsBesideAHansokuMakeOnly) {
    const auto of = [](v1::Call& c) { c.set_direct_class(v1::DIRECT_CLASS_AGAINST_SPIRIT); };
    const auto out = taken([&](v1::Call& c) { of(c), c.set_hansoku_make(v1::SIDE_BOTH); });
    EXPECT_EQ(std::get<HansokuMake>(out.what).of, DirectClass::against_spirit);
    expect_fault([&](v1::Call& c) { of(c), c.set_shido(v1::SIDE_WHITE); }, "call.direct_class");
    expect_fault(
        [](v1::Call& c) {
            c.set_hansoku_make(v1::SIDE_WHITE);
            c.set_direct_class(static_cast<v1::DirectClass>(3));
        },
        "call.direct_class");
}

TEST(WireCall, MeansStandBesideASubmissionOnly) {
    const auto submission = [](v1::Call& c) { c.set_submission(v1::SIDE_WHITE); };
    EXPECT_EQ(std::get<Submission>(taken(submission).what).means, Means::submission)
        << "as before when it is absent";
    const auto choke = taken([&](v1::Call& c) { submission(c), c.set_means(v1::MEANS_CHOKE); });
    EXPECT_EQ(std::get<Submission>(choke.what).means, Means::choke);
    for (const int bad : {1, 2, 5, -1}) {
        expect_fault([&](v1::Call& c) { submission(c), c.set_means(static_cast<v1::Means>(bad)); },
                     "call.means");
    }
    expect_fault(
        [](v1::Call& c) {
            c.mutable_score()->set_to(v1::SIDE_WHITE);
            c.mutable_score()->set_level(v1::LEVEL_IPPON);
            c.set_means(v1::MEANS_CHOKE);
        },
        "call.means");
}

TEST(WireCall, FlagsBelongToAHantei) {
    const auto award = [](v1::Way way, std::uint32_t flags) {
        return [=](v1::Call& c) {
            c.mutable_award()->set_to(v1::SIDE_WHITE);
            c.mutable_award()->set_way(way);
            c.mutable_award()->set_flags(flags);
        };
    };
    for (const std::uint32_t good : {0U, 2U, 3U})
        EXPECT_EQ(words(award(v1::WAY_HANTEI, good)), "");
    for (const std::uint32_t bad : {1U, 4U, 256U, 258U})
        expect_fault(award(v1::WAY_HANTEI, bad), "call.award.flags");
    EXPECT_EQ(words(award(v1::WAY_KIKEN_GACHI, 0)), "");
    expect_fault(award(v1::WAY_KIKEN_GACHI, 2), "call.award.flags");
}

TEST(WireCall, TheNewKindsAreInRange) {
    for (const int bad : {0, 4, -1}) {
        const auto side = static_cast<v1::Side>(bad);
        expect_fault([=](v1::Call& c) { c.set_absent(side); }, "call.absent");
        expect_fault([=](v1::Call& c) { c.set_judogi(side); }, "call.judogi");
    }
    for (const int bad : {0, 3, -1}) {
        const auto side = static_cast<v1::Side>(bad);
        expect_fault([=](v1::Call& c) { c.set_awasete(side); }, "call.awasete");
        expect_fault([=](v1::Call& c) { c.mutable_doctor()->set_to(side); }, "call.doctor.to");
        expect_fault([=](v1::Call& c) { c.mutable_bleeding()->set_to(side); }, "call.bleeding.to");
        expect_fault([=](v1::Call& c) { c.mutable_injury()->set_to(side); }, "call.injury.to");
        expect_fault([=](v1::Call& c) { c.mutable_set_hold()->set_by(side); }, "call.set_hold.by");
    }
    for (const int bad : {0, 4, -1}) {
        expect_fault(
            [=](v1::Call& c) {
                c.mutable_doctor()->set_to(v1::SIDE_WHITE);
                c.mutable_doctor()->set_by(static_cast<v1::DoctorCall>(bad));
            },
            "call.doctor.by");
    }
    for (const int bad : {0, 12, -1}) {
        expect_fault(
            [=](v1::Call& c) {
                c.mutable_bleeding()->set_to(v1::SIDE_WHITE);
                c.mutable_bleeding()->set_site(static_cast<v1::Site>(bad));
            },
            "call.bleeding.site");
    }
    for (const int bad : {0, 5, -1}) {
        expect_fault(
            [=](v1::Call& c) {
                c.mutable_injury()->set_to(v1::SIDE_WHITE);
                c.mutable_injury()->set_harm(static_cast<v1::Harm>(bad));
            },
            "call.injury.harm");
    }
    for (const int bad : {5, -1}) {
        expect_fault(
            [=](v1::Call& c) {
                c.mutable_injury()->set_to(v1::SIDE_WHITE);
                c.mutable_injury()->set_harm(v1::HARM_HEAD);
                c.mutable_injury()->set_by(static_cast<v1::Blame>(bad));
            },
            "call.injury.by");
    }
    for (const int bad : {0, 7, -1}) {
        expect_fault([=](v1::Call& c) { c.set_reopen(static_cast<v1::Ground>(bad)); },
                     "call.reopen");
    }
    expect_fault([](v1::Call& c) { c.mutable_move()->set_to(5); }, "call.move.call");
    expect_fault([](v1::Call& c) { c.mutable_move()->mutable_call()->set_run(run_name); },
                 "call.move.call.number");
}

TEST(WireCall, AReplacementSaysOnlyWhatWasCalled) {
    const auto replace = [](const Fill& by) {
        return [by](v1::Call& c) {
            c.mutable_replace()->mutable_call()->set_run(run_name);
            c.mutable_replace()->mutable_call()->set_number(4);
            by(*c.mutable_replace()->mutable_by());
        };
    };
    const auto shido = [](v1::Call& c) {
        c.set_shido(v1::SIDE_BLUE);
        c.set_reason(v1::PENALTY_REASON_FALSE_ATTACK);
    };
    const Call call = taken(replace(shido));
    const auto& made = std::get<Replace>(call.what);
    EXPECT_EQ(made.call.number, CallNumber{4});
    EXPECT_EQ(std::get<Shido>(made.by).reason, Reason::false_attack);

    expect_fault([&](v1::Call& c) { shido(*c.mutable_replace()->mutable_by()); },
                 "call.replace.call is missing");
    expect_fault(
        [](v1::Call& c) {
            c.mutable_replace()->mutable_call()->set_run(run_name);
            c.mutable_replace()->mutable_call()->set_number(4);
        },
        "call.replace.by is missing");
    expect_fault(replace([](v1::Call&) {}), "call.replace.by is missing");
    const std::vector<Fill> too_much = {
        [](v1::Call& c) { c.mutable_id()->set_number(1); },
        [](v1::Call& c) { c.set_term(1); },
        [](v1::Call& c) { c.set_mat(1); },
        [](v1::Call& c) { c.set_bout(1); },
        [](v1::Call& c) { c.set_entered(1); },
        [](v1::Call& c) { c.set_back(1); },
        [](v1::Call& c) { c.set_seen(1); },
    };
    for (const Fill& more : too_much) {
        expect_fault(replace([&](v1::Call& c) { shido(c), more(c); }),
                     "call.replace.by says more than what was called");
    }
    const std::vector<Fill> no_acts = {
        [](v1::Call& c) { c.set_plain(v1::PLAIN_ACCEPT); },
        [](v1::Call& c) { c.set_reopen(v1::GROUND_SLIP); },
        [](v1::Call& c) { c.mutable_strike(); },
        [](v1::Call& c) { c.mutable_confirm(); },
        [](v1::Call& c) { c.mutable_move(); },
        [](v1::Call& c) { c.mutable_joint(); },
        [](v1::Call& c) { c.mutable_replace(); },
    };
    for (const Fill& no_act : no_acts)
        expect_fault(replace(no_act), "call.replace.by is a correction");
    // What stands beside is checked inside as well, and the place is named.
    expect_fault(replace([](v1::Call& c) {
                     c.set_osaekomi(v1::SIDE_WHITE);
                     c.set_means(v1::MEANS_CHOKE);
                 }),
                 "call.replace.by.means");
    expect_fault(replace([](v1::Call& c) { c.mutable_score()->set_to(v1::SIDE_WHITE); }),
                 "call.replace.by.score.level");
    // One in the other in the other: refused, however deep.
    expect_fault(replace(replace(replace(shido))), "call.replace.by is a correction");
    Fill deep = shido;
    for (int i = 0; i < 30; ++i)
        deep = replace(deep);
    EXPECT_NE(words(deep), "");
}

}  // namespace
}  // namespace honbu

// Values made by dice, the same for the same seed: every kind of call, with numbers of every size.
#pragma once

#include <array>
#include <cstdint>
#include <random>
#include <string>
#include <vector>

#include "engine/bout/ruleset.h"

namespace honbu {

class Dice {
public:
    explicit Dice(std::uint32_t seed) : engine_(seed) {}
    std::uint32_t u32() {
        // Small, large and edge numbers alike: varints of every length.
        switch (from_to(0, 3)) {
        case 0: return from_to(0, 3);
        case 1: return from_to(0, 100000);
        case 2: return from_to(0xfffffffdU, 0xffffffffU);
        }
        return static_cast<std::uint32_t>(engine_());
    }
    std::uint32_t from_to(std::uint32_t first, std::uint32_t last) {
        const std::uint64_t width = std::uint64_t{last} - first + 1;
        return first + static_cast<std::uint32_t>(engine_() % width);
    }
    bool coin() { return from_to(0, 1) == 0; }
    std::uint64_t name() {
        const std::uint64_t value = (std::uint64_t{u32()} << 32) | u32();
        return value == 0 ? 1 : value;
    }
    Side side() { return coin() ? Side::white : Side::blue; }
    Sides sides() { return Sides{static_cast<std::uint8_t>(from_to(1, 3))}; }
    CallId call_id() { return CallId{RunId{name()}, CallNumber{from_to(1, 0xffffffffU)}}; }
    BoardSide board_side() {
        BoardSide side;
        for (auto& count : side.score)
            count = static_cast<std::uint8_t>(from_to(0, 255));
        side.shido = static_cast<std::uint8_t>(from_to(0, 255));
        side.hansoku_make = coin();
        return side;
    }
    Result result() {
        Result result;
        result.winner = static_cast<Winner>(from_to(0, 4));
        result.way = static_cast<Way>(from_to(0, 14));
        result.means = among(Means::none, Means::choke);
        result.flags = flags(result.way);
        result.golden_score = coin();
        result.decided = Duration{u32()};
        result.stopped = Duration{u32()};
        result.regular = Duration{u32()};
        result.golden = Duration{u32()};
        result.white = board_side();
        result.blue = board_side();
        result.points = static_cast<std::uint8_t>(from_to(0, 255));
        result.names_exchanged = coin();
        result.administrative = coin();
        for (auto& byte : result.rules_hash)
            byte = static_cast<std::uint8_t>(from_to(0, 255));
        result.fold_version = u32();
        return result;
    }
    Joint joint() {
        return Joint{RunId{name()}, Instant{u32()}, Instant{u32()},
                     static_cast<Joint::Source>(from_to(1, 4))};
    }
    // Any of an enum's values from `first` to `last`.
    template<class Enum> Enum among(Enum first, Enum last) {
        return static_cast<Enum>(
            from_to(static_cast<std::uint32_t>(first), static_cast<std::uint32_t>(last)));
    }
    std::uint8_t flags(Way way) {
        constexpr std::array<std::uint8_t, 3> of_a_hantei{0, 2, 3};
        return way == Way::hantei ? of_a_hantei[from_to(0, 2)] : std::uint8_t{0};
    }
    Reason reason() { return among(Reason::not_said, Reason::other); }
    Award award() {
        constexpr std::array ways{Way::hantei, Way::kiken_gachi, Way::fusen_gachi, Way::sogo_gachi};
        const Way way = ways[from_to(0, 3)];
        return Award{side(), way, flags(way)};
    }
    // One of each kind of call made at the mat, in the order of the variant.
    std::vector<Act> acts() {
        return {Called{},
                Absent{sides()},
                Present{},
                Hajime{},
                Mate{},
                Pause{},
                SonoMama{},
                Yoshi{},
                Osaekomi{side()},
                HoldChanged{},
                Toketa{},
                Score{sides(), among(Level::koka, Level::ippon)},
                Awasete{side()},
                Shido{sides(), reason()},
                HansokuMake{sides(), among(DirectClass::not_said, DirectClass::against_spirit),
                            reason()},
                Submission{side(), among(Means::submission, Means::choke)},
                award(),
                BothLose{},
                HikiWake{},
                Doctor{side(), among(DoctorCall::referee, DoctorCall::doctor)},
                Bleeding{side(), among(Site::nose, Site::other)},
                Injury{side(), among(Harm::injury, Harm::unconscious),
                       among(Blame::not_said, Blame::outside)},
                Judogi{sides()},
                Review{},
                ReviewOver{},
                SoreMade{},
                Kachi{},
                SetClock{Duration{u32()}},
                SetHold{side(), Duration{u32()}},
                ExchangeNames{}};
    }
    Act act() {
        const std::vector<Act> all = acts();
        return all[from_to(0, static_cast<std::uint32_t>(all.size() - 1))];
    }
    // One of each kind of call, in the order of the variant.
    std::vector<What> whats() {
        std::vector<What> all;
        for (const Act& made : acts())
            all.push_back(what(made));
        const std::vector<What> about = {Strike{call_id()},
                                         Replace{call_id(), act()},
                                         Move{call_id(), Instant{u32()}},
                                         Confirm{result()},
                                         Accept{},
                                         Reopen{among(Ground::slip, Ground::administrative)},
                                         joint()};
        all.insert(all.end(), about.begin(), about.end());
        return all;
    }
    Call call(What what) {
        Call call;
        call.id = call_id();
        call.term = Term{u32()};
        call.mat = MatId{static_cast<std::uint16_t>(from_to(1, 65535))};
        call.bout = BoutId{u32()};
        call.entered = Instant{u32()};
        call.back = Duration{u32()};
        call.seen = u32();
        call.what = what;
        return call;
    }

    // Every field at random, whether it makes sense or not.
    RuleSet rules() {
        RuleSet r;
        r.name = std::string(from_to(0, 9), 'n');
        r.title = std::string(from_to(0, 300), 't');
        for (bool& has : r.levels)
            has = coin();
        for (Duration& d : r.hold)
            d = Duration{u32()};
        r.two_waza_ari_are_ippon = coin();
        r.sogo_gachi = coin();
        r.ippon_needed = u8();
        r.double_ippon = among(DoubleIppon::golden_score, DoubleIppon::void_both);
        r.shido_out = u8();
        for (Equivalent& e : r.shido_equivalent)
            e = among(Equivalent::none, Equivalent::waza_ari);
        r.shido_given = among(ShidoGiven::after_mate, ShidoGiven::on_the_spot);
        r.leg_grab = among(LegGrab::shido, LegGrab::second_hansoku_make);
        r.both_hansoku_make = among(BothHansokuMake::both_lose, BothHansokuMake::golden_score);
        r.clock_runs = among(ClockRuns::to_mate, ClockRuns::to_pause);
        r.end_signal = among(EndSignal::sounds, EndSignal::waits_for_hold);
        r.at_time = among(AtTime::scores, AtTime::scores_then_shido);
        r.tie = among(Tie::golden_score, Tie::hiki_wake);
        r.decision_by = among(DecisionBy::flags, DecisionBy::one_person);
        r.golden_limit = Duration{u32()};
        r.golden_as_contest = coin();
        r.golden_tie = among(Tie::golden_score, Tie::hiki_wake);
        r.golden_keeps_scores = coin();
        r.golden_keeps_shido = coin();
        r.golden_keeps_medical = coin();
        r.golden_shido = among(GoldenShido::nothing, GoldenShido::lead);
        r.golden_hold = among(GoldenHold::run_to_ippon, GoldenHold::stop_at_first_score);
        r.bleeding_treatments = u8();
        r.call_for = among(CallFor::countdown, CallFor::three_calls);
        r.call_wait = Duration{u32()};
        r.default_at_third = coin();
        r.points = Points{u8(), u8(), u8(), u8(), u8(), u8()};
        r.white_word = std::string(from_to(0, 9), 'w');
        r.blue_word = std::string(from_to(0, 9), 'b');
        r.white_colour = among(Colour::white, Colour::red);
        r.blue_colour = among(Colour::white, Colour::red);
        for (std::uint32_t left = from_to(0, 4); left > 0; --left) {
            AgeGroup group{std::string(from_to(0, 9), 'g'), Duration{u32()}, {}};
            if (coin()) group.golden_limit = Duration{u32()};
            r.times.push_back(std::move(group));
        }
        return r;
    }
    std::uint8_t u8() { return static_cast<std::uint8_t>(from_to(0, 255)); }

private:
    std::mt19937 engine_;
};

}  // namespace honbu

#include "tests/generate/contest.h"

#include <algorithm>

#include "tests/generate/lots.h"

namespace honbu::generate {
namespace {

// Of 100,000 seconds of fighting, and of 100 throws.
struct Habits {
    std::uint32_t mate;
    std::uint32_t throws;
    std::uint32_t osaekomi;
    std::uint32_t submission;
    std::uint32_t ippon_of_throws;
    std::uint32_t shido_in_pause;  // of 100 pauses
};
constexpr Habits men{8000, 550, 125, 40, 26, 8};
constexpr Habits women{8400, 575, 230, 65, 22, 7};

constexpr std::size_t calls_most = 400;  // then somebody can't go on

class Contest {
public:
    Contest(const Conditions& under, Field field, std::uint32_t seed, const Seat& seat)
        : under_(under), habits_(field == Field::men ? men : women), lots_(seed), seat_(seat),
          now_(seat.called) {}

    std::vector<Call> fought() && {
        call(Called{});
        if (lots_.in_thousand(13)) {
            absent();
        } else {
            pass(20'000, 60'000);
            fight();
        }
        finish();
        return std::move(calls_);
    }

private:
    void call(What what, Duration back = {}) {
        Call made;
        made.id = CallId{seat_.run,
                         CallNumber{seat_.next.value + static_cast<std::uint32_t>(calls_.size())}};
        made.term = seat_.term;
        made.mat = seat_.mat;
        made.bout = seat_.bout;
        made.entered = now_;
        made.back = back;
        made.what = std::move(what);
        calls_.push_back(std::move(made));
    }
    void pass(std::uint32_t ms_least, std::uint32_t ms_most) {
        now_ = now_ + Duration{lots_.from_to(ms_least, ms_most)};
    }
    State state() const { return fold(under_, calls_, now_).state; }

    void absent() {
        call(Absent{only(lots_.side())});
        const Side gone = std::get<Absent>(calls_.back().what).who.has(Side::white) ? Side::white
                                                                                    : Side::blue;
        if (under_.rules.call_for == CallFor::three_calls) {
            for (int again = 0; again < 2; ++again) {
                now_ = now_ + under_.rules.call_wait;
                call(Absent{only(gone)});
            }
        }
        now_ = now_ + under_.rules.call_wait;
        pass(500, 2'000);
        call(Award{other(gone), Way::fusen_gachi});
    }

    void fight() {
        call(Hajime{});
        for (State s = state(); !s.decided(); s = state()) {
            if (calls_.size() >= calls_most) {
                call(Award{lots_.side(), Way::kiken_gachi});
            } else if (s.time_up && !s.hold.on) {
                at_time(s);
            } else if (s.phase == Phase::fighting) {
                stretch(s);
            } else {
                pause();
            }
        }
    }

    // From hajime until something is called or time runs out.
    void stretch(const State& s) {
        const Duration limit = s.golden ? under_.golden : under_.time;
        const bool limited = limit.ms > 0;
        const Instant signal = now_ + (limit - s.contest.at(now_));
        while (true) {
            const Duration second{lots_.from_to(800, 1200)};
            if (limited && now_ + second >= signal) {
                now_ = signal;
                return;
            }
            now_ = now_ + second;
            std::uint32_t lot = lots_.below(100'000);
            const auto falls = [&lot](std::uint32_t share) {
                if (lot < share) return true;
                lot -= share;
                return false;
            };
            if (falls(habits_.mate)) return call(Mate{});
            if (falls(habits_.throws)) return throws();
            if (falls(habits_.osaekomi)) return hold();
            if (falls(habits_.submission)) {
                return call(Submission{lots_.side(),
                                       lots_.in_hundred(90) ? Means::submission : Means::choke});
            }
        }
    }

    Level level() {
        if (lots_.in_hundred(habits_.ippon_of_throws)) return Level::ippon;
        if (under_.rules.has(Level::koka) && lots_.in_hundred(35)) return Level::koka;
        if (under_.rules.has(Level::yuko) && lots_.in_hundred(45)) return Level::yuko;
        return Level::waza_ari;
    }

    void throws() {
        const Side by = lots_.side();
        const Level given = level();
        if (lots_.in_thousand(25)) {  // pressed for the wrong side, then struck
            const Instant called = now_;
            call(Score{only(other(by)), given});
            const CallId wrong = calls_.back().id;
            pass(1'500, 5'000);
            call(Strike{wrong});
            call(Score{only(by), given}, now_ - called);
        } else {
            call(Score{only(by), given});
            if (lots_.in_thousand(40)) looked_at_again(by, given);
        }
        if (state().decided()) return;
        if (lots_.in_hundred(25)) {
            pass(1'000, 3'000);
            if (state().phase == Phase::fighting) hold();
        } else if (lots_.in_hundred(60)) {
            pass(1'000, 4'000);
            if (state().phase == Phase::fighting) call(Mate{});
        }
    }

    // The referees change the level or take it away.
    void looked_at_again(Side by, Level given) {
        const CallId about = calls_.back().id;
        pass(2'000, 8'000);
        if (state().decided() && given != Level::ippon) return;
        call(Review{});
        pass(5'000, 20'000);
        if (lots_.in_hundred(30)) {
            call(Strike{about});
        } else {
            const Level instead = given == Level::waza_ari ? Level::ippon : Level::waza_ari;
            call(Replace{about, Score{only(by), instead}});
        }
        call(ReviewOver{});
    }

    void hold() {
        call(Osaekomi{lots_.side()});
        if (lots_.in_hundred(8)) {
            pass(1'000, 4'000);
            call(HoldChanged{});
        }
        if (lots_.in_hundred(2)) {
            pass(1'000, 4'000);
            call(SonoMama{});
            pass(5'000, 20'000);
            call(Yoshi{});
        }
        if (lots_.in_hundred(45)) {
            pass(1'500, 9'500);
        } else if (lots_.in_hundred(25)) {
            pass(9'500, 19'500);
        } else {
            pass(26'000, 27'000);
        }
        const State s = state();
        if (!s.hold.on || s.decided()) return;
        if (lots_.in_thousand(30)) {  // pressed late, then moved to where it was called
            const Instant called = now_;
            pass(300, 1'500);
            if (!state().hold.on) return call(Toketa{}, now_ - called);
            call(Toketa{});
            const CallId late = calls_.back().id;
            pass(500, 2'000);
            call(Move{late, called});
        } else {
            call(Toketa{});
        }
        if (lots_.in_hundred(70)) {
            pass(500, 3'000);
            if (state().phase == Phase::fighting) call(Mate{});
        }
    }

    void pause() {
        pass(3'000, 8'000);
        if (lots_.in_hundred(habits_.shido_in_pause)) shido();
        if (lots_.in_thousand(20)) call(Judogi{only(lots_.side())});
        if (lots_.in_thousand(12)) hurt();
        pass(2'000, 9'000);
        const State s = state();
        if (s.decided() || s.time_up) return;
        if (lots_.in_thousand(6)) {  // the clock was some seconds wrong
            const Duration right = s.contest.value - Duration{lots_.from_to(0, 3'000)};
            call(SetClock{right});
        }
        if (lots_.in_thousand(10)) {  // hajime is missed and put in
            pass(1'000, 3'000);
            call(Hajime{}, Duration{lots_.from_to(500, 1'000)});
        } else {
            call(Hajime{});
        }
    }

    void shido() {
        const Sides to = lots_.in_hundred(12) ? both_sides() : only(lots_.side());
        const auto reason = static_cast<Reason>(lots_.from_to(1, 24));
        call(Shido{to, reason});
        if (lots_.in_thousand(4)) {
            pass(1'000, 4'000);
            call(HansokuMake{only(lots_.side()), DirectClass::endangered_self, Reason::head_dive});
        }
    }

    void hurt() {
        const Side who = lots_.side();
        call(Doctor{who, DoctorCall::referee});
        pass(5'000, 30'000);
        if (lots_.in_hundred(60)) {
            call(Bleeding{who, static_cast<Site>(lots_.from_to(1, 11))});
        } else {
            call(Injury{who, Harm::injury, Blame::unknown});
            if (lots_.in_hundred(25) && !state().decided()) {
                call(Award{other(who), Way::kiken_gachi});
            }
        }
    }

    // Time is up without a winner, or with one that sore-made only says.
    void at_time(const State& s) {
        pass(500, 1'500);
        if (s.phase != Phase::over) call(SoreMade{});
        const State after = state();
        if (after.decided()) return;
        pass(4'000, 12'000);
        const Tie tie = after.golden ? under_.rules.golden_tie : under_.rules.tie;
        if (after.golden_next && !after.golden) return call(Hajime{});
        switch (tie) {
        case Tie::golden_score: return call(Hajime{});
        case Tie::hantei:
            return call(
                Award{lots_.side(), Way::hantei, static_cast<std::uint8_t>(lots_.from_to(2, 3))});
        case Tie::hiki_wake: return call(HikiWake{});
        }
    }

    void finish() {
        pass(800, 2'500);
        if (state().hold.on) call(Mate{});
        if (state().phase != Phase::over) call(SoreMade{});
        pass(3'000, 9'000);
        call(Kachi{});
        pass(3'000, 8'000);
        call(Confirm{result_of(under_, calls_, now_)});
    }

    const Conditions& under_;
    const Habits& habits_;
    Lots lots_;
    Seat seat_;
    Instant now_;
    std::vector<Call> calls_;
};

}  // namespace

std::vector<Call> contest(const Conditions& under, Field field, std::uint32_t seed,
                          const Seat& seat) {
    return Contest(under, field, seed, seat).fought();
}

std::vector<ContestOnMat> day(const Conditions& under, std::uint32_t seed, std::uint16_t mats,
                              std::uint32_t bouts) {
    Lots lots(seed);
    std::vector<Seat> seats(mats);
    for (std::uint16_t i = 0; i < mats; ++i) {
        seats[i].run = RunId{(std::uint64_t{lots.any()} << 32) | (i + 1U)};
        seats[i].mat = MatId{static_cast<std::uint16_t>(i + 1)};
        seats[i].called = Instant{lots.from_to(60'000, 180'000)};
    }
    std::vector<ContestOnMat> out;
    for (std::uint32_t i = 0; i < bouts; ++i) {
        Seat& seat = seats[i % mats];
        seat.bout = BoutId{i + 1};
        const Field field = lots.below(2) == 0 ? Field::men : Field::women;
        std::vector<Call> calls = contest(under, field, lots.any(), seat);
        seat.next.value += static_cast<std::uint32_t>(calls.size());
        seat.called = calls.back().entered + Duration{lots.from_to(60'000, 90'000)};
        out.push_back({seat.mat, seat.bout, field, std::move(calls)});
    }
    return out;
}

}  // namespace honbu::generate

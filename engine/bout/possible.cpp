// What can be called in a state, and what is expected in it. Only what truly can't be is refused,
// with what to press instead; until kachi a decided bout takes every call.
#include "engine/bout/by_kind.h"
#include "engine/bout/clock_text.h"
#include "engine/bout/judge.h"
#include "engine/bout/text.h"

namespace honbu {
namespace {

using No = std::optional<std::string>;

// Hajime was called, or what happened shows that it was missed.
bool begun(const State& s) {
    return (s.phase != Phase::waiting && s.phase != Phase::called) || s.hold.on ||
           s.missing == Missing::hajime;
}

constexpr Duration longest_clock = seconds(99 * 60 + 59);
constexpr const char* not_begun = "The bout has not begun: press hajime.";
constexpr const char* decided_already =
    "The bout is decided already: strike what decided it first.";

// Out of line: there are many of them, and all are alike.
[[gnu::noinline]] No no(const char* why) { return No(why); }

struct Impossible {
    const Conditions& under;
    const State& s;

    No operator()(const Called&) const { return {}; }
    No operator()(const Joint&) const { return {}; }
    No operator()(const Strike&) const { return {}; }
    No operator()(const Replace&) const { return {}; }
    No operator()(const Move&) const { return {}; }

    No operator()(const Absent& c) const {
        if (c.who.bits == 0 || c.who.bits > 3) return no("Say who is missing.");
        if (begun(s)) return no("The bout has begun: who leaves it loses by kiken-gachi.");
        return {};
    }
    No operator()(const Present&) const {
        if (s.absence.who.bits == 0) return no("Nobody is missing.");
        return {};
    }
    No operator()(const Hajime&) const {
        if (s.phase == Phase::frozen) return no("Sono-mama holds the bout: press yoshi to go on.");
        const bool goes_on = s.contest.running || s.time_up ||
                             under.rules.clock_runs == ClockRuns::to_pause;
        if (s.phase == Phase::fighting && goes_on && !s.decided()) {
            if (s.time_up) return no("Time is up and the hold goes on: toketa or mate ends it.");
            return no("The clock is running already. If mate was missed, put it in first.");
        }
        if (!s.time_up || s.decided()) return {};
        if (s.golden)
            return Text() << "Golden score has run out: press " << at_the_end(golden_end()) << ".";
        if (under.rules.tie != Tie::golden_score) {
            return Text() << "These rules have no golden score: press "
                          << at_the_end(under.rules.tie) << ".";
        }
        return {};
    }
    No operator()(const Mate&) const {
        if (!begun(s)) return no(not_begun);
        const bool after_the_end = s.decided() || s.time_up_late || s.past_hold.open;
        if (s.phase == Phase::over && !s.hold.on && !after_the_end) {
            return no("Sore-made has been called already.");
        }
        const bool something_on = s.phase == Phase::fighting || s.phase == Phase::frozen ||
                                  s.hold.on;
        if (!something_on && !after_the_end) {
            if (s.contest.running) return no("Mate has been called already.");
            return no("The clock stands already. If hajime was missed, put it in first.");
        }
        return {};
    }
    No operator()(const Pause&) const {
        if (under.rules.clock_runs != ClockRuns::to_pause) {
            return no("Under these rules mate stops the clock: press mate.");
        }
        if (!s.contest.running) return no("The clock stands already.");
        return {};
    }
    No operator()(const SonoMama&) const {
        if (s.phase == Phase::frozen) return no("Sono-mama is on already: press yoshi to go on.");
        if (!s.contest.running && !s.hold.on)
            return no("The clock stands: there is nothing to hold.");
        return {};
    }
    No operator()(const Yoshi&) const {
        if (s.phase != Phase::frozen) return no("Yoshi comes after sono-mama: press hajime.");
        return {};
    }
    No operator()(const Osaekomi&) const {
        if (s.phase == Phase::frozen) return no("Sono-mama is on: press yoshi first.");
        if (s.hold.on) {
            return Text() << who(s.hold.by) << " is holding already: press toketa first.";
        }
        return {};
    }
    No operator()(const HoldChanged&) const {
        if (!s.hold.on) return no("No hold is running: press osaekomi.");
        return {};
    }
    No operator()(const Toketa&) const {
        if (!s.hold.on && !s.past_hold.open) return no("No hold is running: press osaekomi first.");
        return {};
    }
    No operator()(const Score& c) const {
        if (!under.rules.has(c.level)) {
            return Text() << "There is no " << word(c.level)
                          << " under these rules: press another score.";
        }
        if (c.to.bits == 0 || c.to.bits > 3) return no("Say who scored.");
        for (const Side side : {Side::white, Side::blue}) {
            if (c.to.has(side) && s.of(side).score[index(c.level)] >= 99) {
                return no("That side has 99 of them already.");
            }
        }
        return {};
    }
    No operator()(const Awasete& c) const {
        if (!under.rules.two_waza_ari_are_ippon) {
            return no("Two waza-ari are no ippon under these rules: press waza-ari.");
        }
        if (s.of(c.to).score[index(Level::waza_ari)] >= 2 && !s.decided()) {
            return Text() << who(c.to) << " has both waza-ari already.";
        }
        return {};
    }
    No operator()(const Shido& c) const {
        for (const Side side : {Side::white, Side::blue}) {
            if (c.to.has(side) && s.of(side).shido >= under.rules.shido_out) {
                return Text() << who(side) << " has hansoku-make by shido already.";
            }
        }
        return nobody(c.to);
    }
    // A direct one is also taken after the last shido: it may mean more for the rest of the day.
    No operator()(const HansokuMake& c) const {
        for (const Side side : {Side::white, Side::blue}) {
            if (c.to.has(side) && s.of(side).direct_hansoku_make) {
                return Text() << who(side) << " has hansoku-make already.";
            }
        }
        return nobody(c.to);
    }
    No operator()(const Submission& c) const {
        if (c.means != Means::submission && c.means != Means::choke) {
            return Text() << "Say how " << under.rules.side_word(c.to)
                          << " won: by submission or by choke.";
        }
        return {};
    }
    No operator()(const Award& c) const {
        // Where both are out and golden score is to decide, one may still give up.
        const bool golden_to_decide = s.golden_next && out(under.rules, s.of(other(c.to))) &&
                                      c.way == Way::kiken_gachi;
        if (out(under.rules, s.of(c.to)) && !golden_to_decide) {
            return Text() << who(c.to) << " has hansoku-make and can't win.";
        }
        switch (c.way) {
        case Way::hantei:
            if (s.decided()) return no(decided_already);
            if (c.flags > 0 && under.rules.decision_by == DecisionBy::one_person) {
                return no("One person decides under these rules: leave the flags out.");
            }
            if (!time_ran_out_for(Tie::hantei)) {
                return no("Hantei comes when time has run out with equal scores: go on, or press "
                          "sore-made.");
            }
            return {};
        case Way::kiken_gachi:
            if (!begun(s)) return no("The bout has not begun: press fusen-gachi.");
            return {};
        case Way::fusen_gachi:
            if (begun(s)) return no("The bout has begun: press kiken-gachi.");
            return {};
        case Way::sogo_gachi:
            if (!under.rules.sogo_gachi) return no("There is no sogo-gachi under these rules.");
            if (!begun(s)) return no(not_begun);
            return {};
        case Way::none:
        case Way::ippon:
        case Way::waza_ari_awasete_ippon:
        case Way::waza_ari:
        case Way::yuko:
        case Way::koka:
        case Way::fewer_shido:
        case Way::hansoku_make_by_shido:
        case Way::hansoku_make_direct:
        case Way::both_lose:
        case Way::hiki_wake: break;
        }
        return no("A bout is not given that way: enter the score or the penalty.");
    }
    No operator()(const BothLose&) const { return {}; }
    No operator()(const HikiWake&) const {
        if (s.decided()) return no(decided_already);
        if (!time_ran_out_for(Tie::hiki_wake)) {
            const bool ever = under.rules.tie == Tie::hiki_wake || golden_end() == Tie::hiki_wake;
            if (!ever) return no("There is no hiki-wake under these rules.");
            return no("Hiki-wake comes when time has run out with equal scores: go on, or press "
                      "sore-made.");
        }
        return {};
    }
    No operator()(const Doctor&) const { return {}; }
    No operator()(const Bleeding&) const { return {}; }
    No operator()(const Injury&) const { return {}; }
    No operator()(const Judogi& c) const {
        if (c.who.bits == 0 || c.who.bits > 3) return no("Say whose judogi.");
        return {};
    }
    No operator()(const Review&) const {
        if (s.review) return no("A review is on already.");
        return {};
    }
    No operator()(const ReviewOver&) const {
        if (!s.review) return no("No review is on.");
        return {};
    }
    No operator()(const SoreMade&) const {
        if (s.phase == Phase::over) return no("Sore-made has been called already.");
        if (!begun(s) && !s.decided()) return no(not_begun);
        return {};
    }
    No operator()(const Kachi&) const {
        if (!s.decided()) return no("Nobody has won yet: enter what the referee called.");
        if (s.hold.on) return no("A hold is running: toketa, mate or sore-made first.");
        return {};
    }
    No operator()(const SetClock& c) const {
        const Duration limit = s.golden ? under.golden : under.time;
        const Duration most = limit.ms > 0 ? limit : longest_clock;
        if (c.elapsed > most) {
            return Text() << "This clock can't show more than " << clock_text(most) << ".";
        }
        return {};
    }
    No operator()(const SetHold& c) const {
        if (!begun(s)) return no(not_begun);
        if (c.value > under.rules.hold_for(Level::ippon)) {
            return no("A hold is over before that: press ippon.");
        }
        return {};
    }
    No operator()(const ExchangeNames&) const { return {}; }
    No operator()(const Confirm&) const { return no("Confirm after kachi."); }
    No operator()(const Accept&) const { return no("The desk accepts what is confirmed."); }
    No operator()(const Reopen&) const {
        if (s.ended_once) return {};
        return no(bout_is_open);
    }

private:
    // The side's word at the beginning of a sentence.
    std::string who(Side side) const {
        std::string word = under.rules.side_word(side);
        if (!word.empty() && word[0] >= 'a' && word[0] <= 'z') {
            word[0] = static_cast<char>(word[0] - 'a' + 'A');
        }
        return word;
    }
    Tie golden_end() const {
        return under.golden.ms > 0 ? under.rules.golden_tie : Tie::golden_score;
    }
    static const char* at_the_end(Tie tie) {
        return tie == Tie::hiki_wake ? "hiki-wake" : "hantei for the winner";
    }
    bool time_ran_out_for(Tie tie) const {
        if (!s.time_up || s.hold.on) return false;
        return (s.golden ? golden_end() : under.rules.tie) == tie;
    }
    static No nobody(Sides to) {
        if (to.bits == 0 || to.bits > 3) return no("Say who gets the penalty.");
        return {};
    }
};

// Nothing about the bout itself: can be said at any time.
bool beside_the_bout(const What& what) { return std::holds_alternative<Joint>(what); }

}  // namespace

std::optional<std::string> impossible(const Conditions& under, const State& state,
                                      const What& what) {
    if (beside_the_bout(what)) return {};
    const bool reopens = std::holds_alternative<Reopen>(what);
    const bool accepts = std::holds_alternative<Accept>(what);
    switch (state.phase) {
    case Phase::accepted:
        if (reopens) return {};
        return no("The desk has accepted this bout. It has to be opened again first.");
    case Phase::confirmed:
        if (reopens || accepts) return {};
        return no("This bout is confirmed. Open it again first, or ask the desk to.");
    case Phase::announced:
        if (reopens) return {};
        if (std::holds_alternative<Review>(what) || std::holds_alternative<ReviewOver>(what)) break;
        if (std::holds_alternative<Confirm>(what)) {
            if (state.review) return no("A review is on: end it first.");
            return {};
        }
        return no("Kachi has been announced. Open the bout again and say why, then correct.");
    case Phase::waiting:
    case Phase::called:
    case Phase::fighting:
    case Phase::stopped:
    case Phase::frozen:
    case Phase::over: break;
    }
    return by_kind(Impossible{under, state}, what);
}

bool unusual(const Conditions& under, const State& s, const What& what) {
    struct Unusual {
        const Conditions& under;
        const State& s;
        bool standing() const { return s.phase != Phase::fighting; }
        bool operator()(const Hajime&) const { return s.decided(); }
        bool operator()(const Mate&) const {
            return s.phase != Phase::fighting && s.phase != Phase::frozen && !s.hold.on;
        }
        bool operator()(const Toketa&) const { return !s.hold.on; }
        bool operator()(const Osaekomi&) const { return standing() || s.decided(); }
        bool operator()(const Score&) const { return standing() || s.decided(); }
        bool operator()(const Awasete& c) const {
            return s.decided() || s.of(c.to).score[index(Level::waza_ari)] == 0;
        }
        bool operator()(const Shido&) const {
            const bool running = s.contest.running && !s.hold.on;
            const bool mate_first = under.rules.shido_given == ShidoGiven::after_mate;
            return !begun(s) || s.decided() || (running && mate_first);
        }
        bool operator()(const HansokuMake&) const { return !begun(s); }
        bool operator()(const Submission&) const { return standing() || s.decided(); }
        // The referee's own word on who wins is the last.
        bool operator()(const Award& c) const { return s.decided() || c.way == Way::sogo_gachi; }
        bool operator()(const BothLose&) const { return s.decided(); }
        bool operator()(const SoreMade&) const { return !s.decided() && !s.time_up; }
        bool operator()(const Kachi&) const { return s.phase != Phase::over; }
        bool operator()(const SetClock&) const { return s.contest.running; }
        bool operator()(const ExchangeNames&) const { return begun(s); }
        // all others are expected wherever they can be called
        bool operator()(const Called&) const { return false; }
        bool operator()(const Absent&) const { return false; }
        bool operator()(const Present&) const { return false; }
        bool operator()(const Pause&) const { return false; }
        bool operator()(const SonoMama&) const { return false; }
        bool operator()(const Yoshi&) const { return false; }
        bool operator()(const HoldChanged&) const { return false; }
        bool operator()(const HikiWake&) const { return false; }
        bool operator()(const Doctor&) const { return false; }
        bool operator()(const Bleeding&) const { return false; }
        bool operator()(const Injury&) const { return false; }
        bool operator()(const Judogi&) const { return false; }
        bool operator()(const Review&) const { return false; }
        bool operator()(const ReviewOver&) const { return false; }
        bool operator()(const SetHold&) const { return false; }
        bool operator()(const Confirm&) const { return false; }
        bool operator()(const Accept&) const { return false; }
        bool operator()(const Reopen&) const { return false; }
        bool operator()(const Strike&) const { return false; }
        bool operator()(const Replace&) const { return false; }
        bool operator()(const Move&) const { return false; }
        bool operator()(const Joint&) const { return false; }
    };
    return by_kind(Unusual{under, s}, what);
}

}  // namespace honbu

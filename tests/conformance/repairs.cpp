#include "tests/conformance/repairs.h"

#include <algorithm>

#include "engine/record/canon.h"

namespace honbu {
namespace {

constexpr RunId the_run{1};

class Dice {
public:
    explicit Dice(std::uint32_t seed) : state_(seed * 2654435761U + 0x9E3779B9U) {}
    std::uint32_t below(std::uint32_t n) {
        state_ ^= state_ << 13U;
        state_ ^= state_ >> 17U;
        state_ ^= state_ << 5U;
        return n == 0 ? 0 : state_ % n;
    }
    Side side() { return below(2) == 0 ? Side::white : Side::blue; }
    Level level() { return static_cast<Level>(1 + below(level_count)); }

private:
    std::uint32_t state_;
};

// Any call a tired hand may press. Not kachi: an announced bout is opened again with its ground,
// which stays part of the bout.
Act any_act(Dice& dice) {
    switch (dice.below(19)) {
    case 0: return Hajime{};
    case 1: return Mate{};
    case 2: return SonoMama{};
    case 3: return Yoshi{};
    case 4: return Osaekomi{dice.side()};
    case 5: return Toketa{};
    case 6: return Score{only(dice.side()), dice.level()};
    case 7: return Awasete{dice.side()};
    case 8: return Shido{only(dice.side())};
    case 9: return Shido{both_sides()};
    case 10: return HansokuMake{only(dice.side())};
    case 11: return Submission{dice.side()};
    case 12: return Award{dice.side(), Way::kiken_gachi};
    case 13: return SoreMade{};
    case 14: return SetClock{Duration{dice.below(240) * 1000}};
    case 15: return SetHold{dice.side(), Duration{dice.below(12) * 1000}};
    case 16: return ExchangeNames{};
    case 17: return Doctor{dice.side()};
    default: return BothLose{};
    }
}

bool corrects(const What& what) { return refers_to(what) != nullptr; }

// The straight bout's calls, each entered under an id of this telling.
class Telling {
public:
    Telling(const Scenario& scenario, std::vector<Call> straight)
        : under_(scenario.under()), straight_(std::move(straight)), ids_(straight_.size()),
          in_(straight_.size(), false) {}

    const std::vector<Call>& straight() const { return straight_; }
    const std::vector<Call>& entered() const { return entered_; }
    Instant now() const { return now_; }
    void wait_until(Instant t) { now_ = std::max(now_, t); }
    const std::string& story() const { return story_; }
    const std::string& trouble() const { return trouble_; }
    bool is_in(std::size_t i) const { return in_[i]; }
    CallId id(std::size_t i) const { return ids_[i]; }

    // False: a table would not take it.
    bool enter(What what, Instant at, Duration back) {
        Call call;
        call.id = {the_run, CallNumber{static_cast<std::uint32_t>(entered_.size() + 1)}};
        call.entered = std::max(at, now());
        call.back = back + (call.entered - at);
        call.what = std::move(what);
        if (std::holds_alternative<Confirm>(call.what)) {
            call.what = Confirm{result_of(under_, entered_, call.entered)};
        }
        if (const auto no = no_entry(under_, entered_, call)) {
            said_ = *no;
            return false;
        }
        story_ += "\n  " + std::to_string(entered_.size() + 1) + ": " +
                  std::to_string(call.entered.ms) + " ms " + std::string(word(call.what));
        if (call.back.ms > 0) story_ += " " + std::to_string(call.back.ms) + " ms back";
        now_ = call.entered;
        entered_.push_back(std::move(call));
        return true;
    }
    CallId last() const { return entered_.back().id; }

    // Straight call `i` as it was, or as `what`; false: not taken now, so it waits.
    bool tell(std::size_t i, const What* what = nullptr) {
        const Call& call = straight_[i];
        if (!enter(mine(what == nullptr ? call.what : *what), call.entered, call.back)) {
            return false;
        }
        took(i);
        return true;
    }
    void took(std::size_t i) {
        ids_[i] = last();
        in_[i] = true;
    }

    // A correction made now; what can't be made is trouble.
    void correct(What what) {
        if (!enter(std::move(what), now(), Duration{})) trouble_ = "correction refused: " + said_;
    }

    // Puts in what is missing of the first `count` calls, and again what must come behind it.
    void catch_up(std::size_t count) {
        std::vector<std::size_t> wanted;
        for (std::size_t i = 0; i < count; ++i) {
            if (!in_[i]) {
                wanted.push_back(i);
                continue;
            }
            const bool behind = std::any_of(wanted.begin(), wanted.end(), [&](std::size_t w) {
                return straight_[w].entered - straight_[w].back ==
                       straight_[i].entered - straight_[i].back;
            });
            if (!behind || corrects(straight_[i].what)) continue;
            correct(Strike{ids_[i]});
            wanted.push_back(i);
        }
        for (const std::size_t i : wanted) {
            const CallId old = ids_[i];
            const Call& call = straight_[i];
            const Instant took_effect = call.entered - call.back;
            if (!enter(mine(call.what), now(), now() - took_effect)) {
                trouble_ = "call " + std::to_string(i + 1) + " (" + std::string(word(call.what)) +
                           ") can't be put in afterwards: " + said_;
                return;
            }
            took(i);
            // What was corrected about the struck one is said of the new one too.
            if (old == CallId{}) continue;
            for (std::size_t j = i + 1; j < count; ++j) {
                const CallId* meant = refers_to(straight_[j].what);
                if (meant != nullptr && *meant == call.id && in_[j]) in_[j] = false;
            }
        }
        const bool whole = std::all_of(in_.begin(),
                                       in_.begin() + static_cast<std::ptrdiff_t>(count),
                                       [](bool in) { return in; });
        if (!whole && ++rounds_ < 4) catch_up(count);
    }

private:
    // The same, speaking of this telling's ids.
    What mine(What what) const {
        const CallId* meant = refers_to(what);
        if (meant == nullptr) return what;
        CallId to = *meant;
        for (std::size_t i = 0; i < straight_.size(); ++i) {
            if (straight_[i].id == *meant) to = ids_[i];
        }
        if (auto* strike = std::get_if<Strike>(&what)) strike->call = to;
        if (auto* replace = std::get_if<Replace>(&what)) replace->call = to;
        if (auto* move = std::get_if<Move>(&what)) move->call = to;
        return what;
    }

    Conditions under_;
    std::vector<Call> straight_;
    std::vector<CallId> ids_;
    std::vector<bool> in_;
    std::vector<Call> entered_;
    std::string story_;
    std::string trouble_;
    std::string said_;
    Instant now_;
    int rounds_ = 0;
};

// Another level of the same score, another penalty's reason or class; nothing: there is none.
std::optional<What> otherwise(const What& what, const RuleSet& rules, Dice& dice) {
    if (const auto* score = std::get_if<Score>(&what)) {
        std::vector<Level> levels;
        for (const Level level : {Level::koka, Level::yuko, Level::waza_ari, Level::ippon}) {
            if (rules.has(level) && level != score->level) levels.push_back(level);
        }
        const auto pick = dice.below(static_cast<std::uint32_t>(levels.size()));
        return Score{score->to, levels[pick]};
    }
    if (const auto* shido = std::get_if<Shido>(&what)) {
        return Shido{shido->to,
                     shido->reason == Reason::leg_grab ? Reason::false_attack : Reason::leg_grab};
    }
    if (const auto* direct = std::get_if<HansokuMake>(&what)) {
        HansokuMake other = *direct;
        other.of = other.of == DirectClass::against_spirit ? DirectClass::endangered_self
                                                           : DirectClass::against_spirit;
        return other;
    }
    if (const auto* submission = std::get_if<Submission>(&what)) {
        return Submission{submission->to,
                          submission->means == Means::choke ? Means::submission : Means::choke};
    }
    return {};
}

std::optional<What> for_the_other(const What& what) {
    const std::optional<Act> as_act = act(what);
    if (!as_act) return {};
    const What other_way = honbu::what(mirrored(*as_act));
    Call one;
    Call two;
    one.what = what;
    two.what = other_way;
    if (encode(one) == encode(two)) return {};
    return other_way;
}

bool corrected_later(const std::vector<Call>& calls, std::size_t i) {
    return std::any_of(calls.begin(), calls.end(), [&](const Call& call) {
        const CallId* meant = refers_to(call.what);
        return meant != nullptr && *meant == calls[i].id;
    });
}

bool closes(const What& what) {
    return std::holds_alternative<Kachi>(what) || std::holds_alternative<Confirm>(what) ||
           std::holds_alternative<Accept>(what) || std::holds_alternative<Reopen>(what);
}

// The calls with which this mistake can be made. What has no effect in the straight bout is left
// alone: a table takes no call afterwards that changes nothing.
std::vector<std::size_t> chances(const Conditions& under, const std::vector<Call>& calls,
                                 std::size_t count, Mistake mistake) {
    const std::vector<Place> places = fold(under, calls, calls.back().entered).places;
    std::vector<std::size_t> out;
    Dice dice(1);
    for (std::size_t i = 0; i < count; ++i) {
        const What& what = calls[i].what;
        if (corrects(what) || closes(what) || corrected_later(calls, i)) continue;
        if (places[i].standing == Standing::without_effect) continue;
        if (mistake == Mistake::other_side && !for_the_other(what)) continue;
        if (mistake == Mistake::wrong_level && !otherwise(what, under.rules, dice)) continue;
        out.push_back(i);
    }
    return out;
}

// Up to 3 s later, or up to 10 s earlier.
Instant another_moment(const std::vector<Call>& calls, std::size_t i, Dice& dice) {
    const Instant right = calls[i].entered - calls[i].back;
    if (dice.below(2) == 0) return right - Duration{1 + dice.below(10'000)};
    const Duration room = i + 1 < calls.size() ? calls[i + 1].entered - right : seconds(3);
    return right + Duration{dice.below(std::min(room.ms, 3000U) + 1)};
}

// Makes the mistake in place of, or before, straight call `i`. Gives what puts it right.
std::optional<std::vector<What>> err(Telling& telling, std::size_t i, Mistake mistake,
                                     const RuleSet& rules, Dice& dice) {
    const Call& call = telling.straight()[i];
    const Instant right = call.entered - call.back;
    std::optional<What> wrong_one;
    switch (mistake) {
    case Mistake::wrong_call: {
        const Instant from = telling.now();
        const Instant at = from + Duration{dice.below((call.entered - from).ms + 1)};
        for (int tries = 0; tries < 40; ++tries) {
            if (!telling.enter(what(any_act(dice)), at, Duration{})) continue;
            std::vector<What> puts_right{Strike{telling.last()}};
            telling.tell(i);
            return puts_right;
        }
        return {};
    }
    case Mistake::another_call: {
        for (int tries = 0; tries < 40; ++tries) {
            const What pressed = what(any_act(dice));
            if (!telling.tell(i, &pressed)) continue;
            return std::vector<What>{Replace{telling.last(), *act(call.what)}};
        }
        return {};
    }
    case Mistake::struck_right: {
        if (!telling.tell(i)) return {};
        const CallId it = telling.last();
        if (!telling.enter(Strike{it}, telling.now(), Duration{})) return {};
        return std::vector<What>{Strike{telling.last()}};
    }
    case Mistake::other_side: wrong_one = for_the_other(call.what); break;
    case Mistake::wrong_level: wrong_one = otherwise(call.what, rules, dice); break;
    case Mistake::wrong_moment: {
        const Instant at = another_moment(telling.straight(), i, dice);
        const Instant entered = std::max({at, telling.now(), call.entered});
        if (!telling.enter(call.what, entered, entered - at)) return {};
        telling.took(i);
        return std::vector<What>{Move{telling.last(), right}};
    }
    case Mistake::left_out: return std::vector<What>{};
    }
    if (!telling.tell(i, &*wrong_one)) return {};
    return std::vector<What>{Replace{telling.last(), *act(call.what)}};
}

// Which parts of the state differ.
std::string difference(const State& told, const State& straight) {
    using Take = void (*)(State&, const State&);
    constexpr std::pair<const char*, Take> parts[] = {
        {"phase", [](State& a, const State& b) { a.phase = b.phase; }},
        {"golden score", [](State& a, const State& b) { a.golden = b.golden; }},
        {"time up", [](State& a, const State& b) { a.time_up = b.time_up; }},
        {"time up late", [](State& a, const State& b) { a.time_up_late = b.time_up_late; }},
        {"contest clock", [](State& a, const State& b) { a.contest = b.contest; }},
        {"frozen clock", [](State& a, const State& b) { a.frozen_running = b.frozen_running; }},
        {"regular time", [](State& a, const State& b) { a.regular = b.regular; }},
        {"hold", [](State& a, const State& b) { a.hold = b.hold; }},
        {"past hold", [](State& a, const State& b) { a.past_hold = b.past_hold; }},
        {"tallies", [](State& a, const State& b) { a.tally = b.tally; }},
        {"golden base", [](State& a, const State& b) { a.golden_base = b.golden_base; }},
        {"decision", [](State& a, const State& b) { a.decision = b.decision; }},
        {"together", [](State& a, const State& b) { a.together = b.together; }},
        {"absence", [](State& a, const State& b) { a.absence = b.absence; }},
        {"missing", [](State& a, const State& b) { a.missing = b.missing; }},
        {"missing since", [](State& a, const State& b) { a.missing_since = b.missing_since; }},
        {"late end", [](State& a, const State& b) { a.late_end = b.late_end; }},
        {"review", [](State& a, const State& b) { a.review = b.review; }},
        {"names", [](State& a, const State& b) { a.names_exchanged = b.names_exchanged; }},
    };
    std::string out;
    for (const auto& [name, take] : parts) {
        State with = told;
        take(with, straight);
        if (encode(with) != encode(told)) out += std::string(out.empty() ? "" : ", ") + name;
    }
    return out.empty() ? "something else" : out;
}

}  // namespace

Repair repaired(const Scenario& scenario, Mistake mistake, Repaired when, std::uint32_t seed) {
    Repair out;
    const Conditions under = scenario.under();
    const std::vector<Call> straight = play(scenario, scenario.end()).kept;
    const auto kachi = std::find_if(straight.begin(), straight.end(),
                                    [](const Call& call) { return closes(call.what); });
    const auto count = static_cast<std::size_t>(kachi - straight.begin());
    const std::vector<std::size_t> can = chances(under, straight, count, mistake);
    if (can.empty()) return out;
    Dice dice(seed);
    const std::size_t where = can[dice.below(static_cast<std::uint32_t>(can.size()))];

    Telling telling(scenario, straight);
    for (std::size_t i = 0; i < where; ++i)
        telling.tell(i);
    const auto puts_right = err(telling, where, mistake, scenario.rules, dice);
    if (!puts_right) return out;
    out.possible = true;
    const std::size_t until = when == Repaired::at_once ? where + 1 : count;
    for (std::size_t i = where + 1; i < until; ++i)
        telling.tell(i);
    telling.wait_until(until < straight.size() ? straight[until].entered : scenario.end());
    for (const What& what : *puts_right)
        telling.correct(what);
    telling.catch_up(until);
    for (std::size_t i = until; i < straight.size(); ++i)
        telling.tell(i);
    telling.catch_up(straight.size());

    out.story = telling.story();
    out.fault = telling.trouble();
    if (!out.fault.empty()) return out;
    const Instant end = std::max(scenario.end(), telling.now());
    const State told = fold(under, telling.entered(), end).state;
    const State as_it_was = fold(under, straight, end).state;
    if (encode(told) != encode(as_it_was)) {
        out.fault = "the state is not the straight bout's: " + difference(told, as_it_was);
    }
    return out;
}

}  // namespace honbu

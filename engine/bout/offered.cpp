// What the engine offers and asks and never does: a missing call, a late one, a person's decision.
#include <algorithm>

#include "engine/bout/corrected.h"
#include "engine/bout/judge.h"
#include "engine/bout/text.h"

namespace honbu {
namespace {

// "Put it in 9 s ago?"
std::string put_in(std::string_view what, Instant then, Instant now) {
    const std::uint32_t seconds = (now - then).ms / 1000;
    if (seconds == 0) return Text() << "Put " << what << " in just before this?";
    return Text() << "Put " << what << " in " << seconds << " s ago?";
}

std::string tenths(Duration d) { return Text() << d.ms / 1000 << "." << d.ms % 1000 / 100 << " s"; }

struct Found {
    CallId id;
    What what;  // as corrected
};

// The last call of this kind that stands at this instant and is the one meant.
template<class Kind, class Meant>
std::optional<Found> standing_at(std::span<const Call> calls, Instant at, const Meant& meant) {
    const Corrected corrected(calls);
    for (auto placed = corrected.order.rbegin(); placed != corrected.order.rend(); ++placed) {
        if (placed->at != at || placed->gone) continue;
        const auto* kind = std::get_if<Kind>(placed->what);
        if (kind == nullptr || !meant(*kind)) continue;
        return Found{calls[placed->index].id, *placed->what};
    }
    return std::nullopt;
}

bool bit(std::uint8_t bits, Harm harm) {
    return (bits >> static_cast<std::uint8_t>(harm) & 1U) != 0;
}

// Would be taken, if it were entered now by whoever entered the last call.
bool can_be_taken(const Conditions& under, std::span<const Call> calls, const Offer& offer,
                  Instant now) {
    Call call = calls.back();
    const std::int64_t here = std::int64_t{now.ms} - Timeline(calls).shift_ms(call.id.run);
    if (here < std::int64_t{call.entered.ms}) return false;
    ++call.id.number.value;
    call.entered = Instant{static_cast<std::uint32_t>(here)};
    call.back = std::holds_alternative<Hajime>(offer.what) ||
                        std::holds_alternative<Mate>(offer.what)
                    ? now - offer.at
                    : Duration{};
    call.what = offer.what;
    return !no_entry(under, calls, call);
}

std::vector<Offer> found(const Conditions& under, std::span<const Call> calls, const State& state,
                         Instant now) {
    std::vector<Offer> out;
    if (state.missing == Missing::hajime) {
        Text words;
        words << "Hajime" << (state.time_up ? " of golden score" : "") << " is missing";
        if (state.hold.on) words << ": " << under.rules.side_word(state.hold.by) << " holds";
        // Just before what happened, so that it finds the bout going on.
        out.push_back({Hajime{}, state.missing_since - Duration{1},
                       words << ". " << put_in("it", state.missing_since, now)});
    }
    if (state.missing == Missing::mate && state.contest.running) {
        out.push_back({Mate{}, state.missing_since,
                       Text() << "The clock runs since a shido was given. "
                              << put_in("mate", state.missing_since, now)});
    }
    if (state.late_end.ms > 0) {
        const auto any = [](const auto&) { return true; };
        auto late = standing_at<Toketa>(calls, state.late_call, any);
        if (!late) late = standing_at<Mate>(calls, state.late_call, any);
        if (!late) return out;
        const Instant before_the_end{state.late_end.ms - 1};
        const std::int64_t to = std::int64_t{before_the_end.ms} -
                                Timeline(calls).shift_ms(late->id.run);
        if (to < 0) return out;
        const char* name = std::holds_alternative<Toketa>(late->what) ? "Toketa" : "Mate";
        out.push_back({Move{late->id, Instant{static_cast<std::uint32_t>(to)}}, before_the_end,
                       Text() << name << " came " << tenths(state.late_call - state.late_end)
                              << " after the signal. Was it called before? Then put it there."});
    }
    if (state.twice.ms > 0) {
        const std::uint8_t given = state.hold.on ? state.hold.reached : state.past_hold.reached;
        const auto found = standing_at<Score>(calls, state.twice, [&](const Score& score) {
            return score.to.has(state.twice_by) && static_cast<std::uint8_t>(score.level) <= given;
        });
        if (!found) return out;
        const Score score = std::get<Score>(found->what);
        What without = Strike{found->id};
        if (score.to == both_sides()) {
            without = Replace{found->id, Score{only(other(state.twice_by)), score.level}};
        }
        out.push_back({without, now,
                       Text() << "The hold has given this " << word(score.level)
                              << " by itself. Is it the same one? Then take the second out."});
    }
    return out;
}

[[gnu::noinline]] void add(std::vector<std::string>& out, Text& words) { out.push_back(words); }

}  // namespace

std::vector<Offer> offers(const Conditions& under, std::span<const Call> calls, const State& state,
                          Instant now) {
    if (calls.empty() || state.phase >= Phase::announced) return {};
    std::vector<Offer> out = found(under, calls, state, now);
    std::erase_if(out, [&](const Offer& o) { return !can_be_taken(under, calls, o, now); });
    // The newest first: what is about the call just pressed is found last.
    std::reverse(out.begin(), out.end());
    return out;
}

std::vector<std::string> prompts(const Conditions& under, const State& state) {
    std::vector<std::string> out;
    if (state.phase >= Phase::confirmed) return out;
    const RuleSet& rules = under.rules;
    const bool open = !state.decided();
    if (state.absence.over) {
        const bool both = state.absence.who == both_sides();
        const char* way = both ? "both lose" : "fusen-gachi for the other";
        add(out, Text() << "Who was called is not there. Ask the referee: " << way << "?");
    }
    if (state.of(Side::white).score[index(Level::ippon)] > 0 &&
        state.of(Side::blue).score[index(Level::ippon)] > 0 && rules.ippon_needed == 1) {
        out.push_back("Both have an ippon. If both scored at once, put it in as one call to both.");
    }
    if (state.absence.due) out.push_back("The next call for who is missing is due.");
    for (const Side side : {Side::white, Side::blue}) {
        const Tally& tally = state.of(side);
        const std::string& who = rules.side_word(side);
        const std::string& opponent = rules.side_word(other(side));
        for (std::size_t i = 0; open && i < site_count; ++i) {
            if (tally.bleeding[i] <= rules.bleeding_treatments) continue;
            const auto site = static_cast<Site>(i + 1);
            add(out, Text() << "Treatment " << tally.bleeding[i] << " of the same bleeding of "
                            << who << " (" << word(site)
                            << "). Ask the referee and the doctor: kiken-gachi for " << opponent
                            << "?");
        }
        if (open && tally.asked_for_doctor) {
            add(out, Text() << "The doctor came to " << who
                            << " without the referee's call. Ask the referee: kiken-gachi for "
                            << opponent << "?");
        }
        if (open && bit(tally.harm, Harm::illness)) {
            add(out, Text() << "Illness of " << who << ". Ask the referee: kiken-gachi for "
                            << opponent << "?");
        }
        if (bit(tally.harm, Harm::head)) {
            add(out,
                Text() << "Head impact of " << who
                       << ": a concussion is possible. Ask the doctor before any further bout.");
        }
        if (bit(tally.harm, Harm::unconscious)) {
            add(out, Text() << "Did " << who
                            << " lose consciousness? Call the doctor; only the doctor lets " << who
                            << " fight again; cadets may be out for the day.");
        }
        const bool worth_more = (rules.leg_grab == LegGrab::hansoku_make && tally.leg_grabs >= 1) ||
                                (rules.leg_grab == LegGrab::second_hansoku_make &&
                                 tally.leg_grabs >= 2);
        if (open && worth_more) {
            add(out, Text() << "A grip on the leg by " << who
                            << ": under these rules it may be hansoku-make. Ask the referee.");
        }
        const bool excluded = rules.direct_excludes ||
                              tally.direct_class == DirectClass::against_spirit;
        if (tally.direct_hansoku_make && !excluded && tally.direct_class == DirectClass::not_said) {
            add(out, Text() << "Direct hansoku-make of " << who
                            << ": ask the referee which kind. Against the spirit of judo means no "
                               "further bout today.");
        }
        if (tally.direct_hansoku_make && excluded) {
            add(out, Text() << "Direct hansoku-make of " << who
                            << ": tell the desk. By these rules no further bout in this event.");
        }
    }
    return out;
}

}  // namespace honbu

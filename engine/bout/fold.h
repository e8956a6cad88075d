// fold(rules, calls, until) -> the bout's state, what became of each call, and what is coming.
//
// The heart of the project. Pure: no clock, no I/O, no globals. Corrections are calls, so the fold
// always starts again from nothing; a bout has a few dozen calls, which is microseconds. Time up
// and a hold reaching a threshold come out of the fold at their exact instant; they are never
// records. Sources of every rule: docs/rules.md. Any thread.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "engine/bout/ruleset.h"
#include "engine/bout/state.h"

namespace honbu {

// What became of one call.
enum class Standing : std::uint8_t {
    counts = 1,
    struck = 2,
    without_effect = 3,  // impossible where it stands; kept, listed for a person
};

// A thing that comes by itself.
enum class Happening : std::uint8_t {
    none = 0,
    time_up = 1,
    hold_level = 2,
    hold_ended = 3,
    absence_due = 4,   // the next call for a missing athlete
    absence_over = 5,  // the countdown is at zero, or the last call has passed
    hold_faded = 6,    // the last hold's value need not be read any more
};

// The state from `from` on, until the next frame. `why` is what happened at `from`.
struct Frame {
    Instant from;
    Happening why = Happening::none;
    State state;
};

// More calls than any bout has; what a stuck key or a broken page may fill a bout with.
inline constexpr std::size_t calls_in_bout_max = 1000;

struct Conditions {  // what a bout is fought under
    const RuleSet& rules;
    Duration time;    // regular contest time
    Duration golden;  // limit of golden score; 0: none
};

// Where one call stands.
struct Place {
    Standing standing = Standing::counts;
    Instant at;        // on the timeline
    Duration contest;  // elapsed in the period when it was called
    bool golden = false;
};

struct Folded {
    State state;                // at `until`
    std::vector<Place> places;  // one for each call, in the order given
};

// The timeline of a bout: where an instant of some run falls on it.
class Timeline {
public:
    explicit Timeline(std::span<const Call> calls);
    // An instant of `run`. A run that no joint ties in is taken to have the first run's clock.
    Instant place(RunId run, Instant t) const;
    Instant place(const Call& call) const;   // when it took effect
    std::int64_t shift_ms(RunId run) const;  // timeline = run's clock + shift
    bool knows(RunId run) const;             // the first run, or tied in by a joint

private:
    struct Tie {
        RunId run;
        std::int64_t shift_ms;
    };
    std::vector<Tie> ties_;
};

// One step of a bout as it went: a call, or something that came by itself. The state is that after
// it.
struct Step {
    Instant at;
    Happening why = Happening::none;
    std::optional<std::size_t> call;  // index of the call; nothing: it came by itself
    Standing standing = Standing::counts;
    What what;  // as replaced by corrections; of a call
    State state;
};

// Which calls a later one has struck (a strike that is itself struck strikes nothing).
std::vector<bool> struck(std::span<const Call> calls);

// The calls are those that were taken (no_entry): a correction counts whatever becomes of it where
// it stands.
// Calls in the order they were entered (runs one after the other). `until` is on the timeline.
Folded fold(const Conditions& under, std::span<const Call> calls, Instant until);

// The whole bout, step by step in the order of the timeline, up to and including `until`.
std::vector<Step> steps(const Conditions& under, std::span<const Call> calls, Instant until);

// The state a call was entered into: what a table's hash of "seen before" covers. `call` may be a
// joint, which places its own run.
State before(const Conditions& under, std::span<const Call> calls, const Call& call);

// The state from the last entered call on, and one frame for every happening still to come if
// nothing more is called: at most one for each hold level, one for time. Instants on the timeline.
std::vector<Frame> frames(const Conditions& under, std::span<const Call> calls);

// Why this can't be called in this state, in words that say what to press instead; nothing: it can.
// The unusual can be called; only the impossible is refused. `calls` are those a strike may mean.
std::optional<std::string> refusal(const Conditions& under, std::span<const Call> calls,
                                   const State& state, const What& what);

// The same for a whole call, which must also count where it takes effect. Asked by the table
// before a
// call gets its number, and by the hub for the verdict.
std::optional<std::string> no_entry(const Conditions& under, std::span<const Call> calls,
                                    const Call& call);

// A call that seems to have been missed or to have come too late, with where it belongs. Only
// offered: a person takes it.
struct Offer {
    What what;          // the missing hajime or mate, or a Move of the late call
    Instant at;         // where it would take effect, on the timeline
    std::string words;  // "Hajime is missing: white holds since 9 s."
};
std::vector<Offer> offers(const Conditions& under, std::span<const Call> calls, const State& state,
                          Instant now);

// What a person has to decide or to be asked now, in words. The engine decides none of it.
std::vector<std::string> prompts(const Conditions& under, const State& state);

// Taken, but not what one expects in this state: screens dim it.
bool unusual(const Conditions& under, const State& state, const What& what);

// The board as everybody sees it.
BoardSide shown(const RuleSet& rules, const State& state, Side side);

// What the table reads back and confirms, as of `now` on the timeline.
Result result_of(const Conditions& under, std::span<const Call> calls, Instant now);

// The winner's sub-points.
std::uint8_t points_of(const RuleSet& rules, const Decision& decision);

}  // namespace honbu

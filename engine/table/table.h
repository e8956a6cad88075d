// The table's logic: what to show, save, send, resend and give up; one pure state machine.
//
// Everything a mat table decides is decided here, compiled natively for the simulator and to wasm
// for the page; TypeScript only stores, sends, sounds and draws. `now` is always the run's clock.
// The promise it keeps: a call is shown at the press, saved before it is sent, sent until it has a
// verdict, older runs first; without a network it goes on. One owner, one thread.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "engine/bout/fold.h"
#include "engine/record/record.h"
#include "engine/view/mat_view.h"

namespace honbu {

class JsonWriter;

struct BoutGiven {
    BoutHead head;
    std::size_t rules = 0;  // index into the allotment's rule sets
    Duration time;
    Duration golden;           // limit of golden score; 0: none
    bool confirmed = false;    // by the hub's word
    std::vector<Call> calls;   // what is known of it, in order of entry
    bool at_desk = false;      // the desk writes it: what a table sends for it is set aside
    std::vector<CallId> gone;  // entered for it once, and recorded as another bout's since
};

// The same moment on a run's clock and on the hub's.
struct RunClock {
    RunId run;
    Instant on_run;
    Instant on_hub;
};

struct Allotment {
    MatId mat;
    Term term;
    std::vector<RuleSet> rules;
    std::vector<BoutGiven> bouts;
    std::vector<RunClock> clocks;  // of other runs in these bouts; the page makes joints of them
};

struct RunHead {
    RunId run;
    CallNumber last;
};

// What the page must do next, in this order.
struct Doing {
    std::vector<Call> save;  // into lasting storage; answer with saved()
    std::vector<Call> send;  // to the hub
};

class Table {
public:
    enum class Charge : std::uint8_t { none, in_charge, lost };

    Table(RunId run, std::string hand);

    // -- what the page tells
    void restore(const Call& kept, Verdict verdict);  // from lasting storage, before anything else
    // How another run's clock meets this one: `here` on this run was `there` on that one. Told
    // before the allotment; a joint is entered for each begun bout that needs one.
    void earlier_run(RunId run, Instant there, Instant here, Joint::Source source);
    void allot(Allotment allotment, Instant now);     // from the hub, or kept from before
    void welcome(const std::vector<RunHead>& heads);  // the line is up and the hub knows us
    void line_down();
    // `state_differs`: the hub folds what came before this call to another state than this table.
    void verdict(CallId call, Verdict verdict, bool state_differs = false);
    void refused(CallId call, std::string words);  // it and what follows goes out at again()
    void again();  // every few seconds: tries anew what was refused for a reason that may pass
    void mat_lost(std::string words);
    void saved(CallId call);

    // -- what the operator does
    // `key` as in docs/table.md, section 4; `refers` is the call a correction was pressed on.
    // Empty: taken. Otherwise why not, and what to press instead; nothing has changed.
    std::string press(std::string_view key, CallId refers, Instant now);
    std::string next_bout(Instant now);               // calls the next bout of the allotment
    std::string open_bout(BoutId bout, Instant now);  // calls that one

    // -- what the page asks
    Doing take_doing();  // empties it
    Charge charge() const { return charge_; }
    std::optional<BoutId> bout() const { return current_; }
    MatView view() const;                 // for the board window; instants on this run's clock
    std::size_t unsent() const;           // kept here without a verdict
    std::string json(Instant now) const;  // everything the page shows (layout: docs/table.md)

private:
    struct Kept {
        Call call;
        bool saved = false;
        bool sent = false;  // on this connection
        Verdict verdict = Verdict::none;
    };
    struct OtherRun {
        RunId run;
        Instant there;
        Instant here;
        Joint::Source source;
    };

    BoutGiven* given(BoutId bout);
    const BoutGiven* given(BoutId bout) const;
    const Kept* kept(CallId call) const;
    Kept* kept(CallId call);
    Conditions under(const BoutGiven& bout) const;
    State state_at(const BoutGiven& bout, Instant now) const;
    bool confirmed(const BoutGiven& bout) const;
    std::int64_t shift_to_run(const BoutGiven& bout) const;
    void take_in_kept(BoutGiven& bout) const;
    bool all_kept_here(const BoutGiven& bout) const;
    BoutHead seats(const BoutGiven& bout) const;
    std::string enter(BoutGiven& bout, const What& what, Instant now, Duration back = {});
    void join(BoutGiven& bout, Instant now);
    void show_bout(BoutGiven& bout, Instant now);
    void send_what_can_go();
    void fill_seats();

    // how the page is told (table_json.cpp)
    void json_bout(JsonWriter& json, const BoutGiven& bout, Instant now) const;
    void json_calls(JsonWriter& json, const BoutGiven& bout, const Folded& folded) const;
    std::string warning(const BoutGiven& bout, const Folded& folded) const;
    std::string json_bouts() const;

    RunId run_;
    std::string hand_;
    CallNumber next_number_{1};
    Instant last_entered_;
    Allotment allotment_;
    Charge charge_ = Charge::none;
    bool line_up_ = false;
    std::optional<BoutId> current_;
    std::vector<Kept> kept_;  // older runs first
    std::vector<OtherRun> others_;
    std::string notice_;   // about the last press
    std::string warning_;  // stays until another bout is on the mat
    std::string aside_;    // the same: what of this bout does not count, in words
    Doing doing_;
};

}  // namespace honbu

// A mat's table: a device with lasting storage, one page after the other, and somebody who presses.
//
// TablePage does around the engine's table logic what clients/web/src/table/life.ts does in the
// browser: keep, then send; ask for the mat again; measure the hub's clock. TableStore is what
// survives a crash of the page. One thread.
#pragma once

#include <deque>
#include <map>
#include <optional>
#include <set>
#include <vector>

#include "engine/table/table.h"
#include "tests/generate/script.h"
#include "tests/simulation/caller.h"
#include "tests/simulation/checker.h"

namespace honbu::simulation {

struct TableStore {
    struct KeptCall {
        Call call;
        Verdict verdict = Verdict::none;
    };
    struct KeptRun {  // one moment on the run's clock and on the device's wall clock
        RunId run;
        Instant on_run;
        std::int64_t wall_ms = 0;
    };
    DeviceId device;
    std::int64_t wall_skew_ms = 0;
    std::int32_t drift_ppm = 0;
    std::uint32_t save_ms_max = 30;
    struct KeptTable {
        Epoch epoch;
        Allotment allotment;
    };
    // A bout that is in no plan, as somebody types it at the table.
    struct TypedBout {
        BoutId bout;
        Typed names;
    };
    std::vector<KeptCall> calls;  // in the order they were made
    std::vector<KeptRun> runs;
    std::map<MatId, KeptTable> tables;
    std::vector<TypedBout> typed;
    MatId mat;
    Epoch epoch;    // of the journal that the calls were made for
    Position seen;  // the last one
};

// How somebody at a table behaves.
struct Habits {
    std::uint32_t haste = 1;          // contests go so many times faster than they were fought
    std::uint32_t random_share = 30;  // in hundred bouts: presses in any order
    std::uint32_t corrects_share = 30;
    std::uint32_t leaves_share = 0;  // in a thousand steps: hands the mat over, moves on, asks
};

class TablePage final : public Caller {
public:
    TablePage(Hall& hall, const Route& route, Checker& checker, TableStore& store, RunId run,
              const Habits& habits);
    ~TablePage() override;
    void begin_page();
    // Asks the hub for the mat, from the table that has it if need be.
    void take(MatId mat, bool take_over);
    void stop_pressing() { pressing_ = false; }
    bool settled() const { return !other_journal_ && !leaving_; }
    const Table& table() const { return table_; }
    std::size_t unsaved() const { return to_save_.size(); }
    std::uint64_t presses() const { return presses_; }

protected:
    Hello hello() override;
    void hear(const Heard& message, const std::string& bytes) override;
    void down() override;
    void each_second() override;
    std::uint32_t ask_now() override { return now().ms; }

private:
    Instant now() const;
    std::int64_t wall_ms() const;
    std::int64_t hub_now() const;
    void restore();
    void step();
    void keeps_order(CallId call);
    void save();
    void saved(const std::vector<Call>& calls);
    void keep_clock();
    void on_welcome(const Welcome& welcome);
    void on_allotment(const Allotment& allotment);
    void on_refusal(const Refusal& refusal);
    void on_clock(const ClockAnswer& answer);
    bool ask_for(MatId mat, bool take_over, Term term);
    void line_up(const Welcome& welcome);
    void settle_journal();
    void seen(RecordNumber number, std::uint64_t hash = 0);
    Allotment with_typed(Allotment allotment) const;
    const Typed* typed(BoutId bout) const;

    // -- the hands
    void operate();
    void move_about();
    void hand_over();
    void answer(const Asked& asked);
    void press_next();
    void next_bout();
    void write_script(BoutId bout);
    CallId some_call(BoutId bout);

    Checker& checker_;
    TableStore& store_;
    const RunId run_;
    const Habits& habits_;
    Table table_;
    std::uint64_t opened_;
    MatId mat_;
    bool seated_ = false;
    bool asked_ = false;
    bool question_ = false;
    bool leaving_ = false;
    std::optional<Welcome> other_journal_;  // not the one the kept calls were made for
    std::set<MatId> free_;                  // mats that nobody has, as last seen
    std::uint64_t last_again_ = 0;
    std::vector<Call> to_save_;
    bool saving_ = false;
    std::int64_t hub_offset_ms_ = 0;  // hub time = run's clock + this
    std::uint32_t best_trip_ms_ = 0;
    std::uint64_t told_clock_ = 0;
    std::map<RunId, std::uint32_t> sent_;  // on this connection: the last number of each run

    bool pressing_ = true;
    std::uint64_t presses_ = 0;
    std::optional<Allotment> given_;  // for the hands: which rules a bout has
    std::deque<generate::KeyPress> script_;
    std::optional<BoutId> scripted_;
    std::uint32_t endings_ = 0;
    std::map<CallId, CallId> made_;  // the contest's name for a call: its real one
    std::map<BoutId, std::vector<CallId>> entered_;
    CallId last_made_;
};

}  // namespace honbu::simulation

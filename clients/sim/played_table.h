// A mat's table and the hands at it: the engine's table logic, a keeping place, contests as fought.
//
// Does around engine/table what clients/web/src/table/life.ts does in the browser: show, keep,
// send; ask for the mat again; measure the hub's clock. Calls are kept in memory and in the log,
// which is written before a call is sent. Plays the bouts of its mat in order, and goes on when the
// hub is away. One thread.
#pragma once

#include <deque>
#include <map>
#include <optional>
#include <vector>

#include "clients/sim/caller.h"
#include "engine/table/table.h"
#include "tests/generate/script.h"

namespace honbu::sim {

class PlayedTable final : public Caller {
public:
    // `place` from 0: it takes the mat in that place of the hub's list.
    PlayedTable(Hall& hall, std::size_t place, DeviceId device, RunId run);

    void stop_pressing() { pressing_ = false; }
    bool played_out() const { return played_out_; }  // nothing is left to call
    bool in_charge() const { return table_.charge() == Table::Charge::in_charge; }
    std::size_t without_verdict() const { return table_.unsent(); }
    MatId mat() const { return mat_; }
    MatView view() const { return table_.view(); }

private:
    struct Given {
        Verdict verdict = Verdict::none;
        RecordNumber record;
    };

    Hello hello() const override;
    void hear(const Heard& message, const std::string& bytes) override;
    void down() override;
    void clock_known() override;
    void each_second() override;
    void on_welcome(const Welcome& welcome);
    void on_allotment(const Allotment& allotment);
    void on_verdict(const VerdictGiven& given);
    void on_refusal(const Refusal& refusal);
    void ask_for_mat(bool take_over);
    void carry();
    Instant now() const;
    std::string hand() const { return "honbu-sim " + name(); }

    // -- the hands
    void operate();
    void press_next();
    void next_bout();
    void after_script();
    void write_script(BoutId bout);
    void play(std::vector<generate::KeyPress> script);
    void wait(std::uint64_t run_ms);

    const std::size_t place_;
    const DeviceId device_;
    const RunId run_;
    Table table_;
    MatId mat_;
    bool seated_ = false;         // the hub has said so on this line
    bool alone_ = false;          // another table took or holds the mat
    std::uint64_t began_us_ = 0;  // the run's clock, once the hub has said how fast it goes
    std::uint32_t speed_ = 0;
    std::uint64_t last_again_us_ = 0;
    Instant told_clock_;
    bool clock_told_ = false;                // on this line
    std::vector<std::uint64_t> pressed_us_;  // by the call's number
    std::uint32_t sent_ = 0;                 // the highest number that ever went out
    std::map<CallId, Given> verdicts_;

    generate::Lots lots_;  // of its own: what is played does not depend on the network
    bool pressing_ = true;
    bool played_out_ = false;
    std::optional<Allotment> given_;
    std::deque<generate::KeyPress> script_;
    std::optional<BoutId> scripted_;
    Instant due_;          // the next press
    int endings_ = 0;      // how often its end was tried
    std::string last_no_;  // which press the table did not take, and why
    bool corrected_ = false;
    std::map<CallId, CallId> made_;  // the script's name for a call: its real one
    std::vector<CallId> entered_;    // of the bout that is played
};

}  // namespace honbu::sim

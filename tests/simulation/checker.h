// Holds a history against what the house promises (docs/simulation.md lists the promises).
//
// It is told what was written, what the disk held when, what left the hub, what tables saved and
// what screens read, and throws Broken at the first thing that can't be. It includes nothing of the
// hub: what is true it reads from the journal's bytes (reading.h). One thread.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "engine/table/table.h"
#include "tests/simulation/reading.h"
#include "tests/simulation/trace.h"

namespace honbu::simulation {

using Who = std::uint64_t;  // a session of the hub, or a screen

// Why a call was refused, as far as that can be right or wrong.
enum class Refused : std::uint8_t { gap, other_content, something_else };

class Checker {
public:
    explicit Checker(std::map<PersonId, Named> people);

    // -- the disk
    void appended(RecordNumber number, const std::string& bytes);
    void kept(RecordNumber number);
    void power_cut(RecordNumber kept);  // what was written after that is gone

    // -- the hub
    void hub_began(RecordNumber number);  // replayed so far
    // That all up to this is kept. While it takes that in, record by record, what leaves may be of
    // any instant in between; once it is through, of the last one only.
    void hub_told(RecordNumber number);
    void hub_through();
    void hub_state(const std::string& bytes, const std::string& how);

    // -- what leaves the hub
    void welcome_left(DeviceId device, RecordNumber number, const std::vector<RunHead>& heads);
    void verdict_left(CallId call, Verdict verdict, RecordNumber record, bool differs);
    void refusal_left(DeviceId device, const Call& call, Refused why);
    bool must_refuse(DeviceId device, const Call& call) const;  // used up, or out of turn
    void not_refused(const Call& call);
    void allotment_left(DeviceId device, const Allotment& allotment);
    void view_left(const MatView& view);
    void subscribed(Who session, RecordNumber after);
    void result_left(Who session, const Reading::Item& item);

    // -- tables: `honest` ones run the engine's table logic
    void saved(DeviceId device, const Call& call);
    void submitted(DeviceId device, const Call& call);  // by an honest one
    void strange(DeviceId device, const Call& call);    // by anybody else

    // -- screens
    void screen_began(Who screen);  // a fresh page
    void view_read(Who screen, const MatView& view, const std::string& bytes);
    void result_read(Who screen, const Reading::Item& item);

    // -- the end: all lines are up and nothing is under way
    void all_quiet(const std::vector<Who>& screens, const std::vector<Who>& with_results);
    void table_quiet(DeviceId device, std::size_t unsent);
    void table_agrees(DeviceId device, const MatView& own);
    void verdict_kept(DeviceId device, CallId call, Verdict verdict);

    const Reading& known() const { return known_; }
    std::uint64_t checks() const { return checks_; }

private:
    void hold(bool fact, const std::string& promise, const std::string& words);
    void on_disk(RecordNumber number, const std::string& what);
    void read_up_to(Reading& reading, RecordNumber number);
    void no_honest_table_differs();
    void same_item(const Reading::Item& item, const Reading::Item& expected);
    const Reading::Item* next_result(RecordNumber after) const;
    std::string wrong_with(const Allotment& allotment, DeviceId device) const;

    std::map<PersonId, Named> people_;
    std::vector<std::string> rows_;  // written, kept or not
    RecordNumber kept_;
    RecordNumber promised_;  // the highest number anybody outside has seen
    RecordNumber told_;      // what the hub was told is kept
    Reading known_;          // up to there, or on the way
    Reading decided_;        // everything written
    std::map<CallId, std::pair<DeviceId, std::string>> saved_;
    std::map<CallId, std::vector<std::string>> strange_;
    std::map<Who, RecordNumber> session_results_;
    struct Screen {
        std::map<MatId, RecordNumber> numbers;
        std::map<MatId, std::pair<MatView, std::string>> latest;
        RecordNumber last_result;
    };
    std::map<Who, Screen> screens_;
    std::uint64_t checks_ = 0;
};

}  // namespace honbu::simulation

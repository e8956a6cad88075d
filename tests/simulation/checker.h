// Holds a history against what the house promises (docs/simulation.md lists the promises).
//
// It is told what was written, what the disk held when, what left the hub, what tables saved, what
// desks asked for and what screens read, and throws Broken at the first thing that can't be. It
// includes nothing of the hub: what is true it reads from the journal's bytes (reading.h).
// One thread.
#pragma once

#include <map>
#include <memory>
#include <set>
#include <string>
#include <vector>

#include "engine/table/table.h"
#include "tests/simulation/reading.h"
#include "tests/simulation/trace.h"

namespace honbu::simulation {

using Who = std::uint64_t;  // a session of the hub, or a screen

// Why something was refused, as far as that can be right or wrong.
enum class Refused : std::uint8_t { gap, other_content, at_the_table, changed, something_else };

// The last position that a client has seen; no hash: it does not know it.
struct Position {
    Epoch epoch;
    RecordNumber number;
    std::uint64_t hash = 0;
};
struct WelcomeTold {
    Position at;
    std::uint32_t missing = 0;
    bool differs = false;
    std::vector<Epoch> earlier;
};
// Who is welcomed. `writes`: sends calls. `believed`: what it misses is shown to the desk.
struct Welcomed {
    Who session = 0;
    DeviceId device;
    bool writes = false;
    bool believed = false;
};
// What a desk asks to be recorded. `changed`: of the bouts that the fact names, as the desk saw
// them, where the command says so.
struct Wish {
    Fact fact;
    std::vector<RecordNumber> changed;
};
// What one screen follows.
struct Followed {
    Who who = 0;
    bool results = false;
    bool call_list = false;
    bool of_the_desk = false;  // tables, set aside, audit
    std::vector<BoutId> sheets;
};

class Checker {
public:
    explicit Checker(std::map<PersonId, Named> people);

    // -- the disk
    void appended(RecordNumber number, Row row);
    void kept(RecordNumber number);
    void power_cut(RecordNumber kept);  // what was written after that is gone
    // The same, and something of it was acknowledged: the disk has lied, or the machine is gone and
    // its work goes on from an older copy.
    void lost(RecordNumber kept, bool lie);

    // -- the hub
    void hub_began(RecordNumber number);  // replayed so far
    // That all up to this is kept. While it takes that in, record by record, what leaves may be of
    // any instant in between; once it is through, of the last one only.
    void hub_told(RecordNumber number);
    void hub_through();
    void hub_state(const std::string& bytes, const std::string& how);

    // -- what leaves the hub (checker_left.cpp)
    void welcome_left(const Welcomed& who, const Position& seen, const WelcomeTold& welcome,
                      const std::vector<RunHead>& heads);
    void session_left(Who session) { missing_.erase(session); }
    void verdict_left(CallId call, Verdict verdict, RecordNumber record, bool differs);
    void refusal_left(DeviceId device, const Call& call, Refused why);
    bool must_refuse(DeviceId device, const Call& call) const;  // used up, or out of turn
    void not_refused(const Call& call);
    // A table that believes it has the mat has come back to it, and wrote these rows by that.
    void came_back(MatId mat, Term term, std::size_t rows_before);
    void allotment_left(DeviceId device, const Allotment& allotment);
    void opened_left(const Allotment& allotment);  // one bout, for the desk
    void view_left(const MatView& view);
    void subscribed(Who session, RecordNumber results_after, RecordNumber audit_after);
    void result_left(Who session, const Item& item);
    void record_left(Who session, RecordNumber number, const std::string& bytes);
    void call_list_left(RecordNumber number, const std::string& list);
    void sheet_left(RecordNumber number, const SheetTold& sheet);
    void set_aside_left(RecordNumber number, const std::string& waiting);
    void tables_left(RecordNumber number, std::uint32_t missing, const std::string& tables);

    // -- the desk's commands (checker_desk.cpp)
    void desk_wishes(DeviceId desk, std::uint32_t request, const Wish& wish);
    void one_command(std::size_t rows_before, bool refused);  // of anybody
    void done_left(DeviceId desk, std::uint32_t request, RecordNumber record);
    void wish_refused(DeviceId desk, std::uint32_t request, Refused why);
    void asked_left(Who session, std::uint32_t ask);
    void answer_left(Who session, std::uint32_t ask, bool final_word);

    // -- tables: `honest` ones run the engine's table logic
    void saved(DeviceId device, const Call& call);
    void submitted(DeviceId device, const Call& call);  // by an honest one
    void strange(DeviceId device, const Call& call);    // by anybody else

    // -- screens (checker_read.cpp)
    void screen_began(Who screen);  // a fresh page
    // True: what it knows is of another journal, or of records that are lost, and it forgets it.
    bool welcome_read(Who screen, const Position& said, const WelcomeTold& welcome);
    void view_read(Who screen, const MatView& view, const std::string& bytes);
    void result_read(Who screen, const Item& item);
    void record_read(Who screen, RecordNumber number, const std::string& bytes);
    void call_list_read(Who screen, RecordNumber number, const std::string& list);
    void sheet_read(Who screen, RecordNumber number, const SheetTold& sheet);
    void set_aside_read(Who screen, RecordNumber number, const std::string& waiting);
    void tables_read(Who screen, RecordNumber number, const std::string& tables);

    // -- the end: all lines are up and nothing is under way
    void all_quiet(const std::vector<Followed>& screens);
    void table_quiet(DeviceId device, std::size_t unsent);
    void table_agrees(DeviceId device, const MatView& own);
    void verdict_kept(DeviceId device, CallId call, Verdict verdict);

    const Reading& known() const { return known_; }
    const Reading& decided() const { return decided_; }
    std::size_t rows() const { return rows_.size(); }
    std::uint64_t checks() const { return checks_; }
    std::uint64_t misled() const { return misled_; }  // screens that nobody could tell of a loss

private:
    struct Asked {  // a wish and what became of it
        std::string fact;
        Wish wish;
        RecordNumber record;  // 0: nothing yet
    };
    struct Screen {
        Epoch epoch;
        RecordNumber seen;  // the highest number of anything
        bool owed = false;  // something that it has seen is lost, and it has not heard of it
        bool misled = false;
        std::map<MatId, RecordNumber> numbers;
        std::map<MatId, std::pair<MatView, std::string>> latest;
        RecordNumber last_result;
        RecordNumber last_record;
        std::map<std::string, std::pair<RecordNumber, std::string>> views;  // the others, by name
    };

    void hold(bool fact, const std::string& promise, const std::string& words);
    void on_disk(RecordNumber number, const std::string& what);
    void cut(RecordNumber kept);
    void read_up_to(Reading& reading, RecordNumber number);
    void no_honest_table_differs(const Call& call);
    void was_wished(const Record& record);
    bool fits(const Wish& wish) const;
    void same_item(const Item& item, const Item& expected);
    const Item* next_result(RecordNumber after) const;
    std::string wrong_with(const Allotment& allotment, DeviceId device) const;
    std::string wrong_with(const BoutGiven& given, bool with_calls, bool at_desk) const;
    std::string wrong_with_gone(const BoutGiven& given) const;
    template<class Wrong> void of_this_instant(const Wrong& wrong);
    void same_text(const std::string& what, RecordNumber number, const std::string& said,
                   const std::string& truth);
    void other_view_read(Who screen, const std::string& what, RecordNumber number,
                         const std::string& text);
    void end_of(const Followed& followed, std::map<MatId, std::string>& seen);

    std::map<PersonId, Named> people_;
    std::vector<Row> rows_;  // written, kept or not
    RecordNumber kept_;
    RecordNumber promised_;  // the highest number anybody outside has seen
    RecordNumber told_;      // what the hub was told is kept
    Reading known_;          // up to there, or on the way
    Reading decided_;        // everything written
    bool lied_ = false;      // the disk, in this seed
    std::map<CallId, std::pair<DeviceId, std::string>> saved_;
    std::map<CallId, std::vector<std::string>> strange_;
    std::map<std::pair<DeviceId, std::uint32_t>, Asked> wishes_;
    std::map<std::pair<MatId, Term>, std::uint64_t> terms_;  // given to a table by which record
    // -- of this life of the hub
    std::map<Who, RecordNumber> session_results_;
    std::map<Who, RecordNumber> session_records_;
    std::set<std::pair<Who, std::uint32_t>> answered_;
    std::map<Who, std::uint32_t> missing_;  // records that are missing, by who says so

    std::map<Who, Screen> screens_;
    std::uint64_t misled_ = 0;
    std::uint64_t checks_ = 0;
};

// The first line in which two texts differ, of each.
std::string difference(const std::string& said, const std::string& truth);

}  // namespace honbu::simulation

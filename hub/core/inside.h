// What the Hub keeps. Private to hub/core.
//
// Each bout has two states in one vector of calls: all of them are *decided* (they order what comes
// next and are shown to nobody), the first `committed` are on the disk and are all that anyone
// sees.
// When nothing waits the two are equal, which is asserted after every commit. Hub thread.
#pragma once

#include <deque>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "engine/record/canon.h"
#include "hub/core/hub.h"

namespace honbu {

struct BoutLog {
    BoutEntry entry;
    std::vector<Call> calls;    // applied ones only
    std::size_t committed = 0;  // how many of them are on the disk
    bool confirmed = false;     // committed
};

struct Mat {
    std::vector<BoutId> order;
    Term term;                      // decided
    DeviceId holder;                // decided; 0: nobody has taken it
    Term known_term;                // committed
    DeviceId known_holder;          // committed
    std::optional<BoutId> current;  // committed: the bout the screens show
    RecordNumber number;            // committed: the last record that changed the view
};

struct GivenNumber {  // what became of one call number
    Hash content{};
    Verdict verdict = Verdict::none;
    RecordNumber record;
    bool state_differs = false;
};

struct KnownRun {
    DeviceId device;
    std::vector<GivenNumber> given;  // by call number - 1
    std::size_t committed = 0;
    std::optional<std::int64_t> to_hub_ms;  // hub time = run's clock + this, as the table measured
    std::int64_t least_delay_ms = 0;        // else: the least (received - entered) of its calls
};

struct Session {
    Hello hello;
    MatId mat;                              // tables: the one it asked for; 0: none yet
    std::optional<std::int64_t> to_hub_ms;  // of its run, until the run has a call
};

struct Waiting {  // a record on its way to the disk
    Record record;
    std::optional<SessionId> asker;
    std::vector<SessionId> also;  // sent the same call again meanwhile
};

struct Hub::Inside {
    Inside(JournalPort& j, OutletPort& o, FeedPort& f) : journal(j), outlet(o), feed(f) {}

    JournalPort& journal;
    OutletPort& outlet;
    FeedPort& feed;

    bool has_epoch = false;
    EpochBegan epoch;
    RecordNumber decided;    // the last number given out
    RecordNumber committed;  // the last number on the disk
    Hash last_hash{};        // of the record `decided`
    Instant last_received;
    bool replaying = false;

    bool has_competition = false;
    CompetitionLoaded competition;
    std::map<PersonId, Person> people;
    Progress progress;
    std::map<BoutId, BoutLog> bouts;
    std::map<MatId, Mat> mats;
    std::map<RunId, KnownRun> runs;
    std::map<SessionId, Session> sessions;
    std::deque<Waiting> waiting;
    Hub::Tallies tallies;

    // -- records (recording.cpp)
    void record(Fact fact, Verdict verdict, std::optional<SessionId> asker, Instant now,
                std::vector<Beside> beside = {});
    void decide(const Record& record);  // at once: orders what comes next
    void commit(Waiting& waiting);      // once on the disk: what people may see
    void commit_call(const Waiting& waiting, const Call& call);
    void check_equal() const;

    // -- commands (commands.cpp)
    void hello(SessionId session, const Hello& hello, Instant now);
    void take_mat(SessionId session, const TakeMat& wish, Instant now);
    void submit(SessionId session, const Call& call, Instant now);
    void sit_down(SessionId session, const TakeMat& wish);
    void run_clock(Session& session, const RunClock& clock);
    void refuse(SessionId session, Cause reason, std::string words);
    void refuse_call(SessionId session, Cause reason, std::string words, CallId call);

    // -- what people see (views.cpp)
    Conditions under(const BoutLog& bout) const;
    std::span<const Call> committed_calls(const BoutLog& bout) const;
    Seat seat(const Slot& slot) const;
    BoutHead listed(const BoutLog& bout) const;  // as drawn
    BoutHead head(const BoutLog& bout) const;    // as they stand: names may be exchanged
    std::int64_t to_hub_ms(RunId run) const;
    std::int64_t timeline_to_hub_ms(const BoutLog& bout) const;
    TableLine line(MatId id) const;
    MatView view(MatId id) const;
    Allotment allotment(MatId id) const;
    void publish(MatId id);
    void publish_all();
    void give_allotment(MatId id);
    bool begun_after(BoutId bout) const;
    void tell_mats_waiting_for(BoutId bout);
};

}  // namespace honbu

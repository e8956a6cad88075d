// What the Hub keeps. Private to hub/core.
//
// What is decided and what is committed are equal when nothing waits, which is asserted after every
// commit, for what it touched. Hub thread.
#pragma once

#include <deque>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "engine/record/canon.h"
#include "hub/core/hub.h"
#include "hub/core/kept.h"
#include "hub/core/public_names.h"

namespace honbu {

// A session that has said hello.
struct Greeted {
    Hello hello;                            // without its token
    bool let_in = false;                    // by a secret that the hub knows
    MatId mat;                              // tables: the one it asked for; 0: none yet
    std::set<MatId> watched;                // subscribed to by name
    std::optional<std::int64_t> to_hub_ms;  // of its run, until the run has a call
    std::optional<std::uint32_t> round_trip_ms;
};

struct OpenAsk {
    Asked asked;
    AskTo to{};
    SessionId by;
};

// Who waits to be let in.
struct AtDoor {
    Hello hello;  // without its token
    Hash key{};   // of the token
    std::string code;
    Instant since;
    unsigned guesses = 0;  // at the one-time code
};

struct Waiting {  // a record on its way to the disk
    Record record;
    std::string bytes;
    std::optional<SessionId> asker;
    std::vector<SessionId> also;  // sent the same call again meanwhile
    std::uint32_t request = 0;    // of the desk
    std::size_t counted = 0;      // calls that it made count
    std::optional<Typed> typed{};
};

void lay_out(Kept& kept, const CompetitionLoaded& competition);  // its bouts, mats and names
std::uint64_t first_bytes(const Hash& hash);
// Bouts that a table makes up for athletes in no plan: the highest bit of their number is set.
constexpr bool in_no_plan(BoutId bout) { return (bout.value & 0x80000000U) != 0; }
Beside beside_of(BoutId bout, const Typed& typed);
Beside beside_of(const PersonErased& erased);
std::string at_the_table(const BoutEntry& entry);  // why the desk can't have it, for people

// What the records have made stands in Kept (kept.h): only that is in a checkpoint.
struct Hub::Inside : Kept {
    Inside(JournalPort& j, OutletPort& o, FeedPort& f) : journal(j), outlet(o), feed(f) {}

    JournalPort& journal;
    OutletPort& outlet;
    FeedPort& feed;

    bool replaying = false;
    std::map<PersonId, Person> people;
    std::map<BoutId, Typed> typed;  // bouts in no plan
    bool aside_stale = false;       // the view of it is to be made anew, once in a batch
    CallList call_list;             // as last published; its mats in order
    bool call_list_stale = false;   // the same of it
    bool in_batch = false;          // committed() is not through
    // -- who may come in (access.cpp)
    bool anyone = false;              // may do anything
    std::map<DeviceId, Hash> keys;    // decided: of the devices that were ever let in
    Hash door_salt{};                 // what the digits hang on as well
    std::multiset<DeviceId> leaving;  // decided: shut out, but not on the disk yet
    std::map<SessionId, AtDoor> at_door;
    std::map<DeviceId, std::string> hands;  // as they said last
    Duration rights_last{3U * 24 * 60 * 60 * 1000};
    struct OneTimeCode {
        Hash hash{};
        unsigned guesses = 0;
    };
    std::optional<OneTimeCode> one_time;
    std::map<SessionId, Greeted> sessions;
    std::set<SessionId> table_sessions;
    // Who has seen records that this journal has not, and how many: looked at with every command.
    std::map<SessionId, std::uint32_t> missing;
    std::map<std::uint32_t, OpenAsk> asks;
    std::uint32_t last_ask = 0;
    std::deque<Waiting> waiting;
    struct ToCheck {
        std::vector<BoutId> bouts;
        std::vector<RunId> runs;
        void each_once();
    } to_check;
    Hub::Tallies tallies;
    Mirrored mirror;
    std::string damage;  // of the journal, in words; empty: none was found
    PublicNames public_names = PublicNames::full;

    // -- records (recording.cpp)
    struct Asker {
        SessionId session;
        std::uint32_t request = 0;
    };
    void record(Fact fact, Verdict verdict, std::optional<Asker> asker, Instant now,
                std::vector<Beside> beside = {});
    std::size_t decide(const Record& record);  // at once: orders what comes next
    void decide_call(const Record& record, const Call& call);
    void commit(Waiting& waiting);  // once on the disk: what people may see
    void commit_taken(const Waiting& waiting, const MatTaken& taken);
    void commit_freed(const Waiting& waiting, const MatFreed& freed);
    void commit_call(const Waiting& waiting, const Call& call);
    void touched(const Fact& fact, int by);
    void check_equal();      // what was committed since it was asked last
    void check_all() const;  // everything, once after a replay
    void check(const BoutLog& bout) const;
    void check(const KnownRun& run) const;

    // -- results (results.cpp)
    // What a bout's calls would be with those of the decision: they go behind what it has, and
    // those that can't be there don't count.
    struct Taken {
        std::vector<Call> calls;
        std::size_t counted = 0;  // of the decision's own calls
        std::string problem;      // against the first that does not count
    };
    Taken taken(const BoutLog& log, const SetAsideDecided& decision) const;
    std::vector<SetAsideDecided::RunJoined> joined(const BoutLog& log,
                                                   const std::vector<CallId>& calls) const;
    std::size_t take_aside(const SetAsideDecided& decision);
    void commit_aside(const Waiting& waiting, const SetAsideDecided& decision);
    void commit_result(const Waiting& waiting, const ResultEntered& entered);
    void commit_moved(const Waiting& waiting, const RecordMoved& moved);
    // After a call, or calls that count now: what the bout's own calls say of its result.
    void settle(BoutLog& log, const Record& record, bool confirmed_anew);
    // What was confirmed last is what this hub's fold makes of the calls.
    bool as_folded(const BoutLog& log, std::span<const Call> calls) const;
    void tell(const Finished& item);  // and keep what was told
    void tell(const Reopened& item);
    void tell(const Renamed& item);
    void tell_again();  // all of it, after a start from a checkpoint
    Finished told_again(const ToldItem& item, const ToldResult& result) const;
    Finished finished(BoutLog& log, const Record& record, ResultFrom from);
    Reopened reopened(BoutLog& log, const Record& record);
    void settle_names();
    void stand(BoutLog& log, std::optional<Result> result, const Record& record);

    // -- commands (commands.cpp)
    void hello(SessionId session, const Hello& hello, Instant now);
    void greet(SessionId session, const Hello& hello, bool let_in, Instant now);
    void compare_journals(const Hello& hello, Welcome& welcome);
    void subscribe(SessionId session, const Subscribe& wish);
    void take_mat(SessionId session, const TakeMat& wish, Instant now);
    void leave_mat(SessionId session, const LeaveMat& wish, Instant now);
    void submit(SessionId session, const Submit& submit, Instant now);
    bool again(SessionId session, const Call& call);  // seen before: answered
    void sit_down(SessionId session, const TakeMat& wish);
    void clock_measured(SessionId session, const ClockMeasured& measured);
    void run_clock(Greeted& session, const ClockMeasured& measured);
    void refuse(SessionId session, Cause reason, std::string words, std::uint32_t request = 0);
    void refuse_call(SessionId session, Cause reason, std::string words, CallId call);

    // -- the desk (desk_commands.cpp)
    bool is_desk(SessionId session, std::uint32_t request);
    // The bout, if the desk may write it now; else nothing, and it was refused.
    BoutLog* for_desk(SessionId session, BoutId bout, std::uint32_t request);
    bool desk_may_write(const BoutLog& log) const;
    void open_bout(SessionId session, const OpenBout& wish);
    void decide_set_aside(SessionId session, const DecideSetAside& wish, Instant now);
    void enter_result(SessionId session, const EnterResult& wish, Instant now);
    void move_record(SessionId session, const MoveRecord& wish, Instant now);
    void give_back(SessionId session, const GiveBack& wish, Instant now);
    void hand_in(SessionId session, const HandIn& wish, Instant now);
    void decide_handed_in(const Record& record, const CallsHandedIn& fact);
    void commit_handed_in(const Waiting& waiting, const CallsHandedIn& fact);
    bool as_the_desk_saw(SessionId session, BoutId bout, RecordNumber changed,
                         std::uint32_t request);
    std::string not_known_who(const BoutLog& log) const;
    bool names_settled(const BoutEntry& entry) const;
    bool knows_who(SessionId session, const BoutLog& log, std::uint32_t request);
    void done(const Waiting& waiting, std::string words);

    // -- people (people.cpp)
    Subscribe with_names_for(const Greeted& session, Subscribe wish) const;
    void erase_person(SessionId session, const ErasePerson& wish, Instant now);
    struct No {
        Cause reason{};
        std::string words;
    };
    std::optional<No> cannot_erase(const PersonErased& erased) const;
    bool stands_in(const BoutLog& log, PersonId person) const;
    std::vector<PeopleFound::One> people_like(std::string_view words) const;
    void find_people(SessionId session, const FindPeople& wish);
    void commit_erased(const Waiting& waiting, const PersonErased& erased);
    // -- who may come in (access.cpp)
    void know_key(std::string_view device, std::string_view hash);
    bool may_come_in(const Hello& hello, const Hash& key, Instant now) const;
    bool has(DeviceId device, Right right, Instant now) const;
    bool still_let_in(SessionId session, Instant now);
    MatId only_mat(const Hello& hello) const;  // that this table may take; 0: any
    void make_room_at_the_door();
    void turn_liars_away(DeviceId device);
    void renew(const Hello& hello, Instant now);
    void knock(SessionId session, Hello hello, const Hash& key, Instant now);
    void use_code(SessionId session, const UseCode& wish, Instant now);
    void let_in(SessionId session, const LetIn& wish, Instant now);
    void shut_out(SessionId session, const ShutOut& wish, Instant now);
    bool keeps_the_door(SessionId session, Right right, std::uint32_t request);
    void decide_let_in(const DeviceLetIn& fact);
    void decide_shut_out(const DeviceShutOut& fact);
    void commit_let_in(const Waiting& waiting, const DeviceLetIn& fact);
    void commit_shut_out(const Waiting& waiting, const DeviceShutOut& fact);
    void lose_mats(const Waiting& waiting, DeviceId device, MatId but);
    void publish_door();

    // -- asking (asking.cpp)
    void ask(SessionId session, const Ask& wish, Instant now);
    void answer(SessionId session, const AnswerAsk& wish);
    void tell_open_asks(SessionId session);
    void forget_asks_of(SessionId session);
    bool is_asked(const OpenAsk& open, const Greeted& session) const;

    // -- what people see (views.cpp)
    Conditions under(const BoutLog& bout) const;
    std::span<const Call> committed_calls(const BoutLog& bout) const;
    const SoFar& so_far(const BoutLog& bout) const;      // of the committed calls
    const SoFar& all_so_far(const BoutLog& bout) const;  // of all, for what comes next
    Seat seat(const Slot& slot) const;
    void sit(Seat& seat, PersonId person) const;
    BoutHead listed(const BoutLog& bout) const;  // as drawn
    BoutHead head(const BoutLog& bout) const;    // as they stand: names may be exchanged
    std::int64_t to_hub_ms(RunId run) const;
    std::int64_t timeline_to_hub_ms(const BoutLog& bout) const;
    TableLine line(MatId id) const;
    // How a bout stands: by its calls; or, where the desk has put its result right or taken it
    // away, by that.
    struct Stands {
        bool as_called = true;
        Phase phase = Phase::waiting;
        std::string words;
    };
    Stands stands(const BoutLog& bout) const;
    std::vector<FrameShown> frames_shown(const BoutLog& bout) const;
    MatView view(MatId id) const;
    BoutGiven given(const BoutLog& bout) const;  // without its calls
    void put_calls(const BoutLog& bout, BoutGiven& given, Allotment& allotment) const;
    Allotment allotment(MatId id) const;
    void publish(MatId id);
    void publish_all();
    void give_allotment(MatId id);  // once the batch is through
    void give_stale_allotments();
    bool waits_its_turn(const BoutLog& bout) const;
    std::span<const BoutId> still_to_come(const Mat& mat) const;
    std::span<const BoutId> waiting_for(BoutId bout) const;
    bool begun_after(BoutId bout) const;
    void tell_mats_waiting_for(BoutId bout);

    // -- and what only some do (views_of_the_hall.cpp)
    CallList::OnMat called(MatId id, const MatView& view) const;
    void publish_call_list();
    void publish_tables();
    std::uint32_t most_missing() const;
    void publish_set_aside();
};

}  // namespace honbu

// The hub's judgement-free middle: who is in charge of which mat, what was recorded, who hears it.
//
// Knows judo only through engine/; knows no sockets, disk, threads or clock: time is an argument,
// the world is three ports. From the holder of the current term it checks form, right and order of
// a call, and records it with one lasting verdict. Nothing is said about a record before
// committed() names it. One thread (the hub's).
#pragma once

#include <array>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "engine/competition/progress.h"
#include "hub/core/checkpoint.h"
#include "hub/core/message.h"
#include "hub/core/ports.h"
#include "hub/core/sheet.h"

namespace honbu {

struct Person {
    PersonId id;
    std::string name;
    std::string club;
};

// What `honbu serve --competition FILE` loads: the recorded part and the names beside it.
struct Competition {
    CompetitionLoaded loaded;
    std::vector<Person> people;
};

// Of a code as a person types it: capitals or not, with or without blanks and hyphens.
Hash code_hash(std::string_view typed);

// What is answered while nothing can be kept.
Refusal no_room_for(const Command& command);

class Hub {
public:
    Hub(JournalPort& journal, OutletPort& outlet, FeedPort& feed);
    ~Hub();

    // -- starting: replay what is kept, or begin an epoch; then load a competition if there is none
    // Returns a sentence if the record can't follow what came before it. Nothing is sent yet.
    std::string replay(std::string_view record_bytes);
    // The same for whoever has worked out the record's hash already.
    std::string replay(std::string_view record_bytes, const Hash& hash);
    void replay_beside(std::string_view key, std::string_view value);
    // All of that up to one record at once, before any other; but for what is beside the records,
    // which comes first. Returns why not, and has taken nothing then. checkpoint.h says what it is.
    std::string from_checkpoint(std::string_view bytes, const CheckpointFor& by);
    void replayed();  // publishes every view once
    void begin(Epoch epoch, std::uint32_t rehearsal_rate, Instant now);
    // The journal is a copy of another and goes on as a journal of its own: no mat has a table.
    void begin_again(Epoch epoch, Instant now);
    void load(const Competition& competition, Instant now);
    // With no hub running: why not, for people; empty: it is on its way to the journal.
    std::string erase(const PersonErased& erased, Instant now);

    void show_publicly(PublicNames names);  // from the start on

    // -- who may come in; without this nobody who is not let in does more than look
    void let_anyone_score();            // no right is checked: for rehearsals, tests and tools
    void rights_last(Duration by_hub);  // of those given from now on, in hub time
    // The one-time code that gives the first desk its right, as a hash (access.cpp: code_hash).
    void expect_code(const Hash& hash);
    void salt_door(const Hash& salt);  // random: digits shown at the door can't be chosen
    bool has_desk(Instant now) const;  // some device has that right
    bool expects_code() const;         // not used up yet, by use or by guessing

    // -- doors
    void command(SessionId session, const Command& command, Instant now);
    void left(SessionId session);
    void committed(RecordNumber number);
    void mirrored(const Mirrored& now);              // how the second copy stands: the desk is told
    void journal_damaged(const std::string& words);  // in a part long past: the desk is told
    void no_room();  // the disk is full: every table is told, and keeps its calls

    // -- what main and the tools ask
    const Mirrored& mirror() const;
    bool would_record(SessionId session, const Command& command) const;
    bool has_epoch() const;
    bool has_competition() const;
    bool same_competition(const Competition& competition) const;  // as the one loaded
    Epoch epoch() const;
    std::uint32_t rehearsal_rate() const;
    const std::string& title() const;
    const CompetitionLoaded* loaded() const;  // nothing: none yet
    PublicNames public_names() const;
    RecordNumber last_committed() const;
    Instant last_received() const;    // hub time goes on from here after a restart
    std::string state_bytes() const;  // canonical: every bout's state, for honbu replay
    std::string summary() const;      // one line a bout, for people
    // Nothing while something waits for the disk.
    std::optional<std::string> checkpoint(const CheckpointFor& by) const;
    std::optional<BoutSheet> sheet(BoutId bout) const;
    // Whose number it is, or with this in the name or the club; empty: all.
    std::vector<PeopleFound::One> people(std::string_view words) const;

    // Since this process started; the replay does not count.
    struct Tallies {
        std::array<std::uint64_t, 4> verdicts{};  // by Verdict; [0]: refused, nothing recorded
    };
    const Tallies& tallies() const;
    // So many records somebody has seen which this journal does not have: its end was lost.
    std::uint32_t missing() const;
    std::array<std::size_t, 6> connected() const;  // that have said hello, by Role
    std::size_t at_the_door() const;

private:
    struct Inside;
    std::unique_ptr<Inside> in_;
};

}  // namespace honbu

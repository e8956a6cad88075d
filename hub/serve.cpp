#include "hub/serve.h"

#include <algorithm>
#include <iostream>
#include <memory>
#include <optional>
#include <variant>
#include <vector>

#include <spdlog/spdlog.h>
#include <sys/random.h>

#include "engine/record/canon.h"
#include "hub/attendance.h"
#include "hub/certificates/folder.h"
#include "hub/checkpointing.h"
#include "hub/clock.h"
#include "hub/core/hub.h"
#include "hub/desk_code.h"
#include "hub/entrances.h"
#include "hub/feed/feed.h"
#include "hub/greeting.h"
#include "hub/insist.h"
#include "hub/journal/journal.h"
#include "hub/journal/reader.h"
#include "hub/mirroring.h"
#include "hub/net/net.h"
#include "hub/open_answers.h"
#include "hub/replay_kept.h"
#include "hub/running.h"
#include "hub/serve_options.h"
#include "hub/timed_journal.h"
#include "hub/version.h"
#include "hub/words/how_many.h"

namespace honbu {
namespace {

Epoch fresh_epoch() {
    Epoch epoch;
    INSIST(getrandom(&epoch.value, sizeof epoch.value, 0) == sizeof epoch.value);
    return epoch;
}

Hash random_hash() {
    Hash hash{};
    INSIST(getrandom(hash.data(), hash.size(), 0) == static_cast<ssize_t>(hash.size()));
    return hash;
}

constexpr std::uint64_t stuck_us = 30'000'000;  // what waits so long for the disk is stuck

// The parts, in the order in which they need each other; they go in the reverse order.
class Serving {
public:
    explicit Serving(const ServeOptions& options) : options_(options), net_(doors()), feed_(net_) {}

    OrFault<void> open();
    void run() { net_.run(); }  // until a signal
    void close();

private:
    Doors doors();
    void command(SessionId session, const Command& command);
    OrFault<void> replay();
    std::vector<std::string> records(RecordNumber after, std::size_t limit);
    OrFault<void> start_clock();
    void committed(RecordNumber number);
    void greet_once_kept();
    void start_mirror();
    void start_checkpointing();
    void attend();
    void make_results();

    const ServeOptions& options_;
    Net net_;
    Feed feed_;
    std::unique_ptr<Journal> journal_;
    std::unique_ptr<JournalReader> reader_;  // goes first, so that the file is tidied
    std::string audit_trouble_;              // as told last
    std::optional<TimedJournal> timed_;
    std::optional<Hub> hub_;
    std::optional<HubClock> clock_;
    std::optional<DeskCode> desk_code_;
    std::optional<OpenAnswers> answers_;
    std::unique_ptr<Mirroring> mirroring_;
    Entrances entrances_;
    std::unique_ptr<Attendance> attendance_;  // from the moment people are let in
    RecordNumber from_checkpoint_;            // 0: all records were read
    std::unique_ptr<Checkpointing> checkpointing_;
    RecordNumber appended_;  // by the start itself
    bool greeted_ = false;
    bool room_ = true;  // on the disk
};

Doors Serving::doors() {
    Doors doors;
    doors.command = [this](SessionId session, const Command& what) { command(session, what); };
    doors.left = [this](SessionId session) { hub_->left(session); };
    doors.take = [this](SessionId session, std::size_t limit, Flavour flavour) {
        return feed_.take(session, limit, flavour);
    };
    doors.readiness = [this] { return Readiness{hub_->epoch(), hub_->last_committed(), room_}; };
    doors.document = [this](const Wish& wish) { return answers_->document(wish); };
    doors.no_events = [this](const EventsWish& wish) { return answers_->no_events(wish); };
    doors.follow_events = [this](SessionId session, const EventsWish& wish) {
        return answers_->follow_events(session, wish);
    };
    doors.date = [] { return http_date(); };
    doors.log = log_lines("net", LogLevel::info);
    return doors;
}

// What would become a record is refused while the disk is full: it uses up no number, and the table
// keeps it and sends it again.
void Serving::command(SessionId session, const Command& what) {
    desk_code_->before(what);
    if ((!room_ || journal_->crowded()) && hub_->would_record(session, what)) {
        net_.reply(session, no_room_for(what));
        return;
    }
    const std::uint32_t missing = hub_->missing();
    hub_->command(session, what, clock_->now());
    desk_code_->after(what);
    if (hub_->missing() == missing) return;
    spdlog::error("A page or table has seen {} records more of this journal than are in {}: its "
                  "end was lost, as when a machine is set back to an older copy. Tables keep their "
                  "calls and send them again; look at the results of the last minutes.",
                  hub_->missing(), options_.data.string());
}

OrFault<void> Serving::open() {
    if (const auto checked = check_entrances(options_); !checked) return checked;
    if (const auto checked = check_title(options_); !checked) return checked;
    if (options_.competition.empty() && !options_.rules.empty()) {
        return Fault{"--rules is for loading a competition file; give --competition as well, or "
                     "leave --rules out: a competition that is loaded keeps its rules."};
    }
    std::optional<Competition> competition;
    if (!options_.competition.empty()) {
        auto read = load_competition(options_);
        if (!read) return read.error();
        competition = std::move(*read);
    }

    JournalEvents events;
    events.committed = [this](RecordNumber number) {
        net_.post([this, number] { committed(number); });
    };
    events.room = [this](bool room) {
        net_.post([this, room] {
            room_ = room;
            if (!room) hub_->no_room();
        });
    };
    events.log = log_lines("journal", LogLevel::warning);
    if (const auto checked = check_mirror(options_); !checked) return checked;
    const auto copied = take_copy(options_);
    if (!copied) return copied.error();
    const bool from_copy = *copied;
    auto doors = entrances(options_, static_cast<std::int64_t>(wall_ms() / 1'000));
    if (!doors) return doors.error();
    entrances_ = std::move(*doors);
    auto journal = Journal::open(options_.data, std::move(events), from_copy);
    if (!journal) return journal.error();
    journal_ = std::move(*journal);
    log_to_file_too(options_.log, options_.data);
    timed_.emplace(*journal_, &steady_us);
    hub_.emplace(*timed_, net_, feed_);
    hub_->show_publicly(options_.public_names);
    feed_.show_publicly(options_.public_names);
    desk_code_.emplace(options_.data, *hub_);
    hub_->salt_door(random_hash());
    if (options_.anyone_may_score) hub_->let_anyone_score();
    constexpr std::uint32_t day_ms = 24U * 60 * 60 * 1000;
    const std::uint64_t lasting = std::uint64_t{options_.let_in_days} * day_ms *
                                  options_.rehearsal_rate;
    hub_->rights_last(
        Duration{static_cast<std::uint32_t>(std::min<std::uint64_t>(lasting, 40ULL * day_ms))});
    if (const auto replayed = replay(); !replayed) return replayed;

    if (const auto open = take_ports(net_, entrances_); !open) return open;
    appended_ = hub_->last_committed();
    if (const auto started = start_clock(); !started) return started;
    if (competition && hub_->has_competition()) {
        const auto fits = check_loaded(options_, *competition, *hub_);
        if (!fits) return fits;
    }
    if (from_copy) {
        hub_->begin_again(fresh_epoch(), clock_->now());
        ++appended_.value;
    }
    answers_.emplace(OpenAnswers::Parts{*hub_, feed_, net_, *timed_,
                                        [this] { return clock_->now(); }, [this] { return room_; },
                                        options_.data, entrances_.identity.until_unix_s},
                     wall_ms());
    if (competition && !hub_->has_competition()) {
        hub_->load(*competition, clock_->now());
        ++appended_.value;
    }
    net_.post([this] { greet_once_kept(); });
    net_.post([this] { make_results(); });
    return {};
}

// Those of the replay, a few at a time between all else.
void Serving::make_results() {
    if (feed_.make_some_results()) net_.post([this] { make_results(); });
}

void Serving::committed(RecordNumber number) {
    timed_->committed(number, [this](std::uint64_t us) { answers_->commit_took(us); });
    hub_->committed(number);
    if (mirroring_) mirroring_->committed(number);
    if (checkpointing_) checkpointing_->committed(number);
    if (!greeted_) greet_once_kept();
}

// Nobody is let in, and nothing is said, before what is shown then is on the disk.
void Serving::greet_once_kept() {
    if (greeted_ || hub_->last_committed() < appended_) return;
    greeted_ = true;
    if (!options_.mirror.empty()) start_mirror();
    start_checkpointing();
    net_.let_in();
    Greeting greeting;
    greeting.title = hub_->title();
    greeting.competition = hub_->loaded();
    greeting.data = options_.data;
    greeting.kept = hub_->last_committed();
    greeting.rehearsal_rate = options_.rehearsal_rate;
    greeting.entrances = &entrances_;
    greeting.anyone = options_.anyone_may_score;
    if (!options_.anyone_may_score)
        greeting.desk_code = desk_code_->for_the_terminal(hub_->has_desk(clock_->now()));
    attend();
    std::cout << text(greeting) << std::flush;
    spdlog::info("Honbu {} has begun with {} and listens at {}:{}.", version,
                 how_many(greeting.kept.value, "record", "records"), entrances_.hall.ip,
                 entrances_.hall.port);
}

void Serving::attend() {
    Attendance::Parts parts;
    parts.data = options_.data;
    parts.url = own_url(entrances_.identity.given(), entrances_.hall.ip, entrances_.hall.port);
    parts.settings = options_.settings;
    parts.service.post = [this](std::function<void()> work) { net_.post(std::move(work)); };
    // While there is no room the journal tries again each second, and says so.
    parts.service.gets_on = [this] { return !room_ || timed_->longest_us() < stuck_us; };
    parts.service.status = [this] {
        return how_many(hub_->last_committed().value, "record", "records") + " kept" +
               (room_ ? "." : "; nothing can be kept now: the disk is full, or not free.");
    };
    attendance_ = std::make_unique<Attendance>(std::move(parts));
}

void Serving::start_mirror() {
    Mirroring::Parts parts;
    parts.post = [this](std::function<void()> work) { net_.post(std::move(work)); };
    parts.show = [this](const Mirrored& now) { hub_->mirrored(now); };
    parts.log = log_lines("mirror", LogLevel::warning);
    parts.now_us = &steady_us;
    // On the mirror's thread: the spare that goes on from it shows its own pair.
    parts.beside = [this] { return copy_certificates(options_.data, options_.mirror); };
    mirroring_ = std::make_unique<Mirroring>(options_.data, options_.mirror, std::move(parts));
    mirroring_->committed(hub_->last_committed());
}

void Serving::start_checkpointing() {
    Checkpointing::Parts parts;
    parts.log = [](const std::string& line) { spdlog::warn(line); };
    parts.damaged = [this](const std::string& words) {
        spdlog::error("{} This hub has what it needs and goes on; but it can't be started again on "
                      "this journal. Make sure of a mirror, and go on from there in a pause.",
                      words);
        net_.post([this, words] { hub_->journal_damaged(words); });
    };
    checkpointing_ = std::make_unique<Checkpointing>(options_.data, from_checkpoint_,
                                                     hub_->last_committed(), std::move(parts));
}

// What was acknowledged last is in the mirror too, if it can be written.
void Serving::close() {
    attendance_.reset();
    reader_.reset();
    if (checkpointing_) checkpointing_->close();
    journal_->close();
    if (checkpointing_) checkpointing_->keep(*hub_);
    if (!mirroring_) return;
    mirroring_->close();
    // The mirror read to the last, so the journal could not be made one file. Now it can.
    timed_.reset();
    journal_.reset();
    if (auto file = JournalFile::open(options_.data)) (*file)->close();
}

OrFault<void> Serving::replay() {
    const auto from = replay_kept(*hub_, options_.data,
                                  [](const std::string& line) { spdlog::warn(line); });
    if (!from) return from.error();
    from_checkpoint_ = *from;
    feed_.sheets_from([this](BoutId bout) { return hub_->sheet(bout); });
    feed_.records_from(hub_->last_committed(), [this](RecordNumber after, std::size_t limit) {
        return records(after, limit);
    });
    return {};
}

// Older records for who audits, on a connection kept open. What can't be read is asked for again
// with the next record.
std::vector<std::string> Serving::records(RecordNumber after, std::size_t limit) {
    const auto failed = [this](const Fault& fault) {
        if (std::exchange(audit_trouble_, fault.words) != fault.words) spdlog::error(fault.words);
        return std::vector<std::string>();
    };
    if (!reader_) {
        auto opened = JournalReader::open(options_.data);
        if (!opened) return failed(opened.error());
        reader_ = std::move(*opened);
    }
    auto read = reader_->after(after, limit);
    if (!read) return failed(read.error());
    return std::move(*read);
}

OrFault<void> Serving::start_clock() {
    HubClock::Start start;
    start.now_wall_ms = wall_ms();
    start.begun_wall_ms = start.now_wall_ms;
    start.rate = options_.rehearsal_rate;
    if (!hub_->has_epoch()) {
        auto clock = HubClock::start(start);
        if (!clock) return clock.error();
        clock_ = *clock;
        journal_->begin(start.begun_wall_ms);
        hub_->begin(fresh_epoch(), options_.rehearsal_rate, clock_->now());
        ++appended_.value;
        return {};
    }
    const std::uint32_t rate = hub_->rehearsal_rate();
    if (rate != options_.rehearsal_rate) {
        return Fault{rate == 1
                         ? "The journal in " + options_.data.string() +
                               " is of a real competition, so it can't be rehearsed in. Leave "
                               "--rehearsal-rate out, or choose another --data folder."
                         : "The journal in " + options_.data.string() + " is of a rehearsal at " +
                               std::to_string(rate) +
                               " times the speed. Go on with --rehearsal-rate " +
                               std::to_string(rate) +
                               ", or choose another --data folder for the competition."};
    }
    const auto reader = JournalReader::open(options_.data);
    if (!reader) return reader.error();
    const auto begun = (*reader)->begun_wall_ms();
    if (!begun) return begun.error();
    start.begun_wall_ms = begun->value_or(start.now_wall_ms);
    start.has_last = true;
    start.last = hub_->last_received();
    auto clock = HubClock::start(start);
    if (!clock) return clock.error();
    clock_ = *clock;
    if (!clock_->follows_wall()) {
        spdlog::warn("This machine's clock says the competition began on {}, which can't be: times "
                     "go on from the last record instead. Set the clock when there is a pause.",
                     wall_text(start.begun_wall_ms));
    }
    return {};
}

}  // namespace

int serve(const ServeOptions& options) {
    log_as_told(options.log);
    for (const std::string& warning : options.warnings)
        spdlog::warn(warning);
    Serving serving(options);
    if (const auto opened = serving.open(); !opened) {
        std::cerr << opened.error().words << "\n";
        return 1;
    }
    serving.run();
    serving.close();
    spdlog::info("Stopped. Everything acknowledged is kept in {}.", options.data.string());
    return 0;
}

}  // namespace honbu

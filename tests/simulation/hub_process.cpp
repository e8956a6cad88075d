#include "tests/simulation/hub_process.h"

#include <algorithm>
#include <array>

#include "engine/record/canon.h"

#include "hub/core/nobody.h"
#include "hub/wire/wire.h"
#include "tests/simulation/hub_told.h"

namespace honbu::simulation {
namespace {

constexpr std::uint64_t tick_ms = 2'000;
constexpr int silent_ticks_max = 5;
constexpr int goodbye_ticks_max = 3;
constexpr std::size_t outbox_max = 4'096;
constexpr CheckpointFor made_by{"simulated", 1};

std::string_view kind_of(const Fact& fact) {
    constexpr std::array<std::string_view, std::variant_size_v<Fact>> kinds = {
        "epoch", "competition", "taken",  "call",     "freed",  "decision", "result",
        "moved", "given back",  "let in", "shut out", "erased", "handed in"};
    return kinds.at(fact.index());
}

}  // namespace

Instant HubTime::at(std::uint64_t now) const {
    const auto gone = static_cast<std::int64_t>(now - began);
    return Instant{first + static_cast<std::uint32_t>(gone + gone * drift_ppm / 1'000'000)};
}

// One connection, as hub/net has it.
struct HubProcess::Visitor final : Line::End {
    Visitor(HubProcess& of, SessionId session, std::shared_ptr<Line> its_line, std::size_t most)
        : process(of), id(session), line(std::move(its_line)), window(most) {
        to.session = session.value;
    }
    ~Visitor() override { line->attach(To::hub, nullptr); }

    void heard(const std::string& bytes) override {
        process.act([&] { process.heard(*this, bytes); });
    }
    void line_closed() override {
        process.act([&] { process.leave(*this); });
    }
    void can_write() override {
        process.act([&] { process.write(*this); });
    }

    HubProcess& process;
    SessionId id;
    std::shared_ptr<Line> line;
    std::size_t window;  // so many messages fit into the line before the writer waits
    Addressed to;
    int silent_ticks = 0;
    int goodbye_ticks = 0;
    bool finished = false;
};

HubProcess::HubProcess(Agenda& agenda, Disk& disk, Checker& checker, const Trace& trace,
                       HubTime time)
    : agenda_(agenda), disk_(disk), checker_(checker), trace_(trace), time_(time), feed_(*this) {}
HubProcess::~HubProcess() = default;

void HubProcess::act(const std::function<void()>& what) {
    if (dead_) return;
    try {
        what();
    } catch (const HubDies&) {
        dead_ = true;
        died();
    }
}

void HubProcess::step() {
    if (!steps_left_) return;
    if (*steps_left_ == 0) throw HubDies();
    --*steps_left_;
}

void HubProcess::start(const Competition& competition, Epoch epoch) {
    DiskEvents events;
    events.committed = [this](RecordNumber number) {
        act([&] {
            checker_.hub_told(number);
            hub_->committed(number);
            checker_.hub_through();
            let_in_once_kept();
        });
    };
    events.room = [this](bool room) {
        act([&] {
            room_ = room;
            if (!room) hub_->no_room();
        });
    };
    events.failed = [this] { act([] { throw HubDies(); }); };
    disk_.serve(std::move(events));
    hub_ = std::make_unique<Hub>(*this, *this, feed_);
    hub_->let_anyone_score();
    replay(*hub_, true);
    compare_with_whole();
    checker_.hub_began(hub_->last_committed());
    checker_.hub_state(hub_->state_bytes(), "a restart");
    hub_->replayed();
    feed_.sheets_from([this](BoutId bout) { return hub_->sheet(bout); });
    feed_.records_from(hub_->last_committed(), [this](RecordNumber after, std::size_t limit) {
        return records(after, limit);
    });
    time_.first = std::max(time_.first, hub_->last_received().ms + 1);
    appended_ = hub_->last_committed();
    act([&] {
        if (!hub_->has_epoch()) {
            hub_->begin(epoch, 1, now());
        } else if (hub_->epoch() != epoch) {
            hub_->begin_again(epoch, now());
        }
        if (!hub_->has_competition()) hub_->load(competition, now());
        must_be_kept_ = appended_;
        let_in_once_kept();
    });
    agenda_.in(tick_ms, life_.while_alive([this] { act([this] { tick(); }); }));
}

// With its checkpoint, if it has one that fits, as hub/replay_kept.cpp does it.
void HubProcess::replay(Hub& hub, bool with_checkpoint) const {
    for (const Disk::Kept& row : disk_.kept()) {
        for (const Beside& beside : row.beside)
            hub.replay_beside(beside.key, beside.value);
    }
    const auto hold = [](const std::string& wrong) {
        if (!wrong.empty()) throw Broken("same journal, same state: the hub says " + wrong);
    };
    std::size_t from = 0;
    if (with_checkpoint && !disk_.checkpoint.empty()) {
        const auto read = read_checkpoint(disk_.checkpoint, made_by);
        if (const auto* no = std::get_if<std::string>(&read)) hold(*no);
        const auto& checkpoint = std::get<Checkpoint>(read);
        const std::size_t number = checkpoint.number.value;
        if (number <= disk_.kept().size() &&
            sha256(disk_.kept()[number - 1].bytes) == checkpoint.hash) {
            hold(hub.from_checkpoint(disk_.checkpoint, made_by));
            from = number;
            trace_.line("hub", "starts from its checkpoint, record " + std::to_string(from));
        }
    }
    for (; from < disk_.kept().size(); ++from)
        hold(hub.replay(disk_.kept()[from].bytes));
}

// A checkpoint is a cache: with it or without, the hub is the same to the byte.
void HubProcess::compare_with_whole() const {
    Nobody nobody;
    Hub whole(nobody, nobody, nobody);
    replay(whole, false);
    if (hub_->checkpoint(made_by) != whole.checkpoint(made_by) ||
        hub_->state_bytes() != whole.state_bytes()) {
        throw Broken("same journal, same state: from its checkpoint the hub has another one");
    }
}

// A checkpoint of any moment and what came after it make the same hub as all records.
void HubProcess::compare_checkpoints(std::size_t step) const {
    const auto whole = hub_->checkpoint(made_by);
    Nobody nobody;
    Hub grows(nobody, nobody, nobody);
    const auto& kept = disk_.kept();
    for (std::size_t i = 0; i < kept.size(); ++i) {
        grows.replay(kept[i].bytes);
        if (i % step != 0) continue;
        disk_.checkpoint = grows.checkpoint(made_by).value();
        Hub from(nobody, nobody, nobody);
        replay(from, true);
        if (from.checkpoint(made_by) != whole || from.state_bytes() != hub_->state_bytes()) {
            throw Broken("same journal, same state: from a checkpoint of record " +
                         std::to_string(i + 1) + " it is another one");
        }
    }
}

// Older records, as the journal's reader gives them.
std::vector<std::string> HubProcess::records(RecordNumber after, std::size_t limit) const {
    std::vector<std::string> out;
    for (std::size_t i = after.value; i < disk_.kept().size() && out.size() < limit; ++i)
        out.push_back(disk_.kept()[i].bytes);
    return out;
}

void HubProcess::let_in_once_kept() {
    if (!lets_in_ && hub_->last_committed() >= must_be_kept_) lets_in_ = true;
}

bool HubProcess::all_told() const {
    const Feed::Lag lag = feed_.lag();
    return lag.views == 0 && lag.results == 0 && lag.records == 0;
}

void HubProcess::accept(const std::shared_ptr<Line>& line, std::size_t window) {
    ++last_session_.value;
    auto visitor = std::make_unique<Visitor>(*this, last_session_, line, window);
    line->attach(To::hub, visitor.get());
    visitors_[last_session_] = std::move(visitor);
}

// -- what clients say

void HubProcess::heard(Visitor& visitor, const std::string& bytes) {
    visitor.silent_ticks = 0;
    if (visitor.finished) return;
    const auto command = from_wire(bytes);
    if (const auto* fault = std::get_if<WireFault>(&command)) {
        throw Broken("the wire reads what clients write: " + fault->words);
    }
    this->command(visitor, std::get<Command>(command));
    write(visitor);
}

// As `honbu serve` does: what would become a record is refused while nothing can be kept.
void HubProcess::command(Visitor& visitor, const Command& command) {
    step();
    const auto* submit = std::get_if<Submit>(&command);
    if (submit != nullptr) visitor.to.last_submitted = submit->call;
    if (const auto* hello = std::get_if<Hello>(&command)) visitor.to.hello = *hello;
    if (const auto* wish = std::get_if<Subscribe>(&command)) {
        checker_.subscribed(visitor.id.value, wish->results_after, wish->audit_after);
    }
    if (!room_ && hub_->would_record(visitor.id, command)) {
        reply(visitor.id, no_room_for(command));
        return;
    }
    const bool must_refuse = submit != nullptr &&
                             checker_.must_refuse(visitor.to.hello.device, submit->call);
    const std::uint64_t refused_before = refused_;
    const std::size_t rows_before = checker_.rows();
    hub_->command(visitor.id, command, now());
    const bool refused = refused_ != refused_before;
    checker_.one_command(rows_before, refused);
    const auto* take = std::get_if<TakeMat>(&command);
    if (take != nullptr && take->term != Term{} && !take->take_over) {
        checker_.came_back(take->mat, take->term, rows_before);
    }
    if (must_refuse && !refused) checker_.not_refused(submit->call);
}

void HubProcess::leave(Visitor& visitor) {
    const SessionId id = visitor.id;
    visitor.line->close_from(To::hub);
    checker_.session_left(id.value);
    hub_->left(id);
    visitors_.erase(id);
}

// -- what the core asks

void HubProcess::append(RecordNumber number, std::string bytes, std::vector<Beside> beside) {
    step();
    appended_ = number;
    if (trace_.on()) {
        const auto record = decode_record(bytes);
        trace_.line("hub", "writes record " + std::to_string(number.value) + ", " +
                               std::string(kind_of(record->fact)) + " from device " +
                               std::to_string(record->device.value));
    }
    disk_.append({number, std::move(bytes), std::move(beside)});
    step();
}

void HubProcess::reply(SessionId to, const Reply& reply) {
    step();
    if (std::holds_alternative<Refusal>(reply)) ++refused_;
    const auto found = visitors_.find(to);
    if (found == visitors_.end()) return;
    Visitor& visitor = *found->second;
    if (visitor.finished) return;
    if (visitor.line->under_way(To::client) > outbox_max) {
        say_goodbye(visitor, Goodbye{Cause::too_slow, "too slow", true});
        return;
    }
    send(visitor, std::make_shared<const std::string>(to_wire(reply)));
}

void HubProcess::close(SessionId session, const Goodbye& goodbye) {
    step();
    const auto found = visitors_.find(session);
    if (found != visitors_.end()) say_goodbye(*found->second, goodbye);
}

void HubProcess::say_goodbye(Visitor& visitor, const Goodbye& goodbye) {
    if (visitor.finished) return;
    send(visitor, std::make_shared<const std::string>(to_wire(Reply(goodbye))));
    visitor.finished = true;
}

// Not at once: the core may be in the middle of something.
void HubProcess::ring(SessionId session) {
    step();
    agenda_.in(0, life_.while_alive([this, session] {
        act([&] {
            const auto found = visitors_.find(session);
            if (found != visitors_.end()) write(*found->second);
        });
    }));
}

void HubProcess::write(Visitor& visitor) {
    while (!visitor.finished && visitor.line->under_way(To::client) < visitor.window) {
        const std::size_t room = visitor.window - visitor.line->under_way(To::client);
        const auto all = feed_.take(visitor.id, room);
        if (all.empty()) return;
        for (const Shared& bytes : all)
            send(visitor, bytes);
    }
}

void HubProcess::send(Visitor& visitor, Bytes bytes) {
    step();
    tell_checker(checker_, visitor.to, *bytes);
    visitor.line->send(To::client, std::move(bytes));
}

// The sign of life, and the end of those that give none.
void HubProcess::tick() {
    std::vector<SessionId> gone;
    for (const auto& [id, visitor] : visitors_) {
        if (visitor->finished) {
            if (++visitor->goodbye_ticks > goodbye_ticks_max) gone.push_back(id);
        } else if (++visitor->silent_ticks > silent_ticks_max) {
            say_goodbye(*visitor, Goodbye{Cause::silent, "nothing heard", true});
        } else {
            send(*visitor, std::make_shared<const std::string>(to_wire(Reply(Heartbeat()))));
        }
    }
    for (const SessionId id : gone)
        leave(*visitors_.at(id));
    // Not by lot, so that evenings stay as they were.
    if (hub_->last_committed().value % 3 == 0) {
        disk_.checkpoint = hub_->checkpoint(made_by).value_or(disk_.checkpoint);
    }
    agenda_.in(tick_ms, life_.while_alive([this] { act([this] { tick(); }); }));
}

}  // namespace honbu::simulation

#include "tests/simulation/hub_process.h"

#include <algorithm>

#include "hub/wire/wire.h"

namespace honbu::simulation {
namespace {

constexpr std::uint64_t tick_ms = 2'000;
constexpr int silent_ticks_max = 5;
constexpr int goodbye_ticks_max = 3;
constexpr std::size_t outbox_max = 4'096;

}  // namespace

Instant HubTime::at(std::uint64_t now) const {
    const auto gone = static_cast<std::int64_t>(now - began);
    return Instant{first + static_cast<std::uint32_t>(gone + gone * drift_ppm / 1'000'000)};
}

// One connection, as hub/net has it.
struct HubProcess::Visitor final : Line::End {
    Visitor(HubProcess& of, SessionId session, std::shared_ptr<Line> its_line, std::size_t most)
        : process(of), id(session), line(std::move(its_line)), window(most) {}
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
    DeviceId device;
    std::optional<Call> last_submitted;
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

void HubProcess::start(const Competition& competition) {
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
    for (const Disk::Row& row : disk_.kept()) {
        for (const Beside& beside : row.beside)
            hub_->replay_beside(beside.key, beside.value);
    }
    for (const Disk::Row& row : disk_.kept()) {
        const std::string wrong = hub_->replay(row.bytes);
        if (!wrong.empty()) throw Broken("same journal, same state: the hub says " + wrong);
    }
    checker_.hub_began(hub_->last_committed());
    checker_.hub_state(hub_->state_bytes(), "a restart");
    feed_.sheets_from([this](BoutId bout) { return hub_->sheet(bout); });
    feed_.records_from(hub_->last_committed(), [this](RecordNumber after, std::size_t limit) {
        const auto& rows = disk_.kept();
        std::vector<std::string> out;
        for (std::size_t i = after.value; i < rows.size() && out.size() < limit; ++i)
            out.push_back(rows[i].bytes);
        return out;
    });
    hub_->replayed();
    time_.first = std::max(time_.first, hub_->last_received().ms + 1);
    appended_ = hub_->last_committed();
    act([&] {
        if (!hub_->has_epoch()) hub_->begin(Epoch{0xe0}, 1, now());
        if (!hub_->has_competition()) hub_->load(competition, now());
        must_be_kept_ = appended_;
        let_in_once_kept();
    });
    agenda_.in(tick_ms, life_.while_alive([this] { act([this] { tick(); }); }));
}

void HubProcess::let_in_once_kept() {
    if (!lets_in_ && hub_->last_committed() >= must_be_kept_) lets_in_ = true;
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
    if (submit != nullptr) visitor.last_submitted = submit->call;
    if (const auto* hello = std::get_if<Hello>(&command)) visitor.device = hello->device;
    if (const auto* wish = std::get_if<Subscribe>(&command)) {
        checker_.subscribed(visitor.id.value, wish->results_after);
    }
    if (!room_ && hub_->would_record(visitor.id, command)) {
        reply(visitor.id, no_room_for(command));
        return;
    }
    const bool must_refuse = submit != nullptr &&
                             checker_.must_refuse(visitor.device, submit->call);
    const std::uint64_t refused_before = refused_;
    hub_->command(visitor.id, command, now());
    if (must_refuse && refused_ == refused_before) checker_.not_refused(submit->call);
}

void HubProcess::leave(Visitor& visitor) {
    const SessionId id = visitor.id;
    visitor.line->close_from(To::hub);
    hub_->left(id);
    visitors_.erase(id);
}

// -- what the core asks

void HubProcess::append(RecordNumber number, std::string bytes, std::vector<Beside> beside) {
    step();
    appended_ = number;
    if (trace_.on()) {
        trace_.line("hub", "writes record " + std::to_string(number.value));
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
    tell_checker(visitor, *bytes);
    visitor.line->send(To::client, std::move(bytes));
}

void HubProcess::tell_checker(Visitor& visitor, const std::string& bytes) {
    struct Tell {
        Checker& checker;
        Visitor& visitor;
        void operator()(const Unreadable&) const {
            throw Broken("clients read what the wire writes: a message can't be read");
        }
        void operator()(const Welcome& m) const {
            checker.welcome_left(visitor.device, m.number, m.runs);
        }
        void operator()(const Allotment& m) const { checker.allotment_left(visitor.device, m); }
        void operator()(const VerdictGiven& m) const {
            checker.verdict_left(m.call, m.verdict, m.record, m.state_differs);
        }
        void operator()(const Refusal& m) const {
            if (!m.about_call || !visitor.last_submitted) return;
            if (visitor.last_submitted->id != m.call) return;
            const Refused why = m.reason == Cause::number_gap      ? Refused::gap
                                : m.reason == Cause::other_content ? Refused::other_content
                                                                   : Refused::something_else;
            checker.refusal_left(visitor.device, *visitor.last_submitted, why);
        }
        void operator()(const MatView& m) const { checker.view_left(m); }
        void operator()(const Finished& m) const {
            checker.result_left(visitor.id.value, {m.number, m.mat, described(m.bout), m.result,
                                                   m.words, m.confirmed});
        }
        void operator()(const ClockAnswer&) const {}
        void operator()(const MatLost&) const {}
        void operator()(const Heartbeat&) const {}
        void operator()(const Goodbye&) const {}
        void operator()(const Reopened&) const {}
        void operator()(const Asked&) const {}
        void operator()(const AskAnswered&) const {}
        void operator()(const Done&) const {}
        void operator()(const CallList&) const {}
        void operator()(const BoutSheet&) const {}
        void operator()(const Tables&) const {}
        void operator()(const SetAside&) const {}
        void operator()(const HeardRecord&) const {}
    };
    std::visit(Tell{checker_, visitor}, honbu::heard(bytes));
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
    agenda_.in(tick_ms, life_.while_alive([this] { act([this] { tick(); }); }));
}

}  // namespace honbu::simulation

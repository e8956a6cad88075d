// One life of the hub: the real core and feed, and bytes through the real wire, on the simulated
// network and disk. What net, journal and main do around them in the program stands here in small.
//
// A process may die at any step in which the core speaks to the world: HubDies then passes through
// the core's code, as a power cut would end it there. One thread.
#pragma once

#include <map>
#include <memory>
#include <optional>
#include <string>

#include "hub/core/hub.h"
#include "hub/feed/feed.h"
#include "hub/wire/heard.h"
#include "tests/simulation/disk.h"

namespace honbu::simulation {

struct HubDies {};

// Hub time: grows with the machine's clock, and after a restart goes on from the last record.
struct HubTime {
    std::uint64_t began = 0;  // virtual, of this process
    std::uint32_t first = 0;
    std::int32_t drift_ppm = 0;
    Instant at(std::uint64_t now) const;
};

class HubProcess final : public JournalPort, public OutletPort, public Bell {
public:
    HubProcess(Agenda& agenda, Disk& disk, Checker& checker, const Trace& trace, HubTime time);
    ~HubProcess() override;

    // Replays what is kept; what is missing is begun and loaded. Where the journal is of another
    // epoch it is a copy, and goes on as this one.
    void start(const Competition& competition, Epoch epoch);
    bool lets_in() const { return lets_in_; }
    // At the end: checkpoints of the records, each `step`th.
    void compare_checkpoints(std::size_t step) const;
    bool all_told() const;  // nothing waits for room in anybody's line
    // A connection; its handshake is done.
    void accept(const std::shared_ptr<Line>& line, std::size_t window);
    // It dies at this step from now, if it takes so many.
    void die_in(std::uint32_t steps) { steps_left_ = steps; }
    const Hub& hub() const { return *hub_; }
    Instant now() const { return time_.at(agenda_.now()); }

    // From now on it does nothing more, whatever is still on the agenda.
    void bury() { dead_ = true; }

    // Told when the process has died inside one of its own acts.
    std::function<void()> died;

    // -- ports
    void append(RecordNumber number, std::string bytes, std::vector<Beside> beside) override;
    void reply(SessionId to, const Reply& reply) override;
    void close(SessionId session, const Goodbye& goodbye) override;
    void ring(SessionId session) override;

private:
    // One connection, as hub/net has it.
    struct Visitor;
    void act(const std::function<void()>& what);
    void replay(Hub& hub, bool with_checkpoint) const;
    void compare_with_whole() const;
    void step();
    void heard(Visitor& visitor, const std::string& bytes);
    void command(Visitor& visitor, const Command& command);
    void leave(Visitor& visitor);
    void write(Visitor& visitor);
    void say_goodbye(Visitor& visitor, const Goodbye& goodbye);
    void send(Visitor& visitor, Bytes bytes);
    void tick();
    void let_in_once_kept();
    std::vector<std::string> records(RecordNumber after, std::size_t limit) const;

    Agenda& agenda_;
    Disk& disk_;
    Checker& checker_;
    const Trace& trace_;
    HubTime time_;
    Feed feed_;
    std::unique_ptr<Hub> hub_;
    std::map<SessionId, std::unique_ptr<Visitor>> visitors_;
    SessionId last_session_;
    RecordNumber appended_;
    RecordNumber must_be_kept_;  // before anybody is let in
    bool lets_in_ = false;
    bool room_ = true;
    bool dead_ = false;
    std::uint64_t refused_ = 0;
    std::optional<std::uint32_t> steps_left_;
    Mortal life_;
};

}  // namespace honbu::simulation

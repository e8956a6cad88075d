// A client's line to the hub: comes back by itself, says hello, gives signs of life.
//
// As clients/web/src/link.ts does it, with the same waits. One thread.
#pragma once

#include <memory>
#include <string>

#include "hub/wire/heard.h"
#include "hub/wire/wire.h"
#include "tests/simulation/line.h"
#include "tests/simulation/trace.h"

namespace honbu::simulation {

// Where the hub lives one life after the other, as a client sees it: a line, or nobody answers.
struct Door {
    virtual ~Door() = default;
    virtual std::shared_ptr<Line> connect(const Route& route, std::size_t window,
                                          Line::End& client) = 0;
};

// What everything in the hall needs.
struct Hall {
    Agenda& agenda;
    generate::Lots& lots;
    const Trace& trace;
    Door& door;
};

class Caller : public Line::End {
public:
    Caller(Hall& hall, const Route& route, std::string name)
        : hall_(hall), route_(route), name_(std::move(name)) {}
    ~Caller() override;

    void begin();  // once
    bool up() const { return welcomed_; }
    bool idle() const;
    void snap(std::uint32_t late_ms, bool nothing = false);
    std::size_t window = 8;  // messages the hub may have under way to it

    void heard(const std::string& bytes) override;
    void line_closed() override;
    void can_write() override {}

protected:
    virtual Hello hello() = 0;
    virtual void hear(const Heard& message, const std::string& bytes) = 0;
    virtual void down() {}
    virtual void each_second() {}
    virtual std::uint32_t ask_now() { return 0; }
    bool send(const Command& command);
    void say(const std::string& what) const { hall_.trace.line(name_, what); }
    void later(std::uint64_t ms, Agenda::Act act) {
        hall_.agenda.in(ms, life_.while_alive(std::move(act)));
    }
    void lose();

    Hall& hall_;

private:
    void open();
    void look();
    void ask();

    const Route& route_;
    std::string name_;
    std::shared_ptr<Line> line_;
    bool welcomed_ = false;
    bool waits_to_open_ = false;
    std::uint32_t tries_ = 0;
    std::uint64_t heard_at_ = 0;
    std::uint64_t spoke_at_ = 0;
    Mortal life_;
};

}  // namespace honbu::simulation

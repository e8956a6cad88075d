// A client's line to the hub: comes back by itself, says hello, gives signs of life, asks the time.
//
// With the waits of docs/protocol.md, sections 2 to 4, as clients/web/src/link.ts does it. Watches
// what holds on every line: the same journal, which never ends earlier than it did. One thread.
#pragma once

#include <memory>
#include <string>

#include "clients/sim/hall.h"
#include "hub/wire/heard.h"

namespace honbu::sim {

class Caller : private Line::End {
public:
    Caller(Hall& hall, std::string name) : hall_(hall), name_(std::move(name)) {}
    ~Caller() override = default;
    Caller(const Caller&) = delete;
    Caller& operator=(const Caller&) = delete;

    void begin();  // once
    void leave();  // for good
    bool up() const { return welcomed_; }
    bool live() const;  // and the hub was heard not long ago
    bool was_up() const { return welcomes_ > 0; }
    bool left() const { return left_; }
    const std::string& name() const { return name_; }

protected:
    virtual Hello hello() const = 0;
    virtual void hear(const Heard& message, const std::string& bytes) = 0;
    virtual void down() {}
    virtual void clock_known() {}  // better than before, or again
    virtual void each_second() {}

    bool send(const Command& command);
    std::uint64_t now_us() const { return hall_.loop.now_us(); }
    std::uint32_t rate() const { return rate_; }
    Instant hub_now() const;  // once a clock is known
    void saw(RecordNumber number);

    Hall& hall_;

private:
    void opened() override;
    void heard(const std::string& bytes) override;
    void gone(const std::string& why) override;
    void open();
    void lose();
    void look();
    void ask();
    void on_welcome(const Welcome& welcome);
    void on_answer(const ClockAnswer& answer);
    std::uint32_t ask_clock() const { return static_cast<std::uint32_t>(now_us() / 1'000); }

    const std::string name_;
    std::unique_ptr<Line> line_;
    bool open_ = false;  // what is sent goes out
    bool welcomed_ = false;
    bool waits_to_open_ = false;
    bool left_ = false;
    std::uint32_t tries_ = 0;
    std::uint64_t welcomes_ = 0;
    std::uint64_t heard_us_ = 0;
    std::uint64_t spoke_us_ = 0;

    Epoch epoch_;
    RecordNumber seen_;  // of that epoch, the last

    std::uint32_t rate_ = 1;
    std::uint64_t best_trip_us_ = 0;
    std::uint64_t middle_us_ = 0;  // on our clock, when the hub's said hub_then_
    Instant hub_then_;
};

}  // namespace honbu::sim

// A desk: follows everything, and decides by lot what people would decide.
//
// Each wish keeps its number until it is answered and is sent again over the next line; that what
// has changed meanwhile is refused makes this harmless. Where it puts a bout right it writes calls
// of its own, with a run and a joint. DeskStore is what survives the page. One thread.
#pragma once

#include <deque>
#include <map>
#include <optional>

#include "tests/simulation/caller.h"
#include "tests/simulation/following.h"

namespace honbu::simulation {

struct DeskStore {
    DeviceId device;
    std::uint32_t last_request = 0;
};

class DeskPage final : public Caller {
public:
    // Without a run it only decides.
    DeskPage(Hall& hall, const Route& route, Checker& checker, Who who, DeskStore& store, RunId run,
             Subscribe wish, std::uint32_t acts_share);
    void stop() { acting_ = false; }
    bool settled() const { return waiting_.empty() && !mine_; }
    const Following& following() const { return following_; }
    std::uint64_t decided() const { return decided_; }

protected:
    Hello hello() override;
    void hear(const Heard& message, const std::string& bytes) override;
    void each_second() override;
    std::uint32_t ask_now() override { return now().ms; }

private:
    struct Waiting {
        Command command;
        bool again = false;  // refused for now: the disk is full
    };
    struct Mine {  // a call of its own without an answer
        Call call;
        bool again = false;
    };
    Instant now() const { return Instant{static_cast<std::uint32_t>(hall_.agenda.now() - begun_)}; }
    void on_welcome(const Welcome& welcome);
    void on_refusal(const Refusal& refusal);

    // -- what it wishes for (desk_hands.cpp)
    void act();
    void decide();
    void enter_result();
    void move_record();
    void give_back();
    void open_bout();
    void free_mat();
    void erase_person();
    void ask();
    std::uint32_t next_request();
    std::string reason(std::uint32_t request) const;
    void wish(std::uint32_t request, const Command& command, const Fact& fact,
              const std::vector<RecordNumber>& changed = {});
    const BoutSheet* some_sheet();

    // -- calls of its own
    void opened(const Allotment& allotment);
    void write_next();
    void write(const What& what);

    Checker& checker_;
    Following following_;
    DeskStore& store_;
    const RunId run_;
    const std::uint32_t acts_share_;  // in hundred seconds
    const std::uint64_t begun_;
    bool acting_ = true;
    std::uint64_t decided_ = 0;
    BoutId looked_at_;
    std::uint64_t tried_again_ = 0;
    std::map<std::uint32_t, Waiting> waiting_;  // by request
    std::optional<Allotment> bout_;             // opened: the one bout in it
    std::deque<What> script_;
    std::optional<Mine> mine_;
    std::uint32_t given_ = 0;  // numbers of this run that the hub has
};

}  // namespace honbu::simulation

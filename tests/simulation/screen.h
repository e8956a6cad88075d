// A board, a hall screen or the desk: follows views, and the results if it is to. One thread.
#pragma once

#include "tests/simulation/caller.h"
#include "tests/simulation/checker.h"

namespace honbu::simulation {

class Screen final : public Caller {
public:
    Screen(Hall& hall, const Route& route, Checker& checker, Who who, Role role, bool results)
        : Caller(hall, route, "screen " + std::to_string(who)), checker_(checker), who_(who),
          role_(role), results_(results) {
        checker_.screen_began(who_);
    }
    Who who() const { return who_; }
    bool follows_results() const { return results_; }

protected:
    Hello hello() override {
        Hello hello;
        hello.schema = wire_schema;
        hello.role = role_;
        return hello;
    }
    void hear(const Heard& message, const std::string& bytes) override {
        if (std::holds_alternative<Welcome>(message)) {
            Subscribe wish;
            wish.all_mats = true;
            wish.results = results_;
            wish.results_after = last_result_;
            send(wish);
        } else if (const auto* view = std::get_if<MatView>(&message)) {
            checker_.view_read(who_, *view, bytes);
        } else if (const auto* item = std::get_if<Finished>(&message)) {
            checker_.result_read(who_, {item->number, item->mat, described(item->bout),
                                        item->result, item->words, item->confirmed});
            last_result_ = item->number;
            say("reads result " + std::to_string(item->number.value));
        }
    }

private:
    Checker& checker_;
    Who who_;
    Role role_;
    bool results_;
    RecordNumber last_result_;
};

}  // namespace honbu::simulation

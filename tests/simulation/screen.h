// A board or a hall screen: follows views, and what else it is to. One thread.
#pragma once

#include "tests/simulation/caller.h"
#include "tests/simulation/following.h"

namespace honbu::simulation {

class Screen final : public Caller {
public:
    Screen(Hall& hall, const Route& route, Checker& checker, Who who, Role role, Subscribe wish)
        : Caller(hall, route, "screen " + std::to_string(who)), role_(role),
          following_(checker, who, std::move(wish)) {}
    const Following& following() const { return following_; }
    Role role() const { return role_; }

protected:
    Hello hello() override {
        Hello hello;
        hello.schema = wire_schema;
        hello.role = role_;
        following_.put_position(hello);
        return hello;
    }
    void hear(const Heard& message, const std::string& bytes) override {
        if (const auto* welcome = std::get_if<Welcome>(&message)) {
            send(following_.welcome(*welcome));
        }
        following_.hear(message, bytes);
        if (const auto* item = std::get_if<Finished>(&message)) {
            say("reads result " + std::to_string(item->number.value));
        }
    }

private:
    Role role_;
    Following following_;
};

}  // namespace honbu::simulation

// A device that is no table of ours: it sends what a broken page or a bad program might.
//
// Numbers too far on, numbers used twice, calls of an older term or of another mat, the impossible.
// Every message can be read; what can't is for tests/fuzz and tests/wire. One thread.
#pragma once

#include <vector>

#include "tests/simulation/caller.h"
#include "tests/simulation/checker.h"

namespace honbu::simulation {

class Stranger final : public Caller {
public:
    Stranger(Hall& hall, const Route& route, Checker& checker, DeviceId device, std::uint16_t mats,
             std::uint32_t bouts, bool takes_mats)
        : Caller(hall, route, "stranger"), checker_(checker), device_(device), mats_(mats),
          bouts_(bouts), takes_mats_(takes_mats), run_{0xbad0000ULL + device.value} {}
    void stop() { stopped_ = true; }

protected:
    Hello hello() override;
    void hear(const Heard& message, const std::string& bytes) override;
    void each_second() override;

private:
    Call some_call(std::uint32_t number);
    void decide();

    Checker& checker_;
    DeviceId device_;
    std::uint16_t mats_;
    std::uint32_t bouts_;
    bool takes_mats_;
    RunId run_;
    std::vector<Call> sent_;   // by number - 1, as first sent
    std::uint32_t given_ = 0;  // with an answer
    Term term_;
    bool stopped_ = false;
};

}  // namespace honbu::simulation

// Anything a hand may press at a table, in any order: the whole vocabulary and all corrections.
//
// A Press is a few numbers, so that a generator can draw them and a counterexample can be made
// smaller; a Sitting turns presses into calls as a table would, with its run, its numbers and its
// clock, asking `no_entry` first. `unasked` lets everything in, as a broken page or an old journal
// might. Nothing in it is likely; that is the purpose. One thread.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "engine/bout/fold.h"
#include "tests/generate/lots.h"

namespace honbu::generate {

struct Press {
    std::uint8_t kind = 0;     // what, see presses.cpp
    std::uint16_t gap = 0;     // how long after the last one
    std::uint32_t detail = 0;  // who, which level, which earlier call
    friend bool operator==(const Press&, const Press&) = default;
};

enum class Asking : std::uint8_t { asked, unasked };

class Sitting {
public:
    explicit Sitting(const Conditions& under, Asking asking = Asking::asked)
        : under_(under), asking_(asking) {}
    // The refusal, if it was refused; then nothing has changed but the time.
    std::optional<std::string> press(const Press& press);
    void press_all(std::span<const Press> presses) {
        for (const Press& each : presses)
            press(each);
    }
    const std::vector<Call>& calls() const { return calls_; }
    Call call(What what) const;  // as it would be entered now
    std::optional<std::string> enter(Call call);
    Instant now() const;  // on the timeline

private:
    What what_of(const Press& press) const;
    CallId earlier(std::uint32_t detail) const;

    const Conditions& under_;
    Asking asking_;
    std::vector<Call> calls_;
    RunId run_{1};
    std::uint32_t next_ = 1;
    Instant clock_{100'000};
};

std::vector<Press> presses(Lots& lots, std::uint32_t count);

}  // namespace honbu::generate

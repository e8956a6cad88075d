// What must not be seen in any hall: each time it is, one sentence, and the evening ends with 1.
//
// Also what keeps this program from doing what it was asked: an evening in which it could not look
// proves nothing. One thread.
#pragma once

#include <cstdint>
#include <string>

namespace honbu::sim {

class Promises {
public:
    void broken(const std::string& sentence);   // a promise of the hub
    void trouble(const std::string& sentence);  // ours, or what we were asked to do
    void note(const std::string& sentence);     // worth saying, and allowed
    bool all_well() const { return broken_ + troubles_ == 0; }
    std::uint64_t seen_broken() const { return broken_; }

private:
    std::uint64_t broken_ = 0;
    std::uint64_t troubles_ = 0;
};

}  // namespace honbu::sim

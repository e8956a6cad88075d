// What `honbu serve` says once it listens: what is loaded, what to open, and what to watch out for.
//
// A text, so that whoever set this up can read an address aloud. Reads the machine's addresses.
#pragma once

#include <filesystem>
#include <string>

#include "engine/record/record.h"
#include "hub/entrances.h"

namespace honbu {

struct Greeting {
    std::string title;
    const CompetitionLoaded* competition = nullptr;  // none loaded yet
    std::filesystem::path data;
    RecordNumber kept;
    std::uint32_t rehearsal_rate = 1;
    const Entrances* entrances = nullptr;
    bool anyone = false;    // may score
    std::string desk_code;  // empty: not shown here
};
std::string text(const Greeting& greeting);

}  // namespace honbu

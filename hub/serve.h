// honbu serve: opens the journal, replays it, listens, and introduces the parts to each other.
//
// Runs on the hub's thread until a signal ends it; the journal has a thread of its own.
#pragma once

#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

#include "hub/core/message.h"
#include "hub/log.h"

namespace honbu {

struct ServeOptions {
    std::filesystem::path data;
    std::string listen;                 // the hall's entrance; empty: the usual address
    std::string public_listen;          // the crowd's; empty: there is none
    std::filesystem::path certificate;  // of the organiser's own; empty: what is in the folder
    std::filesystem::path key;
    std::vector<std::string> names;  // under which the hub is reached, beside those it knows
    bool plain = false;              // not encrypted, whatever there is
    std::string competition;         // a file; empty: none given
    std::vector<std::string> rules;  // files with rule sets of the organiser's own
    std::string title;               // empty: the file's name
    std::uint32_t rehearsal_rate = 1;
    PublicNames public_names = PublicNames::full;  // of people, to whoever has no right here
    bool anyone_may_score = false;                 // no right is checked
    std::uint32_t let_in_days = 3;    // for which a device that is let in keeps its right
    std::filesystem::path mirror;     // a second copy is kept here; empty: none
    std::filesystem::path from_copy;  // the new journal goes on from this copy; empty: no
    LogOptions log;
    std::vector<std::string> warnings;  // about the settings, for the log
    std::string settings;               // all of them as they hold, as a file of settings
};

// The program's exit code: 0 stopped as asked, 1 could not start.
int serve(const ServeOptions& options);

}  // namespace honbu

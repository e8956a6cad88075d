// What everybody in the played hall shares: where the hub is, how to play, and who counts. One
// thread; outlives all clients.
#pragma once

#include <cstdint>

#include "clients/sim/logbook.h"
#include "clients/sim/loop.h"
#include "clients/sim/promises.h"
#include "clients/sim/tally.h"
#include "tests/generate/lots.h"

namespace honbu::sim {

struct Wishes {
    Address hub;
    std::uint32_t tables = 0;
    std::uint32_t boards = 0;
    std::uint32_t halls = 0;
    std::uint32_t desks = 0;
    std::uint32_t faster = 1;  // the tables' clocks, than the hub's
    std::uint32_t seed = 1;
    std::uint32_t seconds = 0;       // 0: until a signal, or until all bouts are fought
    bool take_over = false;          // mats that other tables hold
    bool without_rehearsal = false;  // also with a hub that is not in a rehearsal
    std::string log;
};

struct Hall {
    const Wishes& wishes;
    Loop& loop;
    Logbook& log;
    Promises& promises;
    Tally& tally;
    generate::Lots lots;  // for what is nobody's play: pauses before a line is opened again
};

}  // namespace honbu::sim

// How a running hub stands, in plain lines for whoever runs it: what `honbu status` prints.
//
// A line that somebody should look at begins with "Look: "; the last one says whether there are
// any. Names mats, never people, devices or addresses. Pure, any thread.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "engine/view/mat_view.h"
#include "hub/core/desk.h"
#include "hub/metrics.h"

namespace honbu {

inline constexpr const char* look = "Look: ";

struct HubStanding {
    std::string title;  // empty: no competition is loaded
    std::string version;
    std::uint32_t rehearsal_rate = 1;
    std::string since;  // by this machine's clock
    std::uint64_t for_ms = 0;
    std::uint64_t last_record_ms = 0;  // so long ago
    std::optional<std::uint64_t> room_bytes;
    std::vector<std::pair<MatId, TableLine>> mats;
    Mirrored mirror;
    std::string certificate;  // until when; empty: there is none
    bool certificate_ends_soon = false;
    Measured measured;
};
std::string words(const HubStanding& now);

// "3 h 20 min", "12 s": as long as a person wants to know.
std::string how_long(std::uint64_t ms);
// "42.1 GiB", "310 MiB".
std::string how_big(std::uint64_t bytes);

}  // namespace honbu

// Who may come in, and what the desk sees of the door. docs/doors.md tells it in full.
//
// A device makes a secret of its own and says it with each hello; the hub keeps only its hash. With
// a secret it does not know, a device that wants more than to look waits at the door: it shows a
// code, and a person at the desk who sees the same code there lets it in. The first desk types the
// one-time code that the hub's terminal shows. Plain values, hub thread.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "engine/record/record.h"

namespace honbu {

enum class Role : std::uint8_t { none = 0, table = 1, board = 2, hall = 3, desk = 4, set_up = 5 };

// The two ways in: the hall's, and one on which everybody only looks.
enum class Entrance : std::uint8_t { hall, crowd };

// ---- commands

// From the door: what the hub's terminal shows, as typed. Answer: a Welcome as desk, or a Refusal.
struct UseCode {
    std::string code;
};
struct LetIn {  // the desk; for tables and displays also the set-up
    std::uint32_t request = 0;
    DeviceId device;
    std::string code;  // that it shows at the door; empty: it was let in before
    Right right = Right::none;
    MatId mat;  // of a table
};
struct ShutOut {  // the same
    std::uint32_t request = 0;
    DeviceId device;
    std::string reason;
};

// ---- replies

// Instead of a Welcome: until somebody lets it in, the connection only stays alive.
struct AtTheDoor {
    std::string code;         // six digits to show: the desk sees the same
    bool takes_code = false;  // a one-time code of the hub's terminal would do as well
};
inline constexpr std::size_t at_the_door_max = 100;

// ---- the view of it

struct Door {
    struct Waiting {
        DeviceId device;
        std::string code;
        Role role = Role::none;
        std::string hand;
        std::string page;
        Instant since;          // hub time
        bool shut_out = false;  // earlier
    };
    struct Inside {
        DeviceId device;
        Right right = Right::none;
        MatId mat;
        Instant until;
        std::string hand;             // as it said last; nothing: not since the hub started
        std::uint32_t connected = 0;  // pages, now
    };
    RecordNumber number;
    bool anyone = false;  // nobody is asked
    std::vector<Waiting> waiting;
    std::vector<Inside> inside;
};

}  // namespace honbu

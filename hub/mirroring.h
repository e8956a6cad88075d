// How the hub's second copy stands, judged from where both are, for the desk and for the log.
//
// Owns the Mirror, which works on its own thread; everything here is on the hub's.
#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>
#include <string>

#include "hub/core/desk.h"
#include "hub/journal/mirror.h"

namespace honbu {

class Mirroring {
public:
    struct Parts {
        std::function<void(std::function<void()>)> post;  // to the hub thread, from any
        std::function<void(const Mirrored&)> show;        // when it has changed
        std::function<void(const std::string&)> log;      // a line for whoever runs the hub
        std::function<std::uint64_t()> now_us;            // never falling
        // What else belongs into the copy; on the mirror's thread, each time it begins to follow.
        std::function<OrFault<void>()> beside;
    };
    Mirroring(const std::filesystem::path& journal, const std::filesystem::path& folder,
              Parts parts);

    void committed(RecordNumber number);
    void close();  // the journal has written all; the log says if the mirror has not

private:
    void on_mirror(Mirror::Now state);
    void told(const Mirror::Now& state);
    void judge();

    const Parts parts_;
    const std::string folder_;
    RecordNumber last_;  // of the journal
    Mirror::Now state_;
    bool heard_ = false;
    // The mirror is behind if it has not reached what the journal had this long ago.
    RecordNumber mark_;
    std::uint64_t marked_us_ = 0;
    Mirrored shown_;
    std::uint64_t shown_us_ = 0;
    bool follows_ = false;  // mirror's thread
    Mirror mirror_;         // last: its thread starts when everything above is there
};

}  // namespace honbu

// Figures of the running hub for whoever watches it, in the Prometheus text format (0.0.4).
//
// Counters count since this process started. What is asked for each time is measured when somebody
// asks; nothing here names a person, a device or an address. Hub thread.
#pragma once

#include <cstddef>
#include <cstdint>
#include <memory>
#include <string>

namespace honbu {

// As things are at the moment of asking.
struct Measured {
    std::size_t tables = 0;  // connections by what they said they are
    std::size_t boards = 0;
    std::size_t halls = 0;
    std::size_t desks = 0;
    std::size_t unnamed = 0;  // WebSockets that have not said hello, or named no role
    std::size_t event_streams = 0;
    std::size_t plain = 0;      // HTTP only
    std::uint64_t applied = 0;  // calls by verdict, since the start
    std::uint64_t without_effect = 0;
    std::uint64_t set_aside = 0;
    std::uint64_t refused = 0;
    std::size_t journal_bytes = 0;  // that wait
    std::size_t client_bytes = 0;
    std::uint32_t records = 0;     // on the disk
    std::uint32_t missing = 0;     // that somebody has seen and this journal does not have
    bool mirrored = false;         // a second copy is kept and follows
    std::uint32_t unmirrored = 0;  // records that it lacks
    std::size_t views_behind = 0;
    std::size_t results_behind = 0;
    std::size_t records_behind = 0;
    bool room = true;
    std::size_t mats_free = 0;  // by table line
    std::size_t mats_live = 0;
    std::size_t mats_alone = 0;
};

class Metrics {
public:
    // The wall clock at the start, and how many records were read then.
    Metrics(std::uint64_t started_unix_ms, std::uint32_t replayed);
    ~Metrics();

    void commit_took(std::uint64_t us);
    std::string text(const Measured& now);

private:
    struct Inside;
    std::unique_ptr<Inside> in_;
};

}  // namespace honbu

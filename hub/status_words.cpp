#include "hub/status_words.h"

#include "hub/words/how_many.h"

namespace honbu {
namespace {

constexpr std::uint64_t mib = 1024U * 1024U;
// Several competitions fit in this; other programs fill a disk faster than a hub does.
constexpr std::uint64_t little_room = 500 * mib;

// Lines, and how many of them somebody should look at.
struct Lines {
    std::string text;
    std::size_t looks = 0;

    void say(const std::string& line) { text += line + "\n"; }
    void look_at(const std::string& line) {
        ++looks;
        say(look + line);
    }
};

void journal(const HubStanding& now, Lines& lines) {
    const Measured& m = now.measured;
    std::string line = how_many(m.records, "record is", "records are") + " kept, the last " +
                       how_long(now.last_record_ms) + " ago.";
    if (now.room_bytes) line += " Their disk has " + how_big(*now.room_bytes) + " left.";
    lines.say(line);
    if (!m.room) {
        lines.look_at("nothing can be kept now: the disk is full, or another program holds the "
                      "journal. The tables keep their calls; make room.");
    } else if (now.room_bytes && *now.room_bytes < little_room) {
        lines.look_at("the disk is nearly full. Make room before it is.");
    }
    if (m.missing > 0) {
        lines.look_at("tables have seen " + how_many(m.missing, "record", "records") +
                      " more than this journal has: its end was lost. Look at the results of the "
                      "last minutes.");
    }
}

void mirror(const HubStanding& now, Lines& lines) {
    const std::string lacks = how_many(now.mirror.behind, "record", "records");
    switch (now.mirror.how) {
    case Mirrored::How::none: lines.say("There is no second copy (--mirror)."); break;
    case Mirrored::How::follows: lines.say("The second copy has everything, and follows."); break;
    case Mirrored::How::behind:
        lines.look_at("the second copy is " + lacks + " behind: its disk is slow.");
        break;
    case Mirrored::How::stopped:
        lines.look_at("the second copy has stopped and lacks " + lacks + ". " + now.mirror.words);
        break;
    }
}

void mats(const HubStanding& now, Lines& lines) {
    for (const auto& [mat, table] : now.mats) {
        const std::string name = std::to_string(mat.value);
        switch (table) {
        case TableLine::none: lines.say("Mat " + name + ": no table has taken it."); break;
        case TableLine::live: lines.say("Mat " + name + ": its table is there."); break;
        case TableLine::alone:
            lines.look_at("mat " + name +
                          ": its table is out of reach, and goes on alone. Go there; look at its "
                          "cable.");
            break;
        }
    }
}

void connected(const HubStanding& now, Lines& lines) {
    const Measured& m = now.measured;
    lines.say("Connected: " + how_many(m.tables, "table", "tables") + ", " +
              how_many(m.desks, "desk", "desks") + ", " + how_many(m.boards, "board", "boards") +
              ", " + how_many(m.halls, "hall screen", "hall screens") + ", " +
              std::to_string(m.event_streams) + " that only read.");
}

}  // namespace

std::string words(const HubStanding& now) {
    Lines lines;
    lines.say((now.title.empty() ? std::string("The hub") : now.title) + " runs since " +
              now.since + ", for " + how_long(now.for_ms) + ". honbu " + now.version + ".");
    if (now.title.empty()) lines.say("No competition is loaded yet.");
    if (now.rehearsal_rate > 1) {
        lines.say("It is a rehearsal: all clocks run " + std::to_string(now.rehearsal_rate) +
                  " times as fast.");
    }
    journal(now, lines);
    mirror(now, lines);
    mats(now, lines);
    connected(now, lines);
    if (now.certificate_ends_soon) {
        lines.look_at("the certificate ends on " + now.certificate +
                      "; after that no device trusts the hub any more.");
    } else if (!now.certificate.empty()) {
        lines.say("The certificate holds until " + now.certificate + ".");
    }
    lines.say(lines.looks == 0 ? std::string("All is well.")
                               : how_many(lines.looks, "thing", "things") + " to look at, in the " +
                                     (lines.looks == 1 ? "line" : "lines") + " with Look.");
    return lines.text;
}

std::string how_long(std::uint64_t ms) {
    constexpr std::uint64_t second = 1'000;
    constexpr std::uint64_t minute = 60 * second;
    constexpr std::uint64_t hour = 60 * minute;
    constexpr std::uint64_t day = 24 * hour;
    const auto both = [ms](std::uint64_t big, const char* name, std::uint64_t small,
                           const char* other) {
        return std::to_string(ms / big) + name + std::to_string(ms % big / small) + other;
    };
    if (ms >= 2 * day) return both(day, " days ", hour, " h");
    if (ms >= hour) return both(hour, " h ", minute, " min");
    if (ms >= 2 * minute) return std::to_string(ms / minute) + " min";
    return std::to_string(ms / second) + " s";
}

std::string how_big(std::uint64_t bytes) {
    constexpr std::uint64_t gib = 1024 * mib;
    if (bytes < gib) return std::to_string(bytes / mib) + " MiB";
    return std::to_string(bytes / gib) + "." + std::to_string(bytes % gib * 10 / gib) + " GiB";
}

}  // namespace honbu

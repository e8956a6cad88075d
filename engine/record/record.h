// A record: what was asked and by whom, never what follows from it. One command, one record.
//
// Records are the journal. Each carries the SHA-256 of the one before, taken over its canonical
// bytes (engine/record/canon.h; layout with a worked example: docs/journal.md). Pure values.
#pragma once

#include <array>
#include <cstdint>
#include <string>
#include <variant>
#include <vector>

#include "engine/bout/call.h"
#include "engine/bout/ruleset.h"

namespace honbu {

using Hash = std::array<std::uint8_t, 32>;

struct RecordNumber {
    std::uint32_t value = 0;  // 1, 2, 3 ... without gaps
    friend constexpr auto operator<=>(RecordNumber, RecordNumber) = default;
};

// The identity of one journal. A position is always the pair of epoch and number.
struct Epoch {
    std::uint64_t value = 0;
    friend constexpr auto operator<=>(Epoch, Epoch) = default;
};
enum class Verdict : std::uint8_t {
    none = 0,  // not a numbered call
    applied = 1,
    without_effect = 2,  // the fold finds it impossible; listed for a person
    set_aside = 3,       // older term, or a bout this table was not handed
};

// -- What can be recorded

struct EpochBegan {  // always record 1
    Epoch epoch;
    std::uint32_t fold_version = 0;
    std::uint32_t rehearsal_rate = 1;  // 1: real time
};

// Who stands on one side of a bout: a person, or the winner or loser of another bout.
struct Slot {
    enum class From : std::uint8_t { person = 1, winner_of = 2, loser_of = 3 };
    From from = From::person;
    std::uint32_t value = 0;  // PersonId or BoutId
};
struct CategoryEntry {
    std::string name;
    std::uint16_t rules = 0;  // index into CompetitionLoaded::rules
    Duration time;
    Duration golden;  // limit of golden score; 0: none
};
struct BoutEntry {
    BoutId bout;
    MatId mat;
    std::uint16_t category = 0;  // index into CompetitionLoaded::categories
    std::string round;
    Slot white;
    Slot blue;
};
struct CompetitionLoaded {  // names of people live beside the chain, by PersonId
    std::string title;
    std::vector<RuleSet> rules;
    std::vector<CategoryEntry> categories;
    std::vector<BoutEntry> bouts;  // in the order of each mat
};

struct MatTaken {
    MatId mat;
    Term term;  // the new one
};

using Fact = std::variant<EpochBegan, CompetitionLoaded, MatTaken, Call>;

struct Record {
    RecordNumber number;
    Hash previous{};   // all zero in record 1
    Instant received;  // hub time since the epoch began
    DeviceId device;   // who sent it; 0: the hub itself
    std::string hand;  // the person, as given by the device; may be empty
    Verdict verdict = Verdict::none;
    Fact fact;
};

}  // namespace honbu

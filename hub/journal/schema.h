// The journal's SQLite file: its name, its tables, and whether a file is one of ours.
//
// docs/journal.md describes the tables. Any thread that owns the Database.
#pragma once

#include <filesystem>

#include "hub/fault.h"
#include "hub/journal/database.h"

namespace honbu {

inline constexpr std::int64_t journal_application_id = 0x486F6E62;  // "Honb" in ASCII
inline constexpr std::int64_t journal_schema = 4;                   // PRAGMA user_version
inline constexpr std::int64_t oldest_schema = 3;  // that can be read, and upgraded

std::filesystem::path journal_file(const std::filesystem::path& folder);

// What `meta` says under `copy`; nothing: the hub's own.
inline constexpr std::int64_t mark_copy = 1;
inline constexpr std::int64_t mark_filling = 2;  // the start that goes on from it was broken off

// SQLite takes an empty file for a new one, and throws away the log that stands beside it: so that
// is looked at before the file is opened. The sentence if the file was cut off or taken away.
[[nodiscard]] OrFault<void> check_not_cut_off(const std::filesystem::path& folder);

enum class Kind {
    empty,
    journal,
    older,  // can be read, and upgraded (upgrade.h), and not written to
};

// Is it ours, and can this program read it? Otherwise one sentence with what to do.
[[nodiscard]] OrFault<Kind> look_at(Database& database, const std::filesystem::path& file);
int create_tables(Database& database);

}  // namespace honbu

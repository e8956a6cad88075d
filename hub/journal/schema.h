// The journal's SQLite file: its name, its tables, and whether a file is one of ours.
//
// docs/journal.md describes the tables. Any thread that owns the Database.
#pragma once

#include <filesystem>

#include "hub/fault.h"
#include "hub/journal/database.h"

namespace honbu {

inline constexpr std::int64_t journal_application_id = 0x486F6E62;  // "Honb" in ASCII
inline constexpr std::int64_t journal_schema = 3;                   // PRAGMA user_version

std::filesystem::path journal_file(const std::filesystem::path& folder);

// What `meta` says under `copy`; nothing: the hub's own.
inline constexpr std::int64_t mark_copy = 1;
inline constexpr std::int64_t mark_filling = 2;  // the start that goes on from it was broken off

enum class Kind { empty, journal };

// Is it ours, and can this program read it? Otherwise one sentence with what to do.
[[nodiscard]] OrFault<Kind> look_at(Database& database, const std::filesystem::path& file);
int create_tables(Database& database);

}  // namespace honbu

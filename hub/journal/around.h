// What is wrong around a journal, not in it: a full disk, a folder one may only read, another
// program that holds it. Nobody must take a healthy journal for a damaged one because of these.
//
// Judges the last failure of a Database while it is opened or read. A commit judges for itself
// (JournalFile::commit), since after a failed sync even a full disk is no harmless thing. Any
// thread that owns the Database.
#pragma once

#include <cerrno>
#include <filesystem>
#include <optional>

#include "hub/fault.h"
#include "hub/journal/database.h"

namespace honbu {

inline bool means_full(int system_error) {
    return system_error == ENOSPC || system_error == EDQUOT;
}
Fault disk_is_full(const std::filesystem::path& folder);
// Is `rc` a failure for want of room, in the file's folder?
bool failed_for_room(const Database& database, int rc, const std::filesystem::path& file);
// The sentence if `rc` says nothing against the journal itself.
std::optional<Fault> trouble_around(const Database& database, int rc,
                                    const std::filesystem::path& file);

}  // namespace honbu

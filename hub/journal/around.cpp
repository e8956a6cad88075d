#include "hub/journal/around.h"

#include <sqlite3.h>
#include <sys/statvfs.h>

namespace honbu {
namespace {

int kind_of(int rc) { return rc & 0xFF; }

// Where a file could not be made, SQLite tries to open it as well, and the reason is lost.
bool looks_full(const std::filesystem::path& folder) {
    struct statvfs disk {};
    if (statvfs(folder.c_str(), &disk) != 0) return false;
    if ((disk.f_flag & ST_RDONLY) != 0) return false;  // a read-only image has no free block either
    return disk.f_bavail == 0 || (disk.f_files > 0 && disk.f_favail == 0);
}

}  // namespace

Fault disk_is_full(const std::filesystem::path& folder) {
    return Fault{"The disk is full (" + folder.string() +
                 "); free some space and start again. The journal is as it was."};
}

bool failed_for_room(const Database& database, int rc, const std::filesystem::path& file) {
    const int kind = kind_of(rc);
    if (kind == SQLITE_FULL || rc == SQLITE_IOERR_SHMSIZE) return true;
    if (kind != SQLITE_IOERR && kind != SQLITE_CANTOPEN) return false;
    if (means_full(database.system_errno())) return true;
    return kind == SQLITE_CANTOPEN && looks_full(file.parent_path());
}

std::optional<Fault> trouble_around(const Database& database, int rc,
                                    const std::filesystem::path& file) {
    const std::filesystem::path folder = file.parent_path();
    if (failed_for_room(database, rc, file)) return disk_is_full(folder);
    const int kind = kind_of(rc);
    if (kind == SQLITE_BUSY || kind == SQLITE_LOCKED) {
        return Fault{"Another program holds the journal " + file.string() +
                     " open. Close that one, then start again. The journal is as it was."};
    }
    if (kind == SQLITE_CANTOPEN || kind == SQLITE_READONLY || kind == SQLITE_PERM) {
        return Fault{"The journal " + file.string() +
                     " can't be opened: whoever runs this may not write to the folder " +
                     folder.string() +
                     ", or not read the files in it. Mend the permissions, or copy the whole "
                     "folder to a place of your own. The journal is as it was."};
    }
    return std::nullopt;
}

}  // namespace honbu

#include "tests/journal/power_cut.h"

#include <algorithm>
#include <cstring>
#include <fstream>
#include <iterator>
#include <map>
#include <memory>
#include <mutex>
#include <new>
#include <random>
#include <vector>

#include <sqlite3.h>
#include <unistd.h>

namespace honbu::power {
namespace {

constexpr std::size_t sector = 512;

struct Change {  // a write, or a new size
    std::size_t at = 0;
    std::string bytes;
    bool truncate = false;
};

struct Inode {
    std::string synced;
    std::vector<Change> since;
};

void put(std::string& image, std::size_t at, std::string_view bytes) {
    if (bytes.empty()) return;
    if (image.size() < at + bytes.size()) image.resize(at + bytes.size());
    std::copy(bytes.begin(), bytes.end(), image.begin() + static_cast<std::ptrdiff_t>(at));
}

std::string folder_of(const std::string& path) { return path.substr(0, path.rfind('/')); }

class Machine {
public:
    Failing failing;
    std::mutex mutex;
    std::uint64_t count = 0;

    std::shared_ptr<Inode> opened(const std::string& path, bool was_there) {
        auto& names = names_[path];
        if (names.empty()) names.push_back(was_there ? on_disk(path) : nullptr);
        if (!names.back()) names.push_back(std::make_shared<Inode>());
        return names.back();
    }
    void changed(Inode& inode, Change change) {
        inode.since.push_back(std::move(change));
        step();
    }
    void synced(Inode& inode, const std::string& folder) {
        step();
        if (failing.sync_lies) return;
        for (const Change& change : inode.since)
            make(inode.synced, change);
        inode.since.clear();
        if (!folder.empty()) folder_synced(folder);
    }
    void deleted(const std::string& path, bool and_synced) {
        auto& names = names_[path];
        if (names.empty()) names.push_back(on_disk(path));
        names.push_back(nullptr);
        step();
        if (and_synced && !failing.sync_lies) folder_synced(folder_of(path));
    }

private:
    static std::shared_ptr<Inode> on_disk(const std::string& path) {
        auto inode = std::make_shared<Inode>();
        std::ifstream in(path, std::ios::binary);
        inode->synced = {std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
        return inode;
    }
    static void make(std::string& image, const Change& change) {
        if (change.truncate) {
            image.resize(change.at);
        } else {
            put(image, change.at, change.bytes);
        }
    }
    // What was last under each name is what the folder keeps.
    void folder_synced(const std::string& folder) {
        for (auto& [path, names] : names_) {
            if (folder_of(path) == folder) names.erase(names.begin(), names.end() - 1);
        }
    }
    void step() {
        if (++count == failing.at) cut();
    }

    // In any order comes to the same as any of them: of two writes to one sector the later one may
    // be lost and the earlier one stay.
    [[noreturn]] void cut() {
        std::mt19937_64 lots(failing.seed);
        const auto one_in = [&lots](unsigned n) { return lots() % n == 0; };
        const auto mood = lots() % 5;  // 0: all lost, 1: all stay, else any
        for (auto& [path, names] : names_) {
            const std::size_t which = mood == 0   ? 0
                                      : mood == 1 ? names.size() - 1
                                                  : lots() % names.size();
            ::unlink(path.c_str());
            const std::string index = path + "-shm";
            if (::access(index.c_str(), F_OK) == 0) {
                ::unlink(index.c_str());  // other threads still run, and have the old one in memory
                std::ofstream(index, std::ios::binary) << std::string(32'768, char(lots()));
            }
            if (!names[which]) continue;
            std::string image = names[which]->synced;
            for (const Change& change : names[which]->since) {
                if (mood == 0) continue;
                if (mood == 1 || one_in(3)) {
                    make(image, change);
                } else if (!change.truncate && one_in(2)) {
                    tear(image, change, one_in);
                }
            }
            std::ofstream(path, std::ios::binary) << image;
        }
        ::_exit(exit_power_cut);
    }
    template<class OneIn>
    static void tear(std::string& image, const Change& change, const OneIn& one_in) {
        const std::string_view bytes = change.bytes;
        for (std::size_t from = 0; from < bytes.size();) {
            const std::size_t size = std::min(sector - (change.at + from) % sector,
                                              bytes.size() - from);
            if (one_in(2)) put(image, change.at + from, bytes.substr(from, size));
            from += size;
        }
    }

    std::map<std::string, std::vector<std::shared_ptr<Inode>>> names_;  // since the last sync
};

Machine& machine() {
    static auto* const there = new Machine;  // while threads run to the very end
    return *there;
}
sqlite3_vfs* below = nullptr;

// An open file: SQLite's own part, ours, and behind both the ordinary one.
struct File {
    sqlite3_file face;
    std::shared_ptr<Inode> inode;
    std::string folder_to_sync;  // with its first sync, as the ordinary one does for a new log
    sqlite3_file* real = nullptr;
};
File& mine(sqlite3_file* file) { return *reinterpret_cast<File*>(file); }
sqlite3_file* real(sqlite3_file* file) { return mine(file).real; }

int x_close(sqlite3_file* file) {
    const int rc = real(file)->pMethods->xClose(real(file));
    mine(file).~File();
    return rc;
}
int x_read(sqlite3_file* file, void* to, int size, sqlite3_int64 at) {
    return real(file)->pMethods->xRead(real(file), to, size, at);
}
int x_write(sqlite3_file* file, const void* from, int size, sqlite3_int64 at) {
    const std::scoped_lock lock(machine().mutex);
    const std::string_view bytes(static_cast<const char*>(from), static_cast<std::size_t>(size));
    machine().changed(*mine(file).inode, {static_cast<std::size_t>(at), std::string(bytes), false});
    return real(file)->pMethods->xWrite(real(file), from, size, at);
}
int x_truncate(sqlite3_file* file, sqlite3_int64 size) {
    const std::scoped_lock lock(machine().mutex);
    machine().changed(*mine(file).inode, {static_cast<std::size_t>(size), {}, true});
    return real(file)->pMethods->xTruncate(real(file), size);
}
int x_sync(sqlite3_file* file, int) {
    const std::scoped_lock lock(machine().mutex);
    machine().synced(*mine(file).inode, mine(file).folder_to_sync);
    mine(file).folder_to_sync.clear();
    return SQLITE_OK;  // a real one would only take time
}
int x_size(sqlite3_file* file, sqlite3_int64* size) {
    return real(file)->pMethods->xFileSize(real(file), size);
}
int x_lock(sqlite3_file* file, int how) { return real(file)->pMethods->xLock(real(file), how); }
int x_unlock(sqlite3_file* file, int how) { return real(file)->pMethods->xUnlock(real(file), how); }
int x_reserved(sqlite3_file* file, int* out) {
    return real(file)->pMethods->xCheckReservedLock(real(file), out);
}
int x_control(sqlite3_file* file, int what, void* with) {
    return real(file)->pMethods->xFileControl(real(file), what, with);
}
int x_sector(sqlite3_file* file) { return real(file)->pMethods->xSectorSize(real(file)); }
int x_can(sqlite3_file* file) { return real(file)->pMethods->xDeviceCharacteristics(real(file)); }
int x_shm_map(sqlite3_file* file, int page, int size, int extend, void volatile** out) {
    return real(file)->pMethods->xShmMap(real(file), page, size, extend, out);
}
int x_shm_lock(sqlite3_file* file, int at, int count, int how) {
    return real(file)->pMethods->xShmLock(real(file), at, count, how);
}
void x_shm_barrier(sqlite3_file* file) { real(file)->pMethods->xShmBarrier(real(file)); }
int x_shm_unmap(sqlite3_file* file, int and_delete) {
    return real(file)->pMethods->xShmUnmap(real(file), and_delete);
}

const sqlite3_io_methods methods = {
    2,          x_close,       x_read,      x_write,   x_truncate, x_sync, x_size,
    x_lock,     x_unlock,      x_reserved,  x_control, x_sector,   x_can,  x_shm_map,
    x_shm_lock, x_shm_barrier, x_shm_unmap, nullptr,   nullptr};

int x_open(sqlite3_vfs*, const char* name, sqlite3_file* out, int flags, int* flags_out) {
    const std::scoped_lock lock(machine().mutex);
    auto* const file = new (out) File;
    file->face.pMethods = nullptr;
    file->real = reinterpret_cast<sqlite3_file*>(file + 1);
    const bool was_there = name != nullptr && ::access(name, F_OK) == 0;
    const int rc = below->xOpen(below, name, file->real, flags, flags_out);
    if (rc != SQLITE_OK) {
        file->~File();
        out->pMethods = nullptr;
        return rc;
    }
    file->face.pMethods = &methods;
    file->inode = name == nullptr ? std::make_shared<Inode>() : machine().opened(name, was_there);
    constexpr int of_a_log = SQLITE_OPEN_WAL | SQLITE_OPEN_MAIN_JOURNAL;
    if ((flags & SQLITE_OPEN_CREATE) != 0 && (flags & of_a_log) != 0) {
        file->folder_to_sync = folder_of(name);
    }
    return SQLITE_OK;
}
int x_delete(sqlite3_vfs*, const char* name, int and_sync) {
    const std::scoped_lock lock(machine().mutex);
    if (::access(name, F_OK) == 0) machine().deleted(name, and_sync != 0);
    return below->xDelete(below, name, 0);
}

}  // namespace

void install(const Failing& failing) {
    below = sqlite3_vfs_find(nullptr);
    machine().failing = failing;
    static sqlite3_vfs vfs;
    vfs = *below;  // all that asks for no file is the ordinary one's
    vfs.szOsFile = static_cast<int>(sizeof(File)) + below->szOsFile;
    vfs.zName = "power-cut";
    vfs.pNext = nullptr;
    vfs.xOpen = x_open;
    vfs.xDelete = x_delete;
    sqlite3_vfs_register(&vfs, 1);
}

std::uint64_t operations() {
    const std::scoped_lock lock(machine().mutex);
    return machine().count;
}

}  // namespace honbu::power

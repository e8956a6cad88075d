// The lock that keeps a second hub off a journal: DIR/honbu.lock, held for the life of the process.
//
// Apart from SQLite's own locks, which last for a transaction and let two writers take turns. The
// kernel lets go of it however the process ends, so a file left behind means nothing. The number
// inside is for the sentence that names the holder. Whoever holds the Lock object holds the lock.
#pragma once

#include <filesystem>

#include "hub/fault.h"

namespace honbu {

class Lock {
public:
    [[nodiscard]] static OrFault<Lock> take(const std::filesystem::path& folder);
    Lock(Lock&& other) noexcept;
    Lock& operator=(Lock&&) = delete;
    ~Lock();

private:
    explicit Lock(int file) : file_(file) {}
    int file_;
};

}  // namespace honbu

#include "hub/journal/lock.h"

#include <array>
#include <cerrno>
#include <charconv>
#include <system_error>
#include <utility>

#include <fcntl.h>
#include <sys/file.h>
#include <unistd.h>

#include "hub/journal/around.h"

namespace honbu {
namespace {

// "(process 1234) ", or nothing if the file does not say.
std::string holder(int file) {
    std::array<char, 16> text{};
    const ssize_t size = pread(file, text.data(), text.size(), 0);
    int number = 0;
    if (size <= 0) return {};
    const auto read = std::from_chars(text.data(), text.data() + size, number);
    return read.ec == std::errc() ? "(process " + std::to_string(number) + ") " : std::string();
}

}  // namespace

OrFault<Lock> Lock::take(const std::filesystem::path& folder) {
    const std::string name = (folder / "honbu.lock").string();
    const int file = open(name.c_str(), O_RDWR | O_CREAT | O_CLOEXEC, 0640);
    if (file < 0) {
        if (means_full(errno)) return disk_is_full(folder);
        const std::string reason = std::generic_category().message(errno);
        return Fault{"The folder " + folder.string() + " can't be written to (" + reason +
                     "). Choose another folder, or change its permissions."};
    }
    if (flock(file, LOCK_EX | LOCK_NB) != 0) {
        const int reason = errno;
        const std::string who = holder(file);
        ::close(file);
        if (reason == EWOULDBLOCK) {
            return Fault{"Another hub " + who + "is already running on the journal in " +
                         folder.string() + ". Stop that one first, or choose another folder."};
        }
        return Fault{"The file " + name + " can't be locked (" +
                     std::generic_category().message(reason) +
                     "). Choose a folder on a disk of this machine."};
    }
    // Only for people: a full disk must not keep the hub from starting.
    const std::string number = std::to_string(getpid()) + "\n";
    if (ftruncate(file, 0) != 0 || pwrite(file, number.data(), number.size(), 0) < 0) errno = 0;
    return Lock(file);
}

Lock::Lock(Lock&& other) noexcept : file_(std::exchange(other.file_, -1)) {}

Lock::~Lock() {
    if (file_ >= 0) ::close(file_);
}

}  // namespace honbu

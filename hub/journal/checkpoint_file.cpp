#include "hub/journal/checkpoint_file.h"

#include <cerrno>
#include <cstdio>
#include <fstream>
#include <iterator>
#include <system_error>

#include <fcntl.h>
#include <sys/statvfs.h>
#include <unistd.h>

namespace honbu {
namespace {

constexpr std::uint64_t room_to_leave = 64U * 1024U * 1024U;

bool has_room(const std::filesystem::path& folder, std::size_t bytes) {
    struct statvfs disk {};
    if (statvfs(folder.c_str(), &disk) != 0) return false;
    return std::uint64_t{disk.f_bavail} * disk.f_frsize > room_to_leave + bytes;
}

bool write_all(int file, std::string_view bytes) {
    while (!bytes.empty()) {
        const ssize_t written = ::write(file, bytes.data(), bytes.size());
        if (written < 0 && errno == EINTR) continue;
        if (written <= 0) return false;
        bytes.remove_prefix(static_cast<std::size_t>(written));
    }
    return ::fsync(file) == 0;
}

}  // namespace

std::filesystem::path checkpoint_file(const std::filesystem::path& folder) {
    return folder / "checkpoint";
}

std::optional<std::string> read_checkpoint_file(const std::filesystem::path& folder) {
    std::ifstream in(checkpoint_file(folder), std::ios::binary);
    if (!in) return std::nullopt;
    std::error_code none;
    const auto size = std::filesystem::file_size(checkpoint_file(folder), none);
    if (none) return std::nullopt;
    std::string bytes(size, '\0');
    in.read(bytes.data(), static_cast<std::streamsize>(size));
    bytes.resize(static_cast<std::size_t>(in.gcount()));
    return bytes;
}

OrFault<void> write_checkpoint_file(const std::filesystem::path& folder, std::string_view bytes) {
    const std::filesystem::path name = checkpoint_file(folder);
    const std::string unfinished = name.string() + ".new";
    const auto failed = [&](const std::string& why) {
        ::unlink(unfinished.c_str());
        return Fault{"No checkpoint was written (" + why +
                     "): the next start takes a little longer, and nothing is lost."};
    };
    if (!has_room(folder, bytes.size())) return failed("little room is left on the disk");
    const int file = ::open(unfinished.c_str(), O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0640);
    if (file < 0) return failed(std::generic_category().message(errno));
    const bool written = write_all(file, bytes);
    const int why = errno;
    ::close(file);
    if (!written) return failed(std::generic_category().message(why));
    if (std::rename(unfinished.c_str(), name.c_str()) != 0) {
        return failed(std::generic_category().message(errno));
    }
    return {};  // if the power takes the name back, the one before is there: as good, if older
}

void remove_checkpoint_file(const std::filesystem::path& folder) {
    ::unlink(checkpoint_file(folder).c_str());
}

}  // namespace honbu

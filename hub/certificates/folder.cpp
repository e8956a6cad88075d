#include "hub/certificates/folder.h"

#include <cerrno>
#include <cstdio>
#include <cstring>
#include <fstream>
#include <span>
#include <string>
#include <system_error>
#include <utility>
#include <vector>

#include <fcntl.h>
#include <openssl/crypto.h>
#include <sys/stat.h>
#include <unistd.h>

namespace honbu {
namespace {

namespace fs = std::filesystem;

constexpr const char* unfinished = "certificates.unfinished-";

struct File {
    std::string name;
    std::string bytes;

    File(std::string named, std::string content)
        : name(std::move(named)), bytes(std::move(content)) {}
    File(File&&) noexcept = default;
    File& operator=(File&&) noexcept = default;
    ~File() { OPENSSL_cleanse(bytes.data(), bytes.size()); }

    bool is_key() const { return name.ends_with(".key"); }
};

Fault cannot(const std::string& what, const fs::path& where) {
    return Fault{"The certificates could not be " + what + " " + where.string() + " (" +
                 std::strerror(errno) + "). Nothing was changed."};
}

bool write_whole(int file, std::string_view bytes) {
    while (!bytes.empty()) {
        const ssize_t written = write(file, bytes.data(), bytes.size());
        if (written < 0 && errno == EINTR) continue;
        if (written <= 0) return false;
        bytes.remove_prefix(static_cast<std::size_t>(written));
    }
    return true;
}

bool write_file(const fs::path& path, const File& file) {
    const mode_t mode = file.is_key() ? 0600 : 0644;
    const int opened = open(path.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, mode);
    if (opened < 0) return false;
    // A stick that can't hold rights (FAT) refuses this; then whoever holds it can read it anyway.
    static_cast<void>(fchmod(opened, mode));
    const bool done = write_whole(opened, file.bytes) && fsync(opened) == 0;
    const int why = errno;
    const bool closed = close(opened) == 0;
    if (!done) errno = why;
    return done && closed;
}

bool sync_folder(const fs::path& folder) {
    const int opened = open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (opened < 0) return false;
    const bool done = fsync(opened) == 0 || errno == EINVAL;  // some file systems have none for it
    close(opened);
    return done;
}

// What an earlier try left that was broken off.
void sweep(const fs::path& data) {
    std::error_code none;
    for (const auto& entry : fs::directory_iterator(data, none)) {
        if (entry.path().filename().string().starts_with(unfinished)) {
            fs::remove_all(entry.path(), none);
        }
    }
}

// In the place of what is there in one step, if it can be done: some file systems can't exchange.
bool put_in_place(const fs::path& made, const fs::path& place) {
    if (rename(made.c_str(), place.c_str()) == 0) return true;
    if (errno != ENOTEMPTY && errno != EEXIST) return false;
    if (renameat2(AT_FDCWD, made.c_str(), AT_FDCWD, place.c_str(), RENAME_EXCHANGE) == 0) {
        return true;
    }
    const fs::path aside = made.string() + "-before";
    if (rename(place.c_str(), aside.c_str()) != 0) return false;
    if (rename(made.c_str(), place.c_str()) == 0) return true;
    const int why = errno;
    static_cast<void>(rename(aside.c_str(), place.c_str()));
    errno = why;
    return false;
}

OrFault<void> write_folder(const fs::path& data, std::span<const File> files) {
    std::error_code none;
    fs::create_directories(data, none);
    sweep(data);
    std::string made = (data / (std::string(unfinished) + "XXXXXX")).string();
    if (mkdtemp(made.data()) == nullptr) return cannot("written to", data);
    for (const File& file : files) {
        if (write_file(fs::path(made) / file.name, file)) continue;
        const Fault fault = cannot("written to", data);
        sweep(data);
        return fault;
    }
    const fs::path place = certificates_in(data);
    if (!sync_folder(made) || !put_in_place(made, place) || !sync_folder(data)) {
        const Fault fault = cannot("put in their place in", data);
        sweep(data);
        return fault;
    }
    sweep(data);  // what was there before
    return {};
}

OrFault<File> read_as(const fs::path& path, const std::string& name) {
    std::ifstream in(path, std::ios::binary);
    std::string bytes(std::istreambuf_iterator<char>(in), {});
    if (!in.is_open() || in.bad()) return cannot("read from", path);
    return File(name, std::move(bytes));
}

// The same bytes are there already, as when a mirror is followed on.
bool has(const fs::path& data, std::span<const File> files) {
    for (const File& file : files) {
        const auto there = read_as(certificates_in(data) / file.name, file.name);
        if (!there || there->bytes != file.bytes) return false;
    }
    return true;
}

// The authority and the spare's pair, as the files they are there.
OrFault<std::vector<File>> spare_files(const fs::path& from, const std::vector<std::string>& as) {
    const fs::path folder = certificates_in(from);
    std::vector<File> files;
    auto authority = read_as(folder / "authority.pem", "authority.pem");
    if (!authority) return authority.error();
    files.push_back(std::move(*authority));
    for (const std::string& name : as) {
        for (const std::string end : {".pem", ".key"}) {
            auto file = read_as(folder / ("spare" + end), name + end);
            if (!file) return file.error();
            files.push_back(std::move(*file));
        }
    }
    return files;
}

bool has_spare(const fs::path& folder) {
    std::error_code none;
    return fs::exists(certificates_in(folder) / "spare.pem", none);
}

}  // namespace

fs::path certificates_in(const fs::path& data) { return data / "certificates"; }

IdentityFiles hub_files(const fs::path& data) {
    const fs::path folder = certificates_in(data);
    return {folder / "hub.pem", folder / "hub.key", folder / "authority.pem"};
}

OrFault<void> keep_certificates(const fs::path& data, const CertificateSet& made) {
    std::vector<File> files;
    files.emplace_back("authority.pem", made.authority);
    files.emplace_back("hub.pem", made.hub.certificate);
    files.emplace_back("hub.key", made.hub.key);
    files.emplace_back("spare.pem", made.spare.certificate);
    files.emplace_back("spare.key", made.spare.key);
    return write_folder(data, files);
}

OrFault<void> copy_certificates(const fs::path& from, const fs::path& copy) {
    if (!has_spare(from)) return {};
    auto files = spare_files(from, {"spare"});
    if (!files) return files.error();
    if (has(copy, *files)) return {};
    return write_folder(copy, *files);
}

OrFault<void> take_certificates(const fs::path& copy, const fs::path& data) {
    std::error_code none;
    if (!has_spare(copy) || fs::exists(certificates_in(data), none)) return {};
    auto files = spare_files(copy, {"hub", "spare"});
    if (!files) return files.error();
    return write_folder(data, *files);
}

}  // namespace honbu

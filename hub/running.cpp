#include "hub/running.h"

#include <charconv>
#include <fstream>
#include <sstream>
#include <system_error>

#include <unistd.h>

#include "hub/text_file.h"

namespace honbu {
namespace {

namespace fs = std::filesystem;
constexpr const char* running_name = "running";

fs::path program_of(const std::string& process) {
    std::error_code none;
    return fs::read_symlink("/proc/" + process + "/exe", none);
}

}  // namespace

OrFault<void> put_beside(const fs::path& folder, const char* name, const std::string& text) {
    const fs::path file = folder / name;
    const fs::path fresh = folder / (std::string(name) + ".new");
    std::ofstream out(fresh, std::ios::binary | std::ios::trunc);
    out << text << std::flush;
    const bool whole = out.good();
    out.close();
    std::error_code failed;
    if (whole) fs::rename(fresh, file, failed);
    if (whole && !failed) return {};
    std::error_code ignored;
    fs::remove(fresh, ignored);
    return Fault{"The file " + file.string() +
                 " can't be written: honbu status will not find this hub by its folder. The hub "
                 "itself goes on."};
}

OrFault<void> say_running(const fs::path& folder, const Running& now) {
    return put_beside(folder, running_name,
                      "process " + std::to_string(now.process) + "\nurl " + now.url + "\nsince " +
                          now.since + "\nversion " + now.version + "\n");
}

void say_stopped(const fs::path& folder) {
    std::error_code ignored;
    fs::remove(folder / running_name, ignored);
}

std::optional<Running> running_in(const fs::path& folder) {
    const auto text = read_text(folder / running_name);
    if (!text) return std::nullopt;
    Running found;
    std::istringstream lines(*text);
    std::string line;
    while (std::getline(lines, line)) {
        const std::size_t blank = line.find(' ');
        if (blank == std::string::npos) continue;
        const std::string name = line.substr(0, blank);
        const std::string value = line.substr(blank + 1);
        if (name == "process") {
            std::from_chars(value.data(), value.data() + value.size(), found.process);
        } else if (name == "url") {
            found.url = value;
        } else if (name == "since") {
            found.since = value;
        } else if (name == "version") {
            found.version = value;
        }
    }
    if (found.process <= 0 || found.url.empty()) return std::nullopt;
    return found;
}

// By the program's name: it may have been built anew since.
bool still_there(const Running& hub) {
    const auto name = [](const fs::path& program) {
        const std::string text = program.filename().string();
        return text.substr(0, text.find(' '));  // "honbu (deleted)"
    };
    return name(program_of(std::to_string(hub.process))) == name(program_of("self"));
}

std::string own_url(bool encrypted, const std::string& ip, std::uint16_t port) {
    std::string host = ip == "0.0.0.0" ? "127.0.0.1" : ip == "::" ? "::1" : ip;
    if (host.find(':') != std::string::npos) host = "[" + host + "]";
    return (encrypted ? "https://" : "http://") + host + ":" + std::to_string(port);
}

}  // namespace honbu

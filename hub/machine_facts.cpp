#include "hub/machine_facts.h"

#include <fstream>
#include <sstream>
#include <system_error>

#include <CLI/CLI.hpp>
#include <boost/version.hpp>
#include <openssl/crypto.h>
#include <spdlog/version.h>
#include <sqlite3.h>
#include <sys/resource.h>
#include <sys/utsname.h>
#include <sys/vfs.h>
#include <unistd.h>

#include "engine/bout/fold.h"
#include "hub/core/message.h"
#include "hub/journal/schema.h"
#include "hub/status_words.h"
#include "hub/version.h"

namespace honbu {
namespace {

std::string first_line(const char* file) {
    std::ifstream in(file);
    std::string line;
    std::getline(in, line);
    return line.empty() ? "not known" : line;
}

// "Debian GNU/Linux 12 (bookworm)".
std::string system_name() {
    std::ifstream in("/etc/os-release");
    const std::string name = "PRETTY_NAME=";
    for (std::string line; std::getline(in, line);) {
        if (line.starts_with(name)) return line.substr(name.size());
    }
    return "not known";
}

std::string hex(long value) {
    std::ostringstream out;
    out << "0x" << std::hex << value;
    return out.str();
}

}  // namespace

std::string machine_facts(const std::filesystem::path& folder) {
    std::string out = "system " + system_name() + "\n";
    utsname kernel{};
    if (uname(&kernel) == 0) {
        out += std::string("kernel ") + kernel.sysname + " " + kernel.release + " " +
               kernel.machine + "\n";
    }
    out += "processors " + std::to_string(sysconf(_SC_NPROCESSORS_ONLN)) + "\n";
    const auto page = static_cast<std::uint64_t>(sysconf(_SC_PAGESIZE));
    out += "memory " + how_big(page * static_cast<std::uint64_t>(sysconf(_SC_PHYS_PAGES))) +
           ", free " + how_big(page * static_cast<std::uint64_t>(sysconf(_SC_AVPHYS_PAGES))) + "\n";
    struct statfs disk {};
    if (statfs(folder.c_str(), &disk) == 0) {
        const auto unit = static_cast<std::uint64_t>(disk.f_bsize);
        out += "disk of the folder: " + how_big(unit * disk.f_blocks) + ", left " +
               how_big(unit * disk.f_bavail) + ", kind " + hex(disk.f_type) + "\n";
    }
    rlimit files{};
    if (getrlimit(RLIMIT_NOFILE, &files) == 0) {
        out += "open files at most " + std::to_string(files.rlim_max) + "\n";
    }
    out += "clock " +
           first_line("/sys/devices/system/clocksource/clocksource0/current_clocksource") + "\n";
    out += "load " + first_line("/proc/loadavg") + "\nup for " + first_line("/proc/uptime") +
           " seconds\n";
    return out;
}

std::string versions() {
    return std::string("honbu ") + version + "\nfold version " + std::to_string(fold_version) +
           "\nwire schema " + std::to_string(wire_schema) + "\njournal schema " +
           std::to_string(journal_schema) + "\ncompiler " + __VERSION__ + "\nSQLite " +
           sqlite3_libversion() + "\n" + OpenSSL_version(OPENSSL_VERSION) + "\nBoost " +
           BOOST_LIB_VERSION + "\nspdlog " + std::to_string(SPDLOG_VER_MAJOR) + "." +
           std::to_string(SPDLOG_VER_MINOR) + "\nCLI11 " + CLI11_VERSION + "\n";
}

}  // namespace honbu

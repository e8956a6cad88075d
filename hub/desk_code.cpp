#include "hub/desk_code.h"

#include <array>
#include <fstream>
#include <iostream>
#include <iterator>
#include <utility>

#include <spdlog/spdlog.h>
#include <sys/random.h>
#include <sys/stat.h>
#include <unistd.h>

#include "engine/record/canon.h"
#include "hub/clock.h"
#include "hub/insist.h"
#include "hub/journal/schema.h"

namespace honbu {
namespace {

constexpr std::string_view signs = "0123456789ABCDEFGHJKMNPQRSTVWXYZ";  // Crockford's Base32
constexpr std::size_t code_signs = 8;

std::filesystem::path file_in(const std::filesystem::path& folder) { return folder / "desk-code"; }

}  // namespace

OrFault<std::string> make_desk_code(const std::filesystem::path& folder) {
    std::array<unsigned char, code_signs> random{};
    INSIST(getrandom(random.data(), random.size(), 0) == static_cast<ssize_t>(random.size()));
    std::string code;
    for (const unsigned char byte : random) {
        if (code.size() == code_signs / 2) code += '-';
        code += signs[byte % signs.size()];
    }
    // Written beside and moved: a running hub reads a whole one or the one before.
    const std::filesystem::path file = file_in(folder);
    const std::filesystem::path beside = file.string() + ".new";
    std::ofstream out(beside);
    std::error_code failed;
    std::filesystem::permissions(
        beside, std::filesystem::perms::owner_read | std::filesystem::perms::owner_write, failed);
    out << hex(code_hash(code)) << "\n";
    out.close();
    // Made by root for a service, it is the service's to read.
    struct stat owner {};
    if (stat(folder.c_str(), &owner) == 0 && owner.st_uid != geteuid() &&
        chown(beside.c_str(), owner.st_uid, owner.st_gid) != 0) {
        failed = std::error_code(errno, std::generic_category());
    }
    if (out && !failed) std::filesystem::rename(beside, file, failed);
    if (!out || failed) {
        return Fault{"No code could be made: the folder " + folder.string() +
                     " can't be written. Free some space there, or look at who owns it."};
    }
    return OrFault<std::string>(boost::system::in_place_value, std::move(code));
}

std::optional<Hash> desk_code_hash(const std::filesystem::path& folder) {
    std::ifstream in(file_in(folder));
    const std::string text{std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
    Hash hash{};
    if (text.size() < 2 * hash.size()) return std::nullopt;
    for (std::size_t i = 0; i < hash.size(); ++i) {
        const std::size_t high = std::string_view("0123456789abcdef").find(text[2 * i]);
        const std::size_t low = std::string_view("0123456789abcdef").find(text[2 * i + 1]);
        if (high == std::string_view::npos || low == std::string_view::npos) return std::nullopt;
        hash[i] = static_cast<std::uint8_t>(high << 4U | low);
    }
    return hash;
}

void forget_desk_code(const std::filesystem::path& folder) {
    std::error_code gone;
    std::filesystem::remove(file_in(folder), gone);
}

void DeskCode::before(const Command& what) {
    const auto* hello = std::get_if<Hello>(&what);
    const bool a_desk = hello != nullptr && hello->role == Role::desk;
    if (!a_desk && !std::holds_alternative<UseCode>(what)) return;
    if (hello != nullptr && hello->entrance == Entrance::crowd) return;
    // Anybody may ask; the disk is asked at most so often.
    constexpr std::uint64_t look_us = 200'000;
    const std::uint64_t now = steady_us();
    if (looked_us_ != 0 && now - looked_us_ < look_us) return;
    looked_us_ = now;
    if (!can_be_read()) return;
    const auto hash = desk_code_hash(folder_);
    if (!hash || hash == expected_ || hash == used_) return;
    expected_ = hash;
    hub_.expect_code(*hash);
}

void DeskCode::after(const Command& what) {
    if (!std::holds_alternative<UseCode>(what) || !expected_ || hub_.expects_code()) return;
    used_ = std::exchange(expected_, std::nullopt);  // also if its file can't be taken away
    forget_desk_code(folder_);
    spdlog::info("The one-time code for a desk was used, or guessed at too often: it does not "
                 "count any more.");
}

// One made by another user of this machine, as by root beside a service.
bool DeskCode::can_be_read() {
    const std::filesystem::path file = file_in(folder_);
    if (access(file.c_str(), F_OK) != 0 || access(file.c_str(), R_OK) == 0) return true;
    if (!std::exchange(warned_, true)) {
        spdlog::warn("The one-time code in {} can't be read by the user that the hub runs as. Make "
                     "one as that user, or as root.",
                     file.string());
    }
    return false;
}

std::string DeskCode::for_the_terminal(bool there_is_a_desk) {
    forget_desk_code(folder_);
    if (there_is_a_desk || isatty(STDOUT_FILENO) == 0) return {};
    const auto code = make_desk_code(folder_);
    if (code) return *code;
    spdlog::warn(code.error().words);
    return {};
}

int show_desk_code(const std::filesystem::path& folder) {
    std::error_code none;
    if (!std::filesystem::exists(journal_file(folder), none)) {
        std::cerr << "There is no journal in " << folder.string()
                  << ". Name the folder that the hub was started with.\n";
        return 1;
    }
    const auto code = make_desk_code(folder);
    if (!code) {
        std::cerr << code.error().words << "\n";
        return 1;
    }
    std::cout << *code
              << "\n\nOpen the hub's desk page and type it there. It makes one desk, once; "
                 "the code before it does not count any more.\n";
    return 0;
}

}  // namespace honbu

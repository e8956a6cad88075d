// The one-time code by which the first desk comes in: shown on the hub's terminal, kept as a hash.
//
// The hash stands in a file of the data folder, so that `honbu code` can make a new one beside a
// running hub: whoever can write there rules the hub anyway. Any thread.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <utility>

#include "engine/record/record.h"
#include "hub/core/hub.h"
#include "hub/fault.h"

namespace honbu {

// Makes a code, "K7QD-3M2X", in place of the one before: 40 random bits, in signs that nobody
// confuses.
[[nodiscard]] OrFault<std::string> make_desk_code(const std::filesystem::path& folder);
// Of the code that holds; nothing: there is none.
std::optional<Hash> desk_code_hash(const std::filesystem::path& folder);
void forget_desk_code(const std::filesystem::path& folder);

// The hub's end of it. Hub thread.
class DeskCode {
public:
    DeskCode(std::filesystem::path folder, Hub& hub) : folder_(std::move(folder)), hub_(hub) {}

    // Another one may have been made beside the running hub.
    void before(const Command& what);
    void after(const Command& what);  // it was used up, by use or by guessing: it is gone
    // A new one where there is no desk, if standard output is a terminal: what is none may be
    // somebody's log.
    std::string for_the_terminal(bool there_is_a_desk);

private:
    const std::filesystem::path folder_;
    Hub& hub_;
    bool can_be_read();
    std::optional<Hash> expected_;
    std::optional<Hash> used_;
    std::uint64_t looked_us_ = 0;
    bool warned_ = false;
};

// honbu code: prints a new one. The exit code.
int show_desk_code(const std::filesystem::path& folder);

}  // namespace honbu

// A file of settings as it stands on the disk: TOML (1.0.0), of it what settings need.
//
// A line is `name = value`; a value is text in quotes, a whole number, true, false, or a list of
// texts on one line. What else TOML knows is refused with its line, never guessed at. (The reader
// that comes with CLI11 2.1 ends a text at a #, knows no line numbers, and passes over what it
// can't read.)
#pragma once

#include <cstddef>
#include <filesystem>
#include <string>
#include <vector>

#include "hub/fault.h"

namespace honbu {

struct FileSetting {
    std::string name;
    std::vector<std::string> values;
    std::size_t line = 0;
};

// "FILE, line 3": where people look.
[[nodiscard]] std::string place(const std::filesystem::path& file, std::size_t line);
[[nodiscard]] OrFault<std::vector<FileSetting>> read_settings_file(
    const std::filesystem::path& file);

}  // namespace honbu

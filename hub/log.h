// The hub's log: lines of words for whoever runs it, on standard error and in a file.
//
// The file turns over by size, and only so many are kept; one that can't be written stops nothing.
// What never stands in a line, at any level: a secret, a token, a one-time code, the query of an
// address. From info up neither does a person's name. Errors: something is lost, or can't be kept.
// Warnings: look at it in a pause. Info: what happened. Debug: for us. Any thread.
#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>
#include <string>

namespace honbu {

struct LogOptions {
    std::string level = "info";
    bool json = false;           // each line one JSON object, for programs
    std::filesystem::path file;  // empty: log/honbu.log in the hub's folder
    std::uint32_t file_mib = 4;  // when the next file begins
    std::uint32_t files = 5;     // kept, the newest among them
};

// From the start: for people, on standard error only.
void log_to_standard_error();
// When the hub's folder is there. Lines go to the file as well from here on.
void log_as_told(const LogOptions& options, const std::filesystem::path& data);
// Where lines go that were meant for the file: the one in use, or empty.
std::filesystem::path log_file_of(const LogOptions& options, const std::filesystem::path& data);

enum class LogLevel : std::uint8_t { debug, info, warning, error };
// For parts that are handed a place for their lines. `part` stands in the line: "net", "journal".
std::function<void(const std::string&)> log_lines(const char* part, LogLevel level);

}  // namespace honbu

// What can be typed after honbu: its commands and what each takes. What they do: serve.h,
// commands.h and replay.h; the options of honbu serve: serve_command.h.
//
// First thing in the program's one thread. What is not understood is said on standard error, with
// what is meant perhaps, and nothing is done.
#pragma once

#include <memory>
#include <optional>

namespace honbu {

class CommandLine {
public:
    CommandLine();
    ~CommandLine();
    CommandLine(const CommandLine&) = delete;
    CommandLine& operator=(const CommandLine&) = delete;

    // The program's exit code, if that is all: help was asked for, or something was not understood.
    [[nodiscard]] std::optional<int> read(int argc, char** argv);
    // After read(), if it went on: does the command's work and returns its exit code.
    int run();
    [[nodiscard]] bool serves() const;  // the command is one that keeps a hub running

private:
    struct Commands;
    std::unique_ptr<Commands> commands_;
};

}  // namespace honbu

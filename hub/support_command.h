// honbu support: one file with what somebody needs who helps from afar, and nothing about people.
//
// Reads only; the file is made anew and never over another. Says what is in it, so that whoever
// gives it away has looked. The names to take out are those of the journal itself.
#pragma once

#include <filesystem>

namespace honbu {

struct SupportOptions {
    std::filesystem::path data;
    std::filesystem::path to;
};
int support(const SupportOptions& options);

}  // namespace honbu

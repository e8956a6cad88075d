// A tar archive of small texts, in the ustar format (POSIX.1-2017, pax, "ustar Interchange
// Format"), so that nobody needs another program to make one and everybody can look into it. Plain
// values, any thread.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

namespace honbu {

struct TarText {
    std::string name;  // at most 100 bytes
    std::string text;
};
std::string tar(const std::vector<TarText>& texts, std::uint64_t unix_s);

}  // namespace honbu

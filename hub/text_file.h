// Reads a whole text file that a person named, or says why it can't be read. Any thread.
#pragma once

#include <filesystem>
#include <string>

#include "hub/fault.h"

namespace honbu {

// At most 4 MiB: what is bigger is not a competition and not a rule set.
[[nodiscard]] OrFault<std::string> read_text(const std::filesystem::path& file);

}  // namespace honbu

// What a machine is, for whoever helps from afar: system, processors, memory, disk, clock. Nothing
// that says whose it is, or what it is called.
#pragma once

#include <filesystem>
#include <string>

namespace honbu {

std::string machine_facts(const std::filesystem::path& folder);  // whose disk is meant
std::string versions();  // of the program, and of what it is built with

}  // namespace honbu

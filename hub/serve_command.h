// The options of honbu serve as they can be given, and those that other commands share.
//
// Each comes into a field of ServeOptions (serve.h), where it says what it means.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include <CLI/CLI.hpp>

#include "hub/certificate_command.h"
#include "hub/serve.h"

namespace honbu {

// Whether it was said anywhere is looked at when all places have been (settings.h).
void takes_data(CLI::App& to, std::filesystem::path& where);
void takes_rules(CLI::App& to, std::vector<std::string>& files);
void takes_config(CLI::App& to);
void takes_serve_options(CLI::App& run, ServeOptions& into);
void takes_certificate_options(CLI::App& to, CertificateOptions& into);

}  // namespace honbu

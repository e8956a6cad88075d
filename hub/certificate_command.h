// honbu certificates: makes what the hub proves itself with, and says what to do next.
//
// Prints to standard output; what is wrong, to standard error. Returns the exit code.
#pragma once

#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

#include "hub/certificates/make.h"

namespace honbu {

struct CertificateOptions {
    std::filesystem::path data;
    std::vector<std::string> names;
    std::vector<std::string> addresses;
    std::uint32_t days = CertificateWish().days;
    bool again = false;
};
int make_certificates_in(const CertificateOptions& options);

}  // namespace honbu

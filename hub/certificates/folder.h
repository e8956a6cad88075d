// The folder `certificates` in a hub's --data folder: written whole or not at all, read at the
// start, and the spare's part of it in every copy.
//
//     authority.pem   what devices trust            hub.pem, hub.key       this hub's own
//                                                   spare.pem, spare.key   for the hub after it
//
// Keys can be read by whoever runs the hub only. A copy has the authority and the spare's pair: the
// hub's own key stays at home. A hub that goes on from a copy shows the spare's pair as its own.
// One thread at a time.
#pragma once

#include <filesystem>

#include "hub/certificates/identity.h"

namespace honbu {

std::filesystem::path certificates_in(const std::filesystem::path& data);
IdentityFiles hub_files(const std::filesystem::path& data);

// Puts the set in the place of what may be there.
[[nodiscard]] OrFault<void> keep_certificates(const std::filesystem::path& data,
                                              const CertificateSet& made);
// The spare's part from a hub's folder, or from a copy's, into a copy. Nothing there: nothing done.
[[nodiscard]] OrFault<void> copy_certificates(const std::filesystem::path& from,
                                              const std::filesystem::path& copy);
// From a copy into the folder of the hub that goes on from it. Those it has already stay.
[[nodiscard]] OrFault<void> take_certificates(const std::filesystem::path& copy,
                                              const std::filesystem::path& data);

}  // namespace honbu

// What the options of honbu serve name, read or made before anything is opened.
//
// Each fault is one text for whoever typed the command. Before the hub's thread has any work.
#pragma once

#include <optional>

#include "hub/core/hub.h"
#include "hub/fault.h"
#include "hub/serve.h"

namespace honbu {

[[nodiscard]] OrFault<void> check_title(const ServeOptions& options);
// All that is wrong with the file in one text, so that it can be mended in one go.
[[nodiscard]] OrFault<Competition> load_competition(const ServeOptions& options);
// Before anything is appended: a start that fails leaves everything as it was. The hub
// has a competition.
[[nodiscard]] OrFault<void> check_loaded(const ServeOptions& options,
                                         const Competition& competition, const Hub& hub);
// What could never be a mirror is refused; a stick that is not there yet is not.
[[nodiscard]] OrFault<void> check_mirror(const ServeOptions& options);
// Brings the copy into the new --data folder; broken off, it is gone on with the next time. True:
// the journal there is a copy until the first record of a new epoch is kept. False: there is no
// copy to go on from, or the journal has gone on from it already.
[[nodiscard]] OrFault<bool> take_copy(const ServeOptions& options);

}  // namespace honbu

// What the options of honbu serve name, read or made before anything is opened.
//
// Each fault is one text for whoever typed the command. Before the hub's thread has any work.
#pragma once

#include "hub/core/hub.h"
#include "hub/fault.h"
#include "hub/serve.h"

namespace honbu {

[[nodiscard]] OrFault<void> check_title(const ServeOptions& options);
// All that is wrong with the file in one text, so that it can be mended in one go.
[[nodiscard]] OrFault<Competition> load_competition(const ServeOptions& options);
// Into the new --data folder; broken off, it is gone on with the next time. Until the first record
// of the new epoch is kept there, it is a copy like any other.
[[nodiscard]] OrFault<void> take_copy(const ServeOptions& options);

}  // namespace honbu

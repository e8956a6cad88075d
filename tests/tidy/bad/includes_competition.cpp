// as: hub/competition/sample.cpp
// expect: includes=3
#include <sqlite3.h>

#include "engine/bout/ruleset.h"
#include "hub/competition/csv.h"
#include "hub/core/hub.h"
#include "hub/feed/feed.h"
#include "hub/wire/wire.h"

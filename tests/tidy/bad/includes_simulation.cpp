// as: tests/simulation/sample_test.cpp
// expect: includes=4
#include <gtest/gtest.h>
#include <sqlite3.h>

#include "engine/bout/call.h"
#include "hub/journal/journal.h"
#include "hub/net/session.h"
#include "tests/simulation/world.h"

// as: hub/wire/sample.cpp
// expect: includes=4
#include <boost/beast/core.hpp>
#include <sqlite3.h>

#include "engine/bout/call.h"
#include "honbu/v1/hub.pb.h"
#include "hub/core/hub.h"
#include "hub/feed/feed.h"
#include "hub/journal/journal.h"

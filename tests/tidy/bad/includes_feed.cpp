// as: hub/feed/sample.cpp
// expect: includes=4
#include <boost/beast/core.hpp>
#include <sqlite3.h>

#include "hub/core/ports.h"
#include "hub/journal/journal.h"
#include "hub/net/session.h"
#include "hub/wire/wire.h"

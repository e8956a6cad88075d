// as: hub/journal/sample.cpp
// expect: includes=5
#include <boost/asio/io_context.hpp>
#include <mutex>
#include <sqlite3.h>
#include <unistd.h>

#include "engine/bout/fold.h"
#include "engine/record/record.h"
#include "honbu/v1/hub.pb.h"
#include "hub/core/ports.h"
#include "hub/feed/feed.h"
#include "hub/net/session.h"

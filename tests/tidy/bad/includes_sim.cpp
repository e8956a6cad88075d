// as: clients/sim/sample.cpp
// expect: includes=4
#include <boost/asio/io_context.hpp>
#include <unistd.h>

#include "clients/sim/loop.h"
#include "engine/table/table.h"
#include "honbu/v1/hub.pb.h"
#include "hub/feed/feed.h"
#include "hub/net/session.h"
#include "hub/wire/heard.h"
#include "tests/generate/script.h"

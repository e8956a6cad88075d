// as: hub/core/sample.cpp
// expect: includes=6
#include <boost/asio/io_context.hpp>
#include <boost/system/result.hpp>
#include <mutex>
#include <sqlite3.h>
#include <thread>

#include "engine/bout/call.h"
#include "honbu/v1/hub.pb.h"
#include "hub/core/hub.h"
#include "hub/net/session.h"

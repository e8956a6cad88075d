// as: hub/net/sample.cpp
// expect: includes=4
#include <boost/asio/io_context.hpp>
#include <boost/beast/core.hpp>
#include <google/protobuf/message.h>
#include <sqlite3.h>

#include "honbu/v1/hub.pb.h"
#include "hub/core/ports.h"
#include "hub/journal/journal.h"
#include "hub/wire/wire.h"

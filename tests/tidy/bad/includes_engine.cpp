// as: engine/bout/sample.cpp
// expect: includes=6
#include <boost/system/result.hpp>
#include <chrono>
#include <iostream>
#include <sqlite3.h>
#include <vector>

#include "engine/bout/call.h"
#include "honbu/v1/hub.pb.h"
#include "hub/core/hub.h"

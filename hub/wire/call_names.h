// The names and words of a line of calls, looked at beside the schema before protobuf reads them:
// what is wrong is then said with the writer's own names. Internal to hub/wire. Pure, any thread.
#pragma once

#include <google/protobuf/struct.pb.h>

#include <set>
#include <string>
#include <string_view>

#include "hub/wire/parts.h"

namespace honbu::wire {

// The first name, word or number in the line that can't stand there goes to `check`.
void look_at_names(const google::protobuf::Struct& line, Check& check);

// In quotes, short and on one line, whatever it was.
std::string quoted(std::string_view text);
// Always in the same order, so that the same mistake is named first.
std::set<std::string> sorted(const google::protobuf::Struct& object);
// null is the same as not there.
bool says(const google::protobuf::Struct& object, const std::string& name);

}  // namespace honbu::wire

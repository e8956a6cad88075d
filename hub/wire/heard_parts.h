// What a ToClient is made of, as values: what heard.cpp and heard_desk.cpp share. Internal to
// hub/wire. Pure, any thread.
#pragma once

#include <string>

#include "honbu/v1/hub.pb.h"
#include "hub/wire/heard.h"

namespace honbu::wire::hears {

std::uint64_t name(const std::string& text);  // what is no name is 0
CallId call_id(const v1::CallRef& ref);
MatId mat_id(std::uint32_t value);
std::uint8_t small(std::uint32_t value);
Seat seat(const v1::Seat& in);
BoutHead head(const v1::BoutHead& in);
BoardSide board_side(const v1::BoardSide& in);
Result result(const v1::Result& in);

Heard asked(const v1::Asked& in);
Heard ask_answered(const v1::AskAnswered& in);
Finished finished(const v1::Finished& in);
Reopened reopened(const v1::Reopened& in);
Heard call_list(const v1::CallList& in);
Heard sheet(const v1::BoutSheet& in);
Heard tables(const v1::Tables& in);
Heard set_aside(const v1::SetAside& in);
Heard record(const v1::Record& in);
Heard people_found(const v1::PeopleFound& in);
Heard door(const v1::Door& in);

}  // namespace honbu::wire::hears

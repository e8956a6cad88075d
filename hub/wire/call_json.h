// Calls as JSON, as people and programs write them: proto3 JSON of hub.proto's Call.
//
// One line is one JSON object. What a line leaves out is taken from `usual`. Never trusts its
// input: a name the schema does not have, a value it does not know, or anything missing is a
// WireFault with a sentence that says which and what could stand there. The way back writes enums
// by name, so that what is written can be read again. Pure functions, any thread.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <variant>

#include "engine/view/mat_view.h"
#include "hub/wire/wire.h"

namespace honbu {

// What a bout is fought under, as the first line of a file may say it.
struct BoutTerms {
    std::optional<std::string> rules;
    std::optional<Duration> time;
    std::optional<Duration> golden;  // limit of golden score; 0: none
};

std::variant<BoutTerms, WireFault> terms_from_json(std::string_view line);
bool looks_like_terms(std::string_view line);  // an object that names one of their fields

// `usual` gives the run and number, term, mat, bout and instant of a call that does not say. A
// `confirm` with nothing in it stands for the result as it is: a Confirm of an empty Result.
std::variant<Call, WireFault> call_from_json(std::string_view line, const Call& usual);

// Enums by name; zeros and empty values are written in frames and results, left out of calls.
std::string to_proto_json(const Call& call);
std::string to_proto_json(const What& what);  // a call without id, bout and instant
std::string to_proto_json(const FrameShown& frame);
std::string to_proto_json(const Result& result);
std::string to_proto_json(const BoutHead& head);
std::string to_proto_json(const MatView& view);
std::string to_proto_json(const Finished& item);
std::string to_proto_json(const Reopened& item);
std::string to_proto_json(const Renamed& item);
std::string to_proto_json(const CallList& list);
std::string to_proto_json(const BoardSide& side);
std::string_view proto_name(Happening why);  // "WHY_TIME_UP"
std::string_view proto_name(Phase phase);
std::string_view proto_name(Sides sides);
std::string_view proto_name(Reason reason);
std::string_view proto_name(PublicNames names);

}  // namespace honbu

// A call in words for people: "waza-ari to white", "shido to red for false attack". Pure, any
// thread.
#pragma once

#include <functional>
#include <string>

#include "engine/bout/call.h"

namespace honbu {

struct TellCalls {
    std::string white = "white";  // words of the two sides
    std::string blue = "blue";
    std::function<std::string(CallId)> name;  // how another call is named
    std::string clock = " of its run";        // whose clock a moved call's moment is on
};
std::string call_words(const What& what, const TellCalls& tell);
// "white, waza-ari": the winner and the way, where the rules are not at hand.
std::string result_words(const Result& result, const TellCalls& tell);

// "0:02:40.000": a moment of the hub's clock, which goes on for hours.
std::string time_text(Instant t);
// "2:40.000": a moment of a bout.
std::string instant_text(Instant t);
// "0:45", "0:45.500": how long something took.
std::string length_text(Duration d);

}  // namespace honbu

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
};
std::string call_words(const What& what, const TellCalls& tell);

// "0:02:40.000"
std::string time_text(Instant t);

}  // namespace honbu

// docs/openapi.json as the program carries it (hub/CMakeLists.txt makes the source).
//
// Constant for the life of the program. Any thread.
#pragma once

#include <string_view>

namespace honbu {

std::string_view openapi_json();

}  // namespace honbu

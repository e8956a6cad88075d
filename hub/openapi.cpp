#include "hub/openapi.h"

// The bytes of docs/openapi.json, assembled in.
extern "C" const char honbu_openapi_begin[];

namespace honbu {

std::string_view openapi_json() { return {honbu_openapi_begin, HONBU_OPENAPI_SIZE}; }

}  // namespace honbu

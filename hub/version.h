// The program's version, for `honbu --version`. The same as in CMakeLists.txt (a test compares).
#pragma once

namespace honbu {

inline constexpr const char* version = "0.1.0";

}  // namespace honbu

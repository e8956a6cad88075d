// as: hub/journal/sample.cpp
// expect: reads_clock=4
// A comment may say steady_clock::now() as often as it likes.
const char* said = "steady_clock::now()";
auto a = std::chrono::steady_clock::now();
auto b = std::chrono::system_clock :: now();
auto c = std::time(nullptr);
int d(timespec* t) { return clock_gettime(0, t); }

// as: tests/unit/sample_test.cpp
// expect: sleeping_test=2
void a() { std::this_thread::sleep_for(std::chrono::milliseconds(10)); }
void b() { sleep(1); }

// as: hub/core/sample.cpp
// expect: test_switch=2
bool is_test = false;
void reset_for_testing();
int latest = 0;

// as: hub/core/sample.cpp
// expect: random_numbers=3
std::random_device device;
std::mt19937_64 numbers(1);
int a = rand();
int brand();

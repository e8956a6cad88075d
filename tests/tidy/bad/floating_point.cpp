// as: engine/bout/sample.cpp
// expect: floating_point=2
double seconds = 1.5;  // a double in a comment is no offence
float f();

// as: engine/bout/sample.cpp
// expect: macro=1
#define INSIST(fact) ((fact) ? void() : insisted(#fact))
#define SQUARE(x) ((x) * (x))

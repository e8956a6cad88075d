// as: hub/core/sample.h
// expect: using_namespace=1
// A header.
#pragma once
using namespace std;

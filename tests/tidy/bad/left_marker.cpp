// as: engine/bout/sample.cpp
// expect: left_marker=2
// TO~DO: do this some day
// FIX~ME
// TO~DO(#12): has a number

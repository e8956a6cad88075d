// as: engine/bout/sample.cpp
// expect: columns=1
// This comment is as wide as it can be and one column more, so that it does not fit beside another !
// This comment is as wide as it can be and one column more, so that it does not fit beside another 

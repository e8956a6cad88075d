// as: engine/bout/time.h
// expect: c_header_name=1
// A header.
#pragma once

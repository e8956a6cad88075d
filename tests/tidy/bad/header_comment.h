// as: engine/bout/sample.h
// expect: header_comment=1
#pragma once
namespace honbu {}

// What no row can see alone: checks 18 to 24 of the competition file.
//
// Numbers that stand twice, categories that contradict themselves, and bouts that wait for what
// never comes. Rows passed checks 8 to 16 before. Pure, any thread.
#pragma once

#include <vector>

#include "hub/competition/fault_list.h"
#include "hub/competition/row.h"

namespace honbu {

void check_whole(const std::vector<Row>& rows, FaultList& faults);

}  // namespace honbu

// What a server has used so far, seen from outside: processor time and memory.
//
// Processor time is what /proc/PID/stat has as utime and stime, in nanoseconds instead of
// hundredths of a second (clock_getcpuclockid). Memory is VmRSS: without the kernel's share.
#pragma once

#include <cstdint>

#include <sys/types.h>

namespace honbu::bench {

std::int64_t cpu_ns(pid_t server);
std::int64_t resident_bytes(pid_t server);

}  // namespace honbu::bench

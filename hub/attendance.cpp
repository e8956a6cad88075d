#include "hub/attendance.h"

#include <utility>

#include <spdlog/spdlog.h>
#include <unistd.h>

#include "hub/clock.h"
#include "hub/running.h"
#include "hub/version.h"

namespace honbu {

// Nothing of it keeps the hub from its work.
Attendance::Attendance(Parts parts)
    : data_(std::move(parts.data)), service_(std::move(parts.service)) {
    Running now;
    now.process = getpid();
    now.url = parts.url;
    now.since = wall_text(wall_ms());
    now.version = version;
    for (const auto& said :
         {say_running(data_, now), put_beside(data_, settings_name, parts.settings)}) {
        if (!said) spdlog::warn(said.error().words);
    }
    service_.ready();
}

Attendance::~Attendance() {
    service_.stopping();
    say_stopped(data_);
}

}  // namespace honbu

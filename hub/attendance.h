// A hub that lets people in says so: to other commands, by a file in its folder (running.h), and to
// systemd, if it started it (service.h). Until it stops. Hub thread.
#pragma once

#include <filesystem>
#include <string>

#include "hub/service.h"

namespace honbu {

class Attendance {
public:
    struct Parts {
        std::filesystem::path data;
        std::string url;       // of the hall's entrance, from this machine
        std::string settings;  // as they hold
        Service::Parts service;
    };
    explicit Attendance(Parts parts);
    ~Attendance();
    Attendance(const Attendance&) = delete;
    Attendance& operator=(const Attendance&) = delete;

private:
    const std::filesystem::path data_;
    Service service_;
};

}  // namespace honbu

// What systemd is told of the hub, if it started it (sd_notify(3), "Type=notify"): ready, how it
// stands, alive, stopping. Without NOTIFY_SOCKET in the environment everything here does nothing.
//
// Signs of life come from the hub's own thread, and only while the journal gets on: a hub that is
// stuck gives none, and systemd starts it anew, which loses nothing that was acknowledged. A small
// thread of this class's own only says when it is time to look; the rest is on the hub's.
#pragma once

#include <condition_variable>
#include <cstdint>
#include <functional>
#include <mutex>
#include <string>
#include <thread>

namespace honbu {

class Service {
public:
    struct Parts {
        std::function<void(std::function<void()>)> post;  // to the hub's thread
        std::function<bool()> gets_on;                    // nothing waits for the disk for long
        std::function<std::string()> status;              // one line, without names
    };
    explicit Service(Parts parts);
    ~Service();
    Service(const Service&) = delete;
    Service& operator=(const Service&) = delete;

    void ready();     // people are let in from now on
    void stopping();  // nothing more is said after this

private:
    void tell(const std::string& words) const;
    void look();
    void run();

    // constant
    const Parts parts_;
    std::string socket_;
    std::uint64_t every_us_ = 0;  // between two looks
    bool watched_ = false;        // signs of life are asked for
    // under the mutex
    std::mutex mutex_;
    std::condition_variable bell_;
    bool ending_ = false;

    std::thread thread_;
};

}  // namespace honbu

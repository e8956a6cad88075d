// The load: tables that send events, screens that receive them, and what it cost the server.
//
//     bench_load --port P --pid PID --speaks hub|plain --screens N --tables T ...
//     bench_load --mats M --bouts B --csv      the competition file for a hub
//
// Events are sent in one of three ways:
//     --flight E --each K    E times: K tables send one each; go on when all screens have them
//     --rate R --events E    evenly, R a second, the tables in turn
//     --busy SECONDS         each table sends its next one as soon as the last is acknowledged
// --settle S waits before memory is read, --idle S measures without events, --look-every US looks
// only so often (crowd.h), --hold waits for a line on standard input before and after the events.
// Prints one line of JSON. Figures, no test.
#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <deque>
#include <map>
#include <string>
#include <utility>
#include <vector>

#include <poll.h>

#include "tests/bench/crowd.h"
#include "tests/bench/server_cost.h"

namespace {

using namespace honbu::bench;
using namespace std::chrono_literals;

using Options = std::map<std::string, std::string>;

Options read(int argc, char** argv) {
    Options out;
    for (int i = 1; i < argc; ++i) {
        const bool value = i + 1 < argc && argv[i + 1][0] != '-';
        const char* name = argv[i];
        out[name + std::min<std::size_t>(2, std::strlen(name))] = value ? argv[++i] : "";
    }
    return out;
}

std::size_t number(const Options& options, const char* name, std::size_t otherwise) {
    const auto found = options.find(name);
    return found == options.end() ? otherwise : std::strtoul(found->second.c_str(), nullptr, 10);
}

double quantile(std::vector<double>& values, double q) {
    if (values.empty()) return 0;
    const auto at = std::min(values.size() - 1,
                             static_cast<std::size_t>(q * static_cast<double>(values.size())));
    std::nth_element(values.begin(), values.begin() + static_cast<std::ptrdiff_t>(at),
                     values.end());
    return values[at];
}

double us(Clock::duration time) { return std::chrono::duration<double, std::micro>(time).count(); }

// Sends events and notes when each was sent, acknowledged and seen.
class Driver {
public:
    Driver(Crowd& crowd, Speech& speech, std::size_t tables, std::size_t screens)
        : crowd_(crowd), speech_(speech), screens_(screens), sent_(tables) {
        crowd.on_view = [this](std::uint32_t version, std::size_t bytes, Clock::time_point at) {
            seen_.push_back({version, at});
            bytes_ += bytes;
            last_news_ = at;
        };
        crowd.on_verdict = [this](std::size_t table, std::uint32_t version, Clock::time_point at) {
            const Clock::time_point sent = sent_[table].front();
            sent_[table].pop_front();
            sent_at_[version] = sent;
            acknowledged_us_.push_back(us(at - sent));
            last_news_ = at;
            if (on_acknowledged) on_acknowledged(table);
        };
    }

    void before() {
        for (std::size_t i = 0; i < speech_.events_before(); ++i) {
            for (std::size_t table = 0; table < sent_.size(); ++table)
                send(table, Clock::now());
            wait([this] { return acknowledged_us_.size() == events_; });
        }
        forget();
    }
    void forget() {
        seen_.clear();
        acknowledged_us_.clear();
        events_ = 0;
        bytes_ = 0;
    }
    void in_flight(std::size_t times, std::size_t each) {
        for (std::size_t i = 0; i < times; ++i) {
            for (std::size_t table = 0; table < each; ++table)
                send(table, Clock::now());
            wait([this] { return seen_.size() >= events_ * screens_; });
        }
    }
    void paced(std::size_t rate, std::size_t events) {
        const Clock::time_point start = Clock::now() + 10ms;
        for (std::size_t i = 0; i < events; ++i) {
            const auto due = start + i * Clock::duration(1s) / rate;
            crowd_.run([due] { return Clock::now() >= due; }, due - Clock::now());
            send(i % sent_.size(), due);
        }
        until_quiet();
    }
    void busy(std::chrono::seconds time) {
        const auto until = Clock::now() + time;
        on_acknowledged = [this, until](std::size_t table) {
            if (Clock::now() < until) send(table, Clock::now());
        };
        for (std::size_t table = 0; table < sent_.size(); ++table)
            send(table, Clock::now());
        crowd_.run([until] { return Clock::now() >= until; }, time);
        on_acknowledged = nullptr;
        until_quiet();
    }
    void print(double seconds, double cpu_us) {
        std::vector<double> shown_us;
        for (const auto& [version, at] : seen_) {
            const auto sent = sent_at_.find(version);
            if (sent != sent_at_.end()) shown_us.push_back(us(at - sent->second));
        }
        const auto deliveries = static_cast<double>(seen_.size());
        std::printf("\"events\":%zu,\"seconds\":%.3f,\"events_a_second\":%.1f,\"deliveries\":%zu,"
                    "\"expected\":%zu,\"bytes\":%.0f,\"cpu_us\":%.0f,\"cpu_us_each\":%.3f,",
                    events_, seconds, static_cast<double>(events_) / seconds, seen_.size(),
                    events_ * screens_, static_cast<double>(bytes_) / std::max(deliveries, 1.0),
                    cpu_us, cpu_us / std::max(deliveries, 1.0));
        std::printf("\"ack_us\":[%.0f,%.0f],\"shown_us\":[%.0f,%.0f],",
                    quantile(acknowledged_us_, 0.5), quantile(acknowledged_us_, 0.99),
                    quantile(shown_us, 0.5), quantile(shown_us, 0.99));
    }

private:
    void send(std::size_t table, Clock::time_point due) {
        const std::string message = speech_.event(table, ++all_events_);
        if (message.empty())
            give_up("there are no more calls in these contests: give more --bouts");
        sent_[table].push_back(due);
        if (!speech_.server_numbers()) sent_at_[all_events_] = due;  // else with the verdict
        ++events_;
        crowd_.say(table, message);
    }
    template<class Done> void wait(const Done& done) {
        if (!crowd_.run(done, 60s)) give_up("events did not reach all screens");
    }
    // Some may have been skipped for newer ones, so their number does not say when all are there.
    void until_quiet() {
        last_news_ = Clock::now();
        crowd_.run([this] { return Clock::now() - last_news_ > 1s; }, 60s);
        quiet_ = Clock::now() - last_news_;
    }

    Crowd& crowd_;
    Speech& speech_;
    std::size_t screens_;
    std::vector<std::deque<Clock::time_point>> sent_;  // by table: not yet acknowledged
    std::map<std::uint32_t, Clock::time_point> sent_at_;
    std::vector<std::pair<std::uint32_t, Clock::time_point>> seen_;
    std::vector<double> acknowledged_us_;
    std::uint32_t all_events_ = 0;
    std::size_t events_ = 0;  // measured
    std::size_t bytes_ = 0;
    Clock::time_point last_news_;

public:
    std::function<void(std::size_t)> on_acknowledged;
    Clock::duration quiet_{};  // of the measured time nothing happened at the end
};

void hold(Crowd& crowd, const char* why) {
    std::printf("%s\n", why);
    std::fflush(stdout);
    pollfd input{0, POLLIN, 0};
    crowd.run([&input] { return poll(&input, 1, 0) > 0; }, 1h);
    while (std::getchar() != '\n') {
    }
}

int measure(const Options& options) {
    const auto pid = static_cast<pid_t>(number(options, "pid", 0));
    const std::size_t tables = number(options, "tables", 1);
    const std::size_t screens = number(options, "screens", 50);
    const bool hub = options.at("speaks") == "hub";
    allow_many_sockets();
    const HallShape hall{tables, number(options, "bouts", 20)};
    const auto speech = hub ? speech_with_hub(hall) : plain_speech();
    Crowd crowd(*speech, static_cast<std::uint16_t>(number(options, "port", 0)));
    Driver driver(crowd, *speech, tables, screens);
    crowd.look_every(std::chrono::microseconds(number(options, "look-every", 0)));
    crowd.open_tables(tables);
    driver.before();

    const auto idle = [&crowd](std::size_t seconds) {
        crowd.run([] { return false; }, std::chrono::seconds(seconds));
    };
    idle(1);
    const std::int64_t memory = resident_bytes(pid);
    std::int64_t cpu = cpu_ns(pid);
    crowd.open_screens(screens);
    const auto of_each = [screens](std::int64_t all) {
        return static_cast<double>(all) / static_cast<double>(screens);
    };
    const double storm_us = of_each(cpu_ns(pid) - cpu) / 1000;
    idle(number(options, "settle", 1));
    const double memory_each = of_each(resident_bytes(pid) - memory);
    const std::size_t idle_s = number(options, "idle", 0);
    cpu = cpu_ns(pid);
    if (idle_s > 0) idle(idle_s);
    const double idle_part = static_cast<double>(cpu_ns(pid) - cpu) / 1e9 /
                             static_cast<double>(std::max<std::size_t>(idle_s, 1));

    const bool held = options.count("hold") != 0;
    if (held) hold(crowd, "ready");
    driver.forget();
    const Clock::time_point start = Clock::now();
    cpu = cpu_ns(pid);
    if (const auto rate = number(options, "rate", 0); rate > 0) {
        driver.paced(rate, number(options, "events", 100));
    } else if (const auto busy = number(options, "busy", 0); busy > 0) {
        driver.busy(std::chrono::seconds(busy));
    } else {
        driver.in_flight(number(options, "flight", 0), number(options, "each", 1));
    }
    const double cpu_us = static_cast<double>(cpu_ns(pid) - cpu) / 1000;
    const double seconds = us(Clock::now() - start - driver.quiet_) / 1e6;
    std::printf("{\"screens\":%zu,\"storm_us\":%.2f,\"memory\":%.0f,\"idle\":%.6f,", screens,
                storm_us, memory_each, idle_part);
    driver.print(seconds, cpu_us);
    std::printf("\"held\":%s}\n", held ? "true" : "false");
    if (held) hold(crowd, "measured");
    return 0;
}

}  // namespace

int main(int argc, char** argv) {
    const Options options = read(argc, argv);
    if (options.count("csv") != 0) {
        const std::string csv = competition_csv(
            {number(options, "mats", 1), number(options, "bouts", 20)});
        std::fwrite(csv.data(), 1, csv.size(), stdout);
        return 0;
    }
    if (options.count("port") == 0 || options.count("pid") == 0 || options.count("speaks") == 0) {
        std::fputs("bench_load needs --port, --pid and --speaks; its first lines say the rest\n",
                   stderr);
        return 2;
    }
    return measure(options);
}

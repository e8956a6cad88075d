// One seed: a competition with its tables, screens and hub, the weather it is held in, and its end.
//
// First everything happens that may happen (lines break, the hub dies, disks fill, tables are
// reloaded and taken over, desks decide, a machine is lost); then the weather clears, every line
// comes up, and all must come right. evening.cpp: who is there; weather.cpp: what befalls them;
// evening_course.cpp: from the beginning to the end. One thread.
#pragma once

#include <memory>
#include <vector>

#include "tests/simulation/desk_page.h"
#include "tests/simulation/hub_process.h"
#include "tests/simulation/screen.h"
#include "tests/simulation/stranger.h"
#include "tests/simulation/table_page.h"

namespace honbu::simulation {

struct Counts {  // what a seed was made of
    std::uint64_t records = 0;
    std::uint64_t calls = 0;
    std::uint64_t set_aside = 0;
    std::uint64_t without_effect = 0;
    std::uint64_t results = 0;
    std::uint64_t by_desk = 0;  // records
    std::uint64_t hub_lives = 0;
    std::uint64_t machines_lost = 0;
    std::uint64_t lies = 0;
    std::uint64_t misled = 0;
    std::uint64_t pages = 0;
    std::uint64_t snaps = 0;
    std::uint64_t cuts = 0;
    std::uint64_t takeovers = 0;
    std::uint64_t checks = 0;
    std::uint64_t virtual_ms = 0;
};

class Evening final : private Door {
public:
    Evening(std::uint32_t seed, bool traced);
    ~Evening() override;
    // Throws Broken if a promise was.
    Counts run();

private:
    struct Seat {  // a table's device and its page, if one is open
        TableStore store;
        Route route;
        Habits habits;
        std::unique_ptr<TablePage> page;
    };
    struct Onlooker {
        Route route;
        std::unique_ptr<Screen> screen;
    };
    struct Desk {
        Route route;
        DeskStore store;
        bool writes = false;  // calls of its own, too
        std::unique_ptr<DeskPage> page;
    };
    // One kind of trouble and how often it comes; 0: not in this seed.
    struct Trouble {
        std::uint32_t mean_ms = 0;
        void (Evening::*strike)() = nullptr;
    };

    std::shared_ptr<Line> connect(const Route& route, std::size_t window,
                                  Line::End& client) override;
    void make_competition();
    void people_arrive();
    Route some_way();
    void tables_arrive();
    void screens_arrive();
    void desks_arrive();
    void open_page(Seat& seat);
    void open_screen(Onlooker& onlooker, Role role, const Subscribe& wish);
    void open_desk(Desk& desk);
    void start_hub();
    void bury_hub(bool nothing_arrives);
    void hub_died();
    void plan_troubles();
    void plan(Trouble trouble);
    void snap_all(std::uint32_t late_ms, bool nothing);

    // -- troubles
    void snap_a_line();
    void cut_a_route();
    void kill_hub();
    void lose_machine();
    void fill_disk();
    void fail_sync();
    void slow_disk();
    void close_a_page();
    void take_over_a_mat();
    void step_a_wall_clock();
    void reload_a_screen();
    void reload_a_desk();

    void clear_weather();
    void break_all_lines();
    bool quiet() const;
    void run_until(std::uint64_t end);
    void check_end();
    void count();
    Seat& some_seat();
    Desk& some_desk();
    Route& some_route();

    Agenda agenda_;
    generate::Lots lots_;
    Trace trace_;
    Competition competition_;
    std::unique_ptr<Checker> checker_;
    std::unique_ptr<Disk> disk_;
    Hall hall_;
    std::unique_ptr<HubProcess> hub_;
    std::vector<std::unique_ptr<HubProcess>> graveyard_;
    std::vector<std::unique_ptr<Seat>> seats_;
    std::vector<std::unique_ptr<Onlooker>> onlookers_;
    std::vector<std::unique_ptr<Desk>> desks_;
    Route stranger_route_;
    std::unique_ptr<Stranger> stranger_;
    std::uint16_t mats_ = 0;
    std::uint32_t desk_acts_ = 0;  // in hundred seconds
    std::uint64_t runs_begun_ = 0;
    std::uint64_t screens_begun_ = 0;
    Epoch epoch_{0xe0};  // that the next hub begins or goes on as
    bool has_copy_ = false;
    bool disk_lies_ = false;
    bool storm_ = true;
    Counts counts_;
};

}  // namespace honbu::simulation

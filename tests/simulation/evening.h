// One seed: a competition with its tables, screens and hub, the weather it is held in, and its end.
//
// First everything happens that may happen (lines break, the hub dies, disks fill, tables are
// reloaded and taken over); then the weather clears, every line comes up, and all must come right.
// One thread.
#pragma once

#include <memory>
#include <vector>

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
    std::uint64_t hub_lives = 0;
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
    // One kind of trouble and how often it comes; 0: not in this seed.
    struct Trouble {
        std::uint32_t mean_ms = 0;
        void (Evening::*strike)() = nullptr;
    };

    std::shared_ptr<Line> connect(const Route& route, std::size_t window,
                                  Line::End& client) override;
    void make_competition();
    void people_arrive();
    void open_page(Seat& seat);
    void start_hub();
    void hub_died();
    void plan(Trouble trouble);

    // -- troubles
    void snap_a_line();
    void cut_a_route();
    void kill_hub();
    void fill_disk();
    void fail_sync();
    void slow_disk();
    void close_a_page();
    void take_over_a_mat();
    void step_a_wall_clock();
    void reload_a_screen();

    void clear_weather();
    void break_all_lines();
    bool quiet() const;
    void run_until(std::uint64_t end);
    void check_end();
    Seat& some_seat();
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
    Route stranger_route_;
    std::unique_ptr<Stranger> stranger_;
    std::uint16_t mats_ = 0;
    std::uint64_t runs_begun_ = 0;
    std::uint64_t screens_begun_ = 0;
    bool storm_ = true;
    Counts counts_;
};

}  // namespace honbu::simulation

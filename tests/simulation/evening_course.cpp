// An evening from its beginning to its end.
#include <algorithm>

#include "tests/simulation/evening.h"

namespace honbu::simulation {

Counts Evening::run() {
    start_hub();
    people_arrive();
    plan_troubles();
    run_until(lots_.from_to(30'000, 400'000));
    clear_weather();
    break_all_lines();
    const std::uint64_t end = agenda_.now() + 180'000;
    while (agenda_.now() < end && !quiet())
        run_until(agenda_.now() + 1'000);
    run_until(agenda_.now() + 12'000);  // what was given up meanwhile has been noticed
    while (agenda_.now() < end && !quiet())
        run_until(agenda_.now() + 1'000);
    check_end();
    return counts_;
}

void Evening::run_until(std::uint64_t end) {
    agenda_.in(end - agenda_.now(), [] {});
    while (agenda_.now() < end && agenda_.step()) {
    }
}

void Evening::clear_weather() {
    trace_.line("weather", "clears");
    storm_ = false;
    disk_->full_until = 0;
    disk_->fails_next = false;
    disk_->sync_ms_max = 10;
    for (const auto& seat : seats_) {
        seat->route.cut_until = {};
        if (seat->page)
            seat->page->stop_pressing();
        else
            open_page(*seat);
    }
    for (const auto& onlooker : onlookers_)
        onlooker->route.cut_until = {};
    for (const auto& desk : desks_) {
        desk->route.cut_until = {};
        desk->page->stop();
    }
    if (stranger_) stranger_->stop();
    if (hub_) hub_->die_in(0xffffffffU);
}

// Once more, while the disk is slow: what was sent is sent again before it is kept.
void Evening::break_all_lines() {
    disk_->sync_ms_max = 4'000;
    snap_all(3'000, false);
    agenda_.in(6'000, [this] { disk_->sync_ms_max = 10; });
}

bool Evening::quiet() const {
    if (!hub_ || !hub_->lets_in() || !disk_->idle() || !hub_->all_told()) return false;
    for (const auto& seat : seats_) {
        const TablePage& page = *seat->page;
        if (!page.up() || page.table().unsent() > 0 || page.unsaved() > 0 || !page.idle()) {
            return false;
        }
        if (!page.settled()) return false;
    }
    for (const auto& desk : desks_) {
        if (!desk->page->up() || !desk->page->idle() || !desk->page->settled()) return false;
    }
    return std::all_of(onlookers_.begin(), onlookers_.end(), [](const auto& onlooker) {
        return onlooker->screen->up() && onlooker->screen->idle();
    });
}

void Evening::check_end() {
    std::vector<Followed> screens;
    for (const auto& onlooker : onlookers_)
        screens.push_back(onlooker->screen->following().followed());
    for (const auto& desk : desks_)
        screens.push_back(desk->page->following().followed());
    checker_->all_quiet(screens);
    for (const auto& seat : seats_) {
        const DeviceId device = seat->store.device;
        const TablePage& page = *seat->page;
        checker_->table_quiet(device, page.table().unsent());
        for (const TableStore::KeptCall& kept : seat->store.calls)
            checker_->verdict_kept(device, kept.call.id, kept.verdict);
        if (page.table().charge() == Table::Charge::in_charge) {
            checker_->table_agrees(device, page.table().view());
        }
    }
    checker_->hub_state(hub_->hub().state_bytes(), "the end");
    HubTime time;
    time.began = agenda_.now();
    HubProcess again(agenda_, *disk_, *checker_, trace_, time);
    again.died = [] {};
    again.start(competition_, epoch_);  // replays all of it, and compares
    // At a few places, and now and then at every one.
    const std::size_t kept = disk_->kept().size();
    again.compare_checkpoints(lots_.below(100) == 0 ? 1 : kept / 3 + 1);
    count();
}

void Evening::count() {
    const Reading& truth = checker_->known();
    counts_.records = truth.number().value;
    counts_.results = truth.results().size();
    counts_.checks = checker_->checks();
    counts_.misled = checker_->misled();
    counts_.virtual_ms = agenda_.now();
    for (const auto& desk : desks_)
        counts_.by_desk += desk->page->decided();
    for (const auto& [run, calls] : truth.runs()) {
        counts_.calls += calls.size();
        for (const Reading::CallRead& call : calls) {
            counts_.set_aside += call.verdict == Verdict::set_aside ? 1 : 0;
            counts_.without_effect += call.verdict == Verdict::without_effect ? 1 : 0;
        }
    }
}

}  // namespace honbu::simulation

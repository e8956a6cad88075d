// What befalls the people of an evening: one function for each kind of trouble.
#include <algorithm>
#include <array>

#include "tests/simulation/evening.h"

namespace honbu::simulation {

// Each kind is in a seed or not, and comes rarely or often. Of losses of what was acknowledged at
// most one kind is in a seed.
void Evening::plan_troubles() {
    constexpr std::array strikes = {
        &Evening::snap_a_line,     &Evening::cut_a_route,     &Evening::kill_hub,
        &Evening::fill_disk,       &Evening::fail_sync,       &Evening::slow_disk,
        &Evening::close_a_page,    &Evening::take_over_a_mat, &Evening::step_a_wall_clock,
        &Evening::reload_a_screen, &Evening::reload_a_desk,
    };
    constexpr std::array means = {4'000U, 12'000U, 30'000U, 90'000U};
    for (const auto strike : strikes) {
        const bool here = lots_.in_hundred(60);
        const std::uint32_t mean = means[lots_.below(means.size())];
        if (here) plan({mean, strike});
    }
    const std::uint32_t lot = lots_.below(100);
    has_copy_ = lot < 30;
    disk_lies_ = lot >= 30 && lot < 38;
    if (!has_copy_) return;
    constexpr std::array lags = {50U, 2'000U, 20'000U};
    disk_->copy_lag_ms_max = lags[lots_.below(lags.size())];
    disk_->copy_follows();
    plan({lots_.in_hundred(50) ? 60'000U : 200'000U, &Evening::lose_machine});
}

void Evening::plan(Trouble trouble) {
    if (trouble.mean_ms == 0) return;
    agenda_.in(lots_.from_to(1, 2 * trouble.mean_ms), [this, trouble] {
        if (!storm_) return;
        (this->*trouble.strike)();
        plan(trouble);
    });
}

Evening::Seat& Evening::some_seat() {
    return *seats_[lots_.below(static_cast<std::uint32_t>(seats_.size()))];
}

Evening::Desk& Evening::some_desk() {
    return *desks_[lots_.below(static_cast<std::uint32_t>(desks_.size()))];
}

Route& Evening::some_route() {
    const std::uint32_t lot = lots_.below(100);
    if (lot < 55) return some_seat().route;
    if (lot < 70) return some_desk().route;
    return onlookers_[lots_.below(static_cast<std::uint32_t>(onlookers_.size()))]->route;
}

void Evening::snap_a_line() {
    ++counts_.snaps;
    if (lots_.in_hundred(25)) {
        some_desk().page->snap(lots_.in_hundred(50) ? 50 : 5'000);
    } else if (lots_.in_hundred(70)) {
        Seat& seat = some_seat();
        if (!seat.page) return;
        trace_.line("network",
                    "table " + std::to_string(seat.store.device.value) + "'s line breaks");
        seat.page->snap(lots_.in_hundred(50) ? 50 : 5'000);
    } else {
        const auto lot = lots_.below(static_cast<std::uint32_t>(onlookers_.size()));
        onlookers_[lot]->screen->snap(lots_.in_hundred(50) ? 50 : 5'000);
    }
}

void Evening::cut_a_route() {
    ++counts_.cuts;
    Route& route = some_route();
    const std::uint64_t until = agenda_.now() + lots_.from_to(500, 40'000);
    trace_.line("network", "a route is cut until " + std::to_string(until / 1'000) + " s");
    const std::uint32_t way = lots_.below(3);
    if (way != 0) route.cut_until[0] = until;
    if (way != 1) route.cut_until[1] = until;
}

void Evening::kill_hub() {
    if (!hub_) return;
    if (lots_.in_hundred(70)) {
        hub_->die_in(lots_.below(60));
    } else {
        hub_died();
    }
}

// The machine is gone for good, with what it had not copied yet. A hub begins from the copy.
void Evening::lose_machine() {
    if (!has_copy_ || disk_->copied() < 2) return;
    ++counts_.machines_lost;
    disk_->go_on_from_copy();
    epoch_ = Epoch{(std::uint64_t{lots_.any()} << 32) + lots_.any() + 1};
    bury_hub(true);
}

void Evening::fill_disk() { disk_->full_until = agenda_.now() + lots_.from_to(500, 15'000); }
void Evening::fail_sync() { disk_->fails_next = true; }
void Evening::slow_disk() { disk_->sync_ms_max = lots_.in_hundred(50) ? 15 : 900; }

void Evening::close_a_page() {
    Seat& seat = some_seat();
    if (!seat.page) return;
    trace_.line("table " + std::to_string(seat.store.device.value), "its page is gone");
    seat.page.reset();
    const std::uint32_t wait = lots_.in_hundred(60) ? lots_.below(1'500) : lots_.below(60'000);
    agenda_.in(wait, [this, &seat] {
        if (!seat.page) open_page(seat);
    });
}

void Evening::take_over_a_mat() {
    Seat& seat = some_seat();
    if (!seat.page || !seat.page->up()) return;
    ++counts_.takeovers;
    const MatId mat{static_cast<std::uint16_t>(1 + lots_.below(mats_))};
    trace_.line("table " + std::to_string(seat.store.device.value),
                "takes mat " + std::to_string(mat.value) + ", whoever has it");
    seat.page->take(mat, true);
}

void Evening::step_a_wall_clock() {
    some_seat().store.wall_skew_ms += static_cast<std::int64_t>(lots_.below(20'000)) - 10'000;
}

void Evening::reload_a_screen() {
    Onlooker& one = *onlookers_[lots_.below(static_cast<std::uint32_t>(onlookers_.size()))];
    open_screen(one, one.screen->role(), one.screen->following().wish());
}

void Evening::reload_a_desk() {
    Desk& desk = some_desk();
    trace_.line("desk", "its page is loaded again");
    open_desk(desk);
}

}  // namespace honbu::simulation

#include "tests/simulation/evening.h"

#include <algorithm>
#include <array>

#include "tests/generate/shipped.h"

namespace honbu::simulation {
namespace {

constexpr std::array first_names = {"Aino", "Bela", "Ciro", "Dagny", "Emre", "Fleur", "Goran"};
constexpr std::array last_names = {"Halm", "Iversen", "Jurak", "Kestrel", "Lindqvist", "Moana"};

std::map<PersonId, Named> named(const Competition& competition) {
    std::map<PersonId, Named> out;
    for (const Person& person : competition.people)
        out[person.id] = {person.name, person.club};
    return out;
}

}  // namespace

Evening::Evening(std::uint32_t seed, bool traced)
    : lots_(seed), trace_(agenda_, traced), hall_{agenda_, lots_, trace_, *this} {
    make_competition();
    checker_ = std::make_unique<Checker>(named(competition_));
    disk_ = std::make_unique<Disk>(agenda_, lots_, *checker_, trace_);
}
Evening::~Evening() = default;

void Evening::make_competition() {
    mats_ = static_cast<std::uint16_t>(lots_.from_to(1, 3));
    CompetitionLoaded& loaded = competition_.loaded;
    loaded.title = "Lantern evening";
    const auto& all = generate::all_rules();
    for (std::uint32_t i = 0; i < 2; ++i) {
        const RuleSet& rules = all[lots_.below(static_cast<std::uint32_t>(all.size()))];
        loaded.rules.push_back(rules);
        const Duration time = seconds(lots_.in_hundred(50) ? 240 : 120);
        loaded.categories.push_back({"category " + std::to_string(i + 1),
                                     static_cast<std::uint16_t>(i), time,
                                     rules.golden_limit_for(time, nullptr)});
    }
    const std::uint32_t bouts = mats_ * lots_.from_to(2, 4);
    std::uint32_t persons = 0;
    const auto slot = [&](std::uint32_t bout) {
        if (bout > 1 && lots_.in_hundred(40)) {
            const auto from = lots_.in_hundred(70) ? Slot::From::winner_of : Slot::From::loser_of;
            return Slot{from, lots_.from_to(1, bout - 1)};
        }
        ++persons;
        competition_.people.push_back({PersonId{persons},
                                       std::string(first_names[lots_.below(first_names.size())]) +
                                           " " + last_names[lots_.below(last_names.size())],
                                       "Club " + std::to_string(persons % 5)});
        return Slot{Slot::From::person, persons};
    };
    for (std::uint32_t bout = 1; bout <= bouts; ++bout) {
        BoutEntry entry;
        entry.bout = BoutId{bout};
        entry.mat = MatId{static_cast<std::uint16_t>(1 + (bout - 1) % mats_)};
        entry.category = static_cast<std::uint16_t>(lots_.below(2));
        entry.round = "round " + std::to_string(1 + bout / 4);
        entry.white = slot(bout);
        entry.blue = slot(bout);
        loaded.bouts.push_back(entry);
    }
}

void Evening::people_arrive() {
    const auto some_way = [this] {
        Route route;
        route.delay_ms_min = lots_.from_to(1, 20);
        route.delay_ms_max = route.delay_ms_min + (lots_.in_hundred(30) ? 400 : 20);
        return route;
    };
    const std::uint32_t spare = lots_.below(3);
    const std::uint32_t haste = 1 + lots_.below(12);
    const std::uint32_t random_share = lots_.below(101);
    for (std::uint32_t i = 0; i < mats_ + spare; ++i) {
        auto seat = std::make_unique<Seat>();
        seat->store.device = DeviceId{i + 1};
        seat->store.wall_skew_ms = 5'000'000 + lots_.from_to(0, 600'000);
        seat->store.drift_ppm = static_cast<std::int32_t>(lots_.from_to(0, 400)) - 200;
        seat->store.save_ms_max = lots_.in_hundred(20) ? 800 : 30;
        if (i < mats_) seat->store.mat = MatId{static_cast<std::uint16_t>(i + 1)};
        seat->route = some_way();
        seat->habits = {haste, random_share, 30};
        seats_.push_back(std::move(seat));
    }
    for (auto& seat : seats_)
        open_page(*seat);
    constexpr std::array roles = {Role::board, Role::hall, Role::desk};
    for (std::uint32_t i = 0; i < 3; ++i) {
        auto onlooker = std::make_unique<Onlooker>();
        onlooker->route = some_way();
        onlooker->screen = std::make_unique<Screen>(hall_, onlooker->route, *checker_,
                                                    ++screens_begun_, roles[i], i > 0);
        if (lots_.in_hundred(40)) onlooker->screen->window = 1;
        onlooker->screen->begin();
        onlookers_.push_back(std::move(onlooker));
    }
    if (!lots_.in_hundred(40)) return;
    stranger_route_ = some_way();
    stranger_ = std::make_unique<Stranger>(
        hall_, stranger_route_, *checker_, DeviceId{0x5757}, mats_,
        static_cast<std::uint32_t>(competition_.loaded.bouts.size()), lots_.in_hundred(30));
    stranger_->begin();
}

void Evening::open_page(Seat& seat) {
    ++counts_.pages;
    seat.page = std::make_unique<TablePage>(hall_, seat.route, *checker_, seat.store,
                                            RunId{1'000 + ++runs_begun_}, seat.habits);
    if (!storm_) seat.page->stop_pressing();
    seat.page->begin_page();
}

// -- the hub, one life after the other

std::shared_ptr<Line> Evening::connect(const Route& route, std::size_t window, Line::End& client) {
    if (!hub_ || !hub_->lets_in()) return nullptr;
    auto line = std::make_shared<Line>(agenda_, lots_, route);
    line->attach(To::client, &client);
    hub_->accept(line, window);
    return line;
}

void Evening::start_hub() {
    if (hub_) return;
    ++counts_.hub_lives;
    trace_.line("hub", "starts from " + std::to_string(disk_->kept().size()) + " records");
    HubTime time;
    time.began = agenda_.now();
    // The machine's wall clock, which may have been set meanwhile.
    time.first = static_cast<std::uint32_t>(agenda_.now()) + lots_.below(2) * lots_.below(5'000);
    time.drift_ppm = static_cast<std::int32_t>(lots_.from_to(0, 200)) - 100;
    hub_ = std::make_unique<HubProcess>(agenda_, *disk_, *checker_, trace_, time);
    hub_->died = [this] { hub_died(); };
    hub_->start(competition_);
}

void Evening::hub_died() {
    trace_.line("hub", "dies");
    hub_->bury();
    disk_->cut_power();
    for (const auto& seat : seats_) {
        if (seat->page) seat->page->snap(3'000);
    }
    for (const auto& onlooker : onlookers_)
        onlooker->screen->snap(3'000);
    if (stranger_) stranger_->snap(3'000);
    graveyard_.push_back(std::move(hub_));  // it may be in the middle of something
    agenda_.in(0, [this] { graveyard_.clear(); });
    agenda_.in(lots_.from_to(200, 8'000), [this] { start_hub(); });
}

// -- troubles

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

Route& Evening::some_route() {
    if (lots_.in_hundred(60)) return some_seat().route;
    return onlookers_[lots_.below(static_cast<std::uint32_t>(onlookers_.size()))]->route;
}

void Evening::snap_a_line() {
    ++counts_.snaps;
    if (lots_.in_hundred(70)) {
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
    const bool results = one.screen->follows_results();
    one.screen = std::make_unique<Screen>(hall_, one.route, *checker_, ++screens_begun_,
                                          results ? Role::desk : Role::board, results);
    one.screen->begin();
}

// -- the course of it

Counts Evening::run() {
    start_hub();
    people_arrive();
    constexpr std::array strikes = {
        &Evening::snap_a_line,     &Evening::cut_a_route,     &Evening::kill_hub,
        &Evening::fill_disk,       &Evening::fail_sync,       &Evening::slow_disk,
        &Evening::close_a_page,    &Evening::take_over_a_mat, &Evening::step_a_wall_clock,
        &Evening::reload_a_screen,
    };
    constexpr std::array means = {4'000U, 12'000U, 30'000U, 90'000U};
    for (const auto strike : strikes) {
        const bool here = lots_.in_hundred(60);
        const std::uint32_t mean = means[lots_.below(means.size())];
        if (here) plan({mean, strike});
    }
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
    if (stranger_) stranger_->stop();
    if (hub_) hub_->die_in(0xffffffffU);
}

// Once more, while the disk is slow: what was sent is sent again before it is kept.
void Evening::break_all_lines() {
    disk_->sync_ms_max = 4'000;
    for (const auto& seat : seats_)
        seat->page->snap(3'000);
    for (const auto& onlooker : onlookers_)
        onlooker->screen->snap(3'000);
    agenda_.in(6'000, [this] { disk_->sync_ms_max = 10; });
}

bool Evening::quiet() const {
    if (!hub_ || !hub_->lets_in() || !disk_->idle()) return false;
    for (const auto& seat : seats_) {
        const TablePage& page = *seat->page;
        if (!page.up() || page.table().unsent() > 0 || page.unsaved() > 0 || !page.idle()) {
            return false;
        }
    }
    return std::all_of(onlookers_.begin(), onlookers_.end(), [](const auto& onlooker) {
        return onlooker->screen->up() && onlooker->screen->idle();
    });
}

void Evening::check_end() {
    std::vector<Who> screens;
    std::vector<Who> with_results;
    for (const auto& onlooker : onlookers_) {
        screens.push_back(onlooker->screen->who());
        if (onlooker->screen->follows_results()) with_results.push_back(onlooker->screen->who());
    }
    checker_->all_quiet(screens, with_results);
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
    again.start(competition_);  // replays all of it, and compares

    const Reading& truth = checker_->known();
    counts_.records = truth.number().value;
    counts_.results = truth.results().size();
    counts_.checks = checker_->checks();
    counts_.virtual_ms = agenda_.now();
    for (const auto& [run, calls] : truth.runs()) {
        counts_.calls += calls.size();
        for (const Reading::CallRead& call : calls) {
            counts_.set_aside += call.verdict == Verdict::set_aside ? 1 : 0;
            counts_.without_effect += call.verdict == Verdict::without_effect ? 1 : 0;
        }
    }
}

}  // namespace honbu::simulation

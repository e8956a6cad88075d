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

Route Evening::some_way() {
    Route route;
    route.delay_ms_min = lots_.from_to(1, 20);
    route.delay_ms_max = route.delay_ms_min + (lots_.in_hundred(30) ? 400 : 20);
    return route;
}

void Evening::people_arrive() {
    tables_arrive();
    screens_arrive();
    desks_arrive();
    if (!lots_.in_hundred(40)) return;
    stranger_route_ = some_way();
    stranger_ = std::make_unique<Stranger>(
        hall_, stranger_route_, *checker_, DeviceId{0x5757}, mats_,
        static_cast<std::uint32_t>(competition_.loaded.bouts.size()), lots_.in_hundred(30));
    stranger_->begin();
}

void Evening::tables_arrive() {
    const std::uint32_t spare = lots_.below(3);
    const std::uint32_t haste = 1 + lots_.below(12);
    const std::uint32_t random_share = lots_.below(101);
    const std::uint32_t leaves = lots_.in_hundred(50) ? lots_.from_to(5, 40) : 0;
    const bool by_hand = lots_.in_hundred(25);
    std::uint32_t typed = 0;
    for (std::uint32_t i = 0; i < mats_ + spare; ++i) {
        auto seat = std::make_unique<Seat>();
        TableStore& store = seat->store;
        store.device = DeviceId{i + 1};
        store.wall_skew_ms = 5'000'000 + lots_.from_to(0, 600'000);
        store.drift_ppm = static_cast<std::int32_t>(lots_.from_to(0, 400)) - 200;
        store.save_ms_max = lots_.in_hundred(20) ? 800 : 30;
        if (i < mats_) store.mat = MatId{static_cast<std::uint16_t>(i + 1)};
        if (by_hand && lots_.in_hundred(60)) {
            ++typed;
            const std::string names = std::to_string(typed);
            store.typed.push_back(
                {BoutId{0x8000'0000U + typed}, {"white " + names, "blue " + names, "no plan"}});
        }
        seat->route = some_way();
        seat->habits = {haste, random_share, 30, leaves};
        seats_.push_back(std::move(seat));
    }
    for (auto& seat : seats_)
        open_page(*seat);
}

// A board follows the views; the hall the results, the call list and some sheets as well.
void Evening::screens_arrive() {
    for (const Role role : {Role::board, Role::hall}) {
        auto onlooker = std::make_unique<Onlooker>();
        onlooker->route = some_way();
        Subscribe wish;
        wish.all_mats = true;
        wish.results = role == Role::hall;
        wish.call_list = lots_.in_hundred(70);
        for (const BoutEntry& bout : competition_.loaded.bouts) {
            if (role == Role::hall && lots_.in_hundred(30)) wish.sheets.push_back(bout.bout);
        }
        open_screen(*onlooker, role, wish);
        if (lots_.in_hundred(40)) onlooker->screen->window = 1;
        onlookers_.push_back(std::move(onlooker));
    }
}

void Evening::open_screen(Onlooker& onlooker, Role role, const Subscribe& wish) {
    onlooker.screen = std::make_unique<Screen>(hall_, onlooker.route, *checker_, ++screens_begun_,
                                               role, wish);
    onlooker.screen->begin();
}

void Evening::desks_arrive() {
    const std::uint32_t count = lots_.in_hundred(40) ? 2 : 1;
    desk_acts_ = lots_.in_hundred(20) ? 0 : lots_.from_to(5, 60);
    for (std::uint32_t i = 0; i < count; ++i) {
        auto desk = std::make_unique<Desk>();
        desk->route = some_way();
        desk->store.device = DeviceId{first_desk.value + i};
        desk->writes = lots_.in_hundred(75);
        open_desk(*desk);
        if (lots_.in_hundred(30)) desk->page->window = 1;
        desks_.push_back(std::move(desk));
    }
}

void Evening::open_desk(Desk& desk) {
    Subscribe wish;
    wish.all_mats = true;
    wish.results = true;
    wish.call_list = true;
    wish.tables = true;
    wish.set_aside = true;
    wish.audit = true;
    for (const BoutEntry& bout : competition_.loaded.bouts)
        wish.sheets.push_back(bout.bout);
    const RunId run{desk.writes ? 900'000 + ++runs_begun_ : 0};
    desk.page = std::make_unique<DeskPage>(hall_, desk.route, *checker_, ++screens_begun_,
                                           desk.store, run, wish, desk_acts_);
    if (!storm_) desk.page->stop();
    desk.page->begin();
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
    hub_->start(competition_, epoch_);
}

void Evening::snap_all(std::uint32_t late_ms, bool nothing) {
    for (const auto& seat : seats_) {
        if (seat->page) seat->page->snap(late_ms, nothing);
    }
    for (const auto& onlooker : onlookers_)
        onlooker->screen->snap(late_ms, nothing);
    for (const auto& desk : desks_)
        desk->page->snap(late_ms, nothing);
    if (stranger_) stranger_->snap(late_ms, nothing);
}

void Evening::bury_hub(bool nothing_arrives) {
    snap_all(3'000, nothing_arrives);
    if (!hub_) return;
    hub_->bury();
    graveyard_.push_back(std::move(hub_));  // it may be in the middle of something
    agenda_.in(0, [this] { graveyard_.clear(); });
    agenda_.in(lots_.from_to(200, 8'000), [this] { start_hub(); });
}

// A disk that lies loses what it said it keeps; what was under way then reaches nobody.
void Evening::hub_died() {
    trace_.line("hub", "dies");
    disk_->cut_power();
    const bool lies = disk_lies_ && storm_ && disk_->kept().size() > 2 && lots_.in_hundred(40);
    if (lies) {
        ++counts_.lies;
        const auto most = static_cast<std::uint32_t>(disk_->kept().size() - 2);
        disk_->lie(lots_.from_to(1, std::min(most, 12U)));
    }
    bury_hub(lies);
}

}  // namespace honbu::simulation

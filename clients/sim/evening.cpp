#include "clients/sim/evening.h"

#include <algorithm>
#include <iostream>
#include <random>

namespace honbu::sim {
namespace {

constexpr std::uint64_t print_ms = 5'000;
constexpr std::uint64_t look_ms = 100;
constexpr std::uint64_t quiet_us_most = 60'000'000;  // for everything to come right

std::uint64_t mixed(std::uint64_t value) {  // the finalizer of splitmix64
    value = (value ^ (value >> 30)) * 0xbf58'476d'1ce4'e5b9;
    value = (value ^ (value >> 27)) * 0x94d0'49bb'1331'11eb;
    return value ^ (value >> 31);
}

// The same seed is the same device, so that a hall that is played again comes back to its own mats.
DeviceId device_of(std::uint32_t seed, std::size_t place) {
    return DeviceId{mixed((std::uint64_t{seed} << 32) + place + 1) | 1};
}

// A run is one life of one page, never twice the same.
RunId fresh_run() {
    std::random_device random;
    return RunId{(std::uint64_t{random()} << 32 | random()) | 1};
}

// As people see it: the phase, who has what, who wins, in the state now and in all that come.
bool same_bout(const MatView& table, const MatView& screen) {
    if (table.bout.bout != screen.bout.bout || table.frames.size() != screen.frames.size()) {
        return false;
    }
    return std::equal(table.frames.begin(), table.frames.end(), screen.frames.begin(),
                      [](const FrameShown& a, const FrameShown& b) {
                          return a.phase == b.phase && a.white == b.white && a.blue == b.blue &&
                                 a.winner == b.winner && a.words == b.words && a.clock == b.clock;
                      });
}

}  // namespace

Evening::Evening(Hall& hall) : hall_(hall) {
    const Wishes& wishes = hall.wishes;
    for (std::size_t i = 0; i < wishes.tables; ++i) {
        tables_.push_back(
            std::make_unique<PlayedTable>(hall, i, device_of(wishes.seed, i), fresh_run()));
        callers_.push_back(tables_.back().get());
    }
    const auto add = [this](std::uint32_t count, const char* what, Role role) {
        for (std::size_t i = 0; i < count; ++i) {
            screens_.push_back(
                std::make_unique<Screen>(hall_, what + std::to_string(i + 1), role, i));
            callers_.push_back(screens_.back().get());
        }
    };
    add(wishes.boards, "board-", Role::board);
    add(wishes.halls, "hall-", Role::hall);
    add(wishes.desks, "desk-", Role::desk);
}

bool Evening::play() {
    const Wishes& wishes = hall_.wishes;
    std::cout << counted(tables_.size(), "table", "tables") << ", "
              << counted(wishes.boards, "board", "boards") << ", "
              << counted(wishes.halls, "hall screen", "hall screens") << " and "
              << counted(wishes.desks, "desk", "desks") << " go to " << wishes.hub.host << ":"
              << wishes.hub.port << ", seed " << wishes.seed
              << ".\nWaits are from the press at the table: half of them were shorter than the "
                 "first figure, 99 of 100 than the one in brackets.\n"
              << std::flush;
    hall_.loop.on_signal([this] { on_signal(); });
    for (Caller* caller : callers_)
        caller->begin();
    hall_.loop.in_ms(print_ms, [this] { every_while(); });
    hall_.loop.in_ms(look_ms, [this] { look_for_quiet(); });
    if (wishes.seconds > 0) {
        hall_.loop.in_ms(std::uint64_t{wishes.seconds} * 1'000, [this] { begin_quiet_end(); });
    }
    hall_.loop.run();
    print_altogether();
    return hall_.promises.all_well();
}

void Evening::on_signal() {
    if (quiet_) {
        hall_.promises.trouble("Ended before everything had come right.");
        hall_.loop.stop();
    }
    begin_quiet_end();
}

void Evening::begin_quiet_end() {
    if (quiet_) return;
    quiet_ = true;
    quiet_since_us_ = hall_.loop.now_us();
    std::cout << clock_text() << "  the tables press nothing more; what is under way comes in\n"
              << std::flush;
    for (const auto& table : tables_)
        table->stop_pressing();
}

void Evening::look_for_quiet() {
    if (callers_.empty()) {
        hall_.promises.trouble("Nobody is in this hall: ask for tables or screens.");
        end();
        return;
    }
    const bool played_out = !tables_.empty() &&
                            std::all_of(tables_.begin(), tables_.end(), [](const auto& table) {
                                return table->played_out() || table->left();
                            });
    if (played_out || lines_left() == callers_.size()) begin_quiet_end();
    if (quiet_ && std::none_of(callers_.begin(), callers_.end(),
                               [](const Caller* caller) { return caller->was_up(); })) {
        hall_.promises.trouble("Nobody answered at " + hall_.wishes.hub.host + ":" +
                               hall_.wishes.hub.port +
                               ". Is the hub running, and is this its address?");
        end();
        return;
    }
    if (quiet_) {
        const std::vector<std::string> missing = unquiet();
        const bool late = hall_.loop.now_us() - quiet_since_us_ > quiet_us_most;
        if (late) {
            for (const std::string& sentence : missing)
                hall_.promises.broken(sentence);
        }
        if (late || missing.empty()) {
            end();
            return;
        }
    }
    hall_.loop.in_ms(look_ms, [this] { look_for_quiet(); });
}

void Evening::end() {
    for (Caller* caller : callers_)
        caller->leave();
    hall_.loop.stop();
}

std::vector<std::string> Evening::unquiet() const {
    std::vector<std::string> missing;
    for (const Caller* caller : callers_) {
        if (!caller->up() && !caller->left()) {
            missing.push_back(caller->name() + (caller->was_up() ? " did not get back to the hub."
                                                                 : " never reached the hub."));
        }
    }
    for (const auto& table : tables_) {
        if (const std::size_t open = table->without_verdict(); open > 0) {
            missing.push_back(table->name() + " has " + std::to_string(open) +
                              " calls without a verdict.");
        }
    }
    if (!missing.empty()) return missing;
    missing = mats_that_differ();
    const Screen* first = nullptr;
    for (const auto& screen : screens_) {
        if (!screen->follows_results() || screen->left()) continue;
        if (first == nullptr) first = screen.get();
        if (screen->results() != first->results()) {
            missing.push_back(screen->name() + " has other results than " + first->name() + ".");
        }
    }
    return missing;
}

std::vector<std::string> Evening::mats_that_differ() const {
    std::vector<std::string> out;
    std::map<MatId, const Screen*> first;
    const auto sentence = [](MatId mat, const std::string& a, const std::string& b) {
        return "Mat " + std::to_string(mat.value) + " looks otherwise on " + a + " than on " + b +
               ".";
    };
    for (const auto& screen : screens_) {
        if (screen->left()) continue;
        for (const auto& [mat, shown] : screen->mats()) {
            const Screen* other = first.try_emplace(mat, screen.get()).first->second;
            if (other->mats().at(mat).bytes != shown.bytes) {
                out.push_back(sentence(mat, screen->name(), other->name()));
            }
        }
    }
    for (const auto& table : tables_) {
        const auto screen = first.find(table->mat());
        if (screen == first.end() || !table->in_charge()) continue;
        const MatView mine = table->view();
        const MatView& theirs = screen->second->mats().at(table->mat()).view;
        // A bout that was only opened to look at is on the table's own screen and on no other.
        if (!mine.has_bout || mine.bout.bout != theirs.bout.bout) continue;
        if (!same_bout(mine, theirs)) {
            out.push_back(sentence(table->mat(), screen->second->name(), table->name()));
        }
    }
    return out;
}

// -- what is printed

std::string Evening::clock_text() const {
    const std::uint64_t seconds = hall_.loop.now_us() / 1'000'000;
    const std::string rest = std::to_string(seconds % 60);
    return std::to_string(seconds / 60) + ":" + (rest.size() < 2 ? "0" : "") + rest;
}

std::size_t Evening::lines_live() const {
    return static_cast<std::size_t>(
        std::count_if(callers_.begin(), callers_.end(), [](const Caller* c) { return c->live(); }));
}
std::size_t Evening::lines_left() const {
    return static_cast<std::size_t>(
        std::count_if(callers_.begin(), callers_.end(), [](const Caller* c) { return c->left(); }));
}

void Evening::every_while() {
    print_lately();
    hall_.loop.in_ms(print_ms, [this] { every_while(); });
}

void Evening::print_lately() {
    Tally& tally = hall_.tally;
    const std::uint64_t now = hall_.loop.now_us();
    const std::uint64_t gone_us = std::max<std::uint64_t>(now - printed_us_, 1);
    const std::uint64_t done = tally.acknowledged - acknowledged_before_;
    const std::uint64_t open = tally.entered - tally.acknowledged;
    std::cout << clock_text() << "  " << lines_live() << " of " << callers_.size()
              << " live; calls: " << grouped(tally.entered) << ", "
              << (open == 0 ? "all acknowledged" : grouped(open) + " not acknowledged yet") << ", "
              << done * 1'000'000 / gone_us << " a second";
    if (tally.to_verdict.any_lately()) std::cout << ", after " << tally.to_verdict.lately();
    if (tally.to_screen.any_lately())
        std::cout << "; on screens after " << tally.to_screen.lately();
    if (tally.reconnects > 0)
        std::cout << "; " << counted(tally.reconnects, "reconnect", "reconnects");
    std::cout << "\n" << std::flush;
    tally.to_verdict.begin_anew();
    tally.to_screen.begin_anew();
    acknowledged_before_ = tally.acknowledged;
    printed_us_ = now;
}

void Evening::print_altogether() const {
    const Tally& tally = hall_.tally;
    const auto line = [](const char* what, const std::string& text) {
        std::cout << "  " << what << text << "\n";
    };
    std::cout << "\nAfter " << clock_text() << ":\n";
    line("calls          ", grouped(tally.entered) + " entered, " + grouped(tally.sent) +
                                " sent (" + grouped(tally.sent_again) + " times again), " +
                                grouped(tally.acknowledged) + " acknowledged, " +
                                grouped(tally.without_effect) + " without effect, " +
                                grouped(tally.set_aside) + " set aside");
    line("acknowledged   ", "after " + tally.to_verdict.altogether() + ", the longest after " +
                                wait_words(tally.to_verdict.longest_us()));
    line("on screens     ", "after " + tally.to_screen.altogether() + ", the longest after " +
                                wait_words(tally.to_screen.longest_us()));
    line("views          ",
         grouped(tally.views) + " received by " + counted(screens_.size(), "screen", "screens"));
    line("results        ", grouped(tally.confirmed) + " confirmed at the tables, " +
                                grouped(tally.results) + " received by " +
                                counted(hall_.wishes.desks, "desk", "desks"));
    line("lines          ", counted(tally.reconnects, "reconnect", "reconnects") + ", " +
                                counted(tally.goodbyes, "goodbye", "goodbyes") + ", " +
                                counted(tally.refusals, "refusal", "refusals") +
                                (tally.last_words.empty() ? "" : ": " + tally.last_words));
    if (tally.not_taken > 0) {
        line("presses        ", grouped(tally.not_taken) + " that the table itself did not take");
    }
    if (hall_.promises.all_well()) {
        std::cout << "Every call has a verdict, all screens agree, no promise was seen broken.\n";
    } else if (hall_.promises.seen_broken() > 0) {
        std::cout << "PROMISES WERE SEEN BROKEN, " << grouped(hall_.promises.seen_broken())
                  << " times: see above.\n";
    } else {
        std::cout << "It was not played as it was asked for: see above.\n";
    }
    std::cout << std::flush;
}

}  // namespace honbu::sim

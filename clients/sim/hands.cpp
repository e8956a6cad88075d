// The hands at a table: they play the bouts of its mat, contest after contest, and now and then put
// a bout right that was confirmed already.
#include <algorithm>

#include "clients/sim/played_table.h"

namespace honbu::sim {
namespace {

constexpr std::uint32_t put_right_share = 5;        // in hundred bouts
constexpr std::uint32_t between_bouts_ms = 20'000;  // and as much again, by lot
constexpr std::uint64_t look_again_us = 100'000;
constexpr std::uint32_t clock_ms_most = 0xF000'0000;  // a run's clock has 32 bits

// A walkover was taken back, and nobody has bowed in since.
std::vector<generate::KeyPress> ending_without_hajime() {
    std::vector<generate::KeyPress> out;
    for (const char* key : {"fusen_gachi_white", "sore_made", "kachi", "confirm"})
        out.push_back({500, key, {}, {}, false});
    return out;
}

}  // namespace

// Waits on the run's clock, which is not the wall's.
void PlayedTable::wait(std::uint64_t run_ms) {
    hall_.loop.in_us(run_ms * 1'000 / speed_, [this] { operate(); });
}

void PlayedTable::operate() {
    if (!pressing_ || left() || alone_) return;
    if (now().ms > clock_ms_most) {
        hall_.promises.trouble(name() + " stops: its clock has no more room. Play less fast.");
        pressing_ = false;
        return;
    }
    if (!in_charge()) {
        hall_.loop.in_us(look_again_us, [this] { operate(); });
        return;
    }
    if (script_.empty()) {
        next_bout();
        if (played_out_) return;
    } else {
        press_next();
    }
    if (script_.empty()) {
        due_ = now();
        wait(between_bouts_ms + lots_.below(between_bouts_ms));
        return;
    }
    due_ = due_ + Duration{script_.front().wait_ms};
    const Instant clock = now();
    wait(due_ > clock ? (due_ - clock).ms : 0);
}

// A press counts when it was due: how late this program woke up is not part of the contest.
void PlayedTable::press_next() {
    const generate::KeyPress press = script_.front();
    script_.pop_front();
    CallId on;
    if (press.on) {
        const auto real = made_.find(*press.on);
        if (real != made_.end()) on = real->second;
    } else if (press.on_any && !entered_.empty()) {
        on = entered_[lots_.below(static_cast<std::uint32_t>(entered_.size()))];
    }
    const std::string no = table_.press(press.key, on, std::min(due_, now()));
    carry();
    if (!no.empty()) {
        ++hall_.tally.not_taken;
        last_no_ = press.key + ": " + no;
        return;
    }
    if (!entered_.empty()) made_[press.as] = entered_.back();
    if (press.key == "confirm") ++hall_.tally.confirmed;
}

void PlayedTable::next_bout() {
    script_.clear();
    if (scripted_ && endings_ == 0 && !corrected_ && lots_.in_hundred(put_right_share)) {
        corrected_ = true;
        play(generate::correcting_script(lots_));
        return;
    }
    const std::string no = table_.next_bout(now());
    const auto bout = table_.bout();
    if (no.empty()) {
        scripted_ = bout;
        entered_.clear();
        made_.clear();
        carry();
        endings_ = 0;
        corrected_ = false;
        write_script(*bout);
    } else if (endings_ < 2 && bout && no.find("not confirmed") != std::string::npos) {
        // It was left in the middle, or its contest went another way here; or it never began.
        scripted_ = bout;
        carry();
        play(endings_++ == 0 ? generate::ending_script() : ending_without_hajime());
    } else {
        carry();
        played_out_ = true;
        if (endings_ > 0) {
            hall_.promises.trouble(name() + " can't go on: " + no + " It had not taken " +
                                   last_no_);
        }
    }
}

void PlayedTable::write_script(BoutId bout) {
    if (!given_) return;
    for (const BoutGiven& given : given_->bouts) {
        if (given.head.bout != bout) continue;
        play(generate::contest_script(
            Conditions{given_->rules.at(given.rules), given.time, given.golden}, lots_));
    }
}

void PlayedTable::play(std::vector<generate::KeyPress> script) {
    script_.assign(script.begin(), script.end());
    due_ = now();
}

}  // namespace honbu::sim

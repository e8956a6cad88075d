// What the hands at a table do.
#include <algorithm>

#include "tests/simulation/table_page.h"

namespace honbu::simulation {

void TablePage::operate() {
    if (!pressing_) return;
    std::uint32_t wait = 500 + hall_.lots.below(2'000);
    if (habits_.leaves_share > 0 && hall_.lots.in_thousand(habits_.leaves_share)) move_about();
    if (leaving_) {
        // nobody presses while the mat is being handed over
    } else if (table_.charge() != Table::Charge::in_charge) {
        if (up() && !asked_ && mat_ != MatId{} && hall_.lots.in_hundred(30)) {
            take(mat_, question_ && hall_.lots.in_hundred(40));
        }
    } else if (script_.empty() || table_.bout() != scripted_) {
        next_bout();
    } else {
        press_next();
        if (!script_.empty()) wait = script_.front().wait_ms;
    }
    later(wait, [this] { operate(); });
}

// Now and then somebody hands the mat over, sits down at one that is free, looks at another one,
// or asks for somebody.
void TablePage::move_about() {
    generate::Lots& lots = hall_.lots;
    if (!up() || other_journal_) return;
    const bool in_charge = table_.charge() == Table::Charge::in_charge;
    switch (lots.below(5)) {
    case 0:
    case 1:
        if (in_charge) hand_over();
        break;
    case 2:
        if (!in_charge && !asked_ && !free_.empty()) take(*free_.begin(), false);
        break;
    case 3: {
        Subscribe look;
        look.mats = {MatId{static_cast<std::uint16_t>(1 + lots.below(3))}};
        send(look);
        break;
    }
    default: {
        const bool for_mat = !in_charge && lots.in_hundred(50);
        const MatId mat = mat_ != MatId{} ? mat_ : MatId{1};
        send(Ask{mat, for_mat ? AskTo::table : AskTo::desk, for_mat ? About::mat : About::come,
                 "from a table"});
    }
    }
}

// Only when the hub has answered all that was entered here.
void TablePage::hand_over() {
    if (!seated_ || !given_ || table_.unsent() > 0 || unsaved() > 0) return;
    say("hands over mat " + std::to_string(mat_.value));
    leaving_ = send(LeaveMat{mat_, false, given_->term, 0});
}

void TablePage::answer(const Asked& asked) {
    if (!up()) return;
    const bool yes = hall_.lots.in_hundred(60);
    send(AnswerAsk{asked.ask, yes ? Answered::yes : Answered::no, "heard"});
    const bool in_charge = table_.charge() == Table::Charge::in_charge && asked.mat == mat_;
    if (yes && asked.about == About::mat && in_charge && pressing_) hand_over();
}

void TablePage::press_next() {
    const generate::KeyPress press = script_.front();
    script_.pop_front();
    CallId on;
    if (press.on) {
        const auto real = made_.find(*press.on);
        if (real != made_.end()) on = real->second;
    } else if (press.on_any) {
        on = some_call(*table_.bout());
    }
    const std::string no = table_.press(press.key, on, now());
    ++presses_;
    if (hall_.trace.on()) say("presses " + press.key + (no.empty() ? "" : ": " + no));
    step();
    if (no.empty()) made_[press.as] = last_made_;
}

void TablePage::next_bout() {
    script_.clear();
    const std::string no = table_.next_bout(now());
    step();
    if (no.empty()) {
        endings_ = 0;
        write_script(*table_.bout());
        return;
    }
    // The bout on the mat goes on where it was found, and ends; or one of the list is put right.
    const auto bout = table_.bout();
    if (bout && endings_ < 2 && no.find("not confirmed") != std::string::npos) {
        ++endings_;
        scripted_ = bout;
        if (endings_ == 1 && hall_.lots.in_hundred(50)) {
            write_script(*bout);
            return;
        }
        for (generate::KeyPress& press : generate::ending_script())
            script_.push_back(std::move(press));
        return;
    }
    if (!given_ || given_->bouts.empty() || !hall_.lots.in_hundred(habits_.corrects_share)) return;
    const auto lot = hall_.lots.below(static_cast<std::uint32_t>(given_->bouts.size()));
    const BoutId other = given_->bouts[lot].head.bout;
    if (!table_.open_bout(other, now()).empty()) return;
    step();
    endings_ = 0;
    scripted_ = other;
    for (generate::KeyPress& press : generate::correcting_script(hall_.lots))
        script_.push_back(std::move(press));
}

void TablePage::write_script(BoutId bout) {
    scripted_ = bout;
    if (!given_) return;
    for (const BoutGiven& given : given_->bouts) {
        if (given.head.bout != bout) continue;
        const Conditions under{given_->rules.at(given.rules), given.time, given.golden};
        const bool random = hall_.lots.in_hundred(habits_.random_share);
        for (generate::KeyPress& press :
             random ? generate::random_script(under, hall_.lots, hall_.lots.below(50))
                    : generate::contest_script(under, hall_.lots)) {
            press.wait_ms /= random ? 1 : habits_.haste;
            script_.push_back(std::move(press));
        }
    }
}

CallId TablePage::some_call(BoutId bout) {
    const auto found = entered_.find(bout);
    if (found == entered_.end()) return {};
    return found->second[hall_.lots.below(static_cast<std::uint32_t>(found->second.size()))];
}

}  // namespace honbu::simulation

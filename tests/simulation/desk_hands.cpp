// What people at a desk decide, by lot.
#include <algorithm>
#include <array>

#include "engine/record/canon.h"
#include "tests/simulation/desk_page.h"

namespace honbu::simulation {
namespace {

constexpr std::uint32_t at_once = 200;  // calls that may be decided about by one command

}  // namespace

void DeskPage::act() {
    const std::uint32_t lot = hall_.lots.below(100);
    if (lot < 35) return decide();
    if (lot < 55) return enter_result();
    if (lot < 65) return move_record();
    if (lot < 75) return give_back();
    if (lot < 90) return open_bout();
    if (lot < 95) return free_mat();
    if (lot < 98) return ask();
    erase_person();
}

std::uint32_t DeskPage::next_request() { return ++store_.last_request; }

std::string DeskPage::reason(std::uint32_t request) const {
    return "reason " + std::to_string(request) + " of desk " + std::to_string(store_.device.value);
}

void DeskPage::wish(std::uint32_t request, const Command& command, const Fact& fact,
                    const std::vector<RecordNumber>& changed) {
    checker_.desk_wishes(store_.device, request, {fact, changed});
    waiting_[request] = {command};
    send(command);
}

// Often the bout that was looked at last: what is decided about it meets what is under way.
const BoutSheet* DeskPage::some_sheet() {
    const auto& all = following_.sheets();
    if (all.empty()) return nullptr;
    const auto again = all.find(looked_at_);
    if (again != all.end() && hall_.lots.in_hundred(40)) return &again->second;
    const auto lot = hall_.lots.below(static_cast<std::uint32_t>(all.size()));
    const auto some = std::next(all.begin(), lot);
    looked_at_ = some->first;
    return &some->second;
}

// The whole bout, a part of it, or dismissed; into its own bout or into another one.
void DeskPage::decide() {
    generate::Lots& lots = hall_.lots;
    const auto& waiting = following_.set_aside().bouts;
    if (waiting.empty()) return;
    const auto& group = waiting[lots.below(static_cast<std::uint32_t>(waiting.size()))];
    if (group.calls.empty()) return;
    SetAsideDecided decided;
    const std::uint32_t lot = lots.below(100);
    const auto count = static_cast<std::uint32_t>(group.calls.size());
    const std::uint32_t first = lot < 60 ? 0 : lots.below(count);
    const std::uint32_t end = lot < 60 ? count : lots.from_to(first + 1, count);
    const std::uint32_t last = std::min(end, first + at_once);
    for (std::uint32_t i = first; i < last; ++i)
        decided.calls.push_back(group.calls[i].call.id);
    decided.how = SetAsideDecided::How::dismissed;
    if (lots.in_hundred(75)) {
        decided.how = SetAsideDecided::How::taken;
        decided.into = group.bout;
        const BoutSheet* other = some_sheet();
        if ((!group.head || lots.in_hundred(25)) && other != nullptr) {
            decided.into = other->bout.bout;
        }
    }
    const std::uint32_t request = next_request();
    decided.reason = reason(request);
    say("decides about " + std::to_string(decided.calls.size()) + " calls, into bout " +
        std::to_string(decided.into.value) + ", request " + std::to_string(request));
    wish(request, DecideSetAside{request, decided.how, decided.into, decided.calls, decided.reason},
         decided);
}

void DeskPage::enter_result() {
    generate::Lots& lots = hall_.lots;
    const BoutSheet* sheet = some_sheet();
    if (sheet == nullptr) return;
    constexpr std::array ways = {Way::ippon,       Way::waza_ari,    Way::yuko,
                                 Way::kiken_gachi, Way::fusen_gachi, Way::hantei};
    const std::uint32_t request = next_request();
    ResultEntered entered;
    entered.bout = sheet->bout.bout;
    entered.from = sheet->lines.empty() ? ResultEntered::From::paper : ResultEntered::From::desk;
    entered.replaces = lots.in_hundred(90) ? sheet->result_number : RecordNumber{lots.below(30)};
    entered.reason = reason(request);
    Result& result = entered.result;
    const std::uint32_t lot = lots.below(100);
    if (lot < 80) {
        result.winner = winner(lots.side());
        result.way = ways[lots.below(ways.size())];
        result.names_exchanged = lots.in_hundred(10);
    } else if (lot < 85) {
        result.winner = Winner::both_lose;
        result.way = lots.in_hundred(80) ? Way::both_lose : Way::ippon;
    } else if (lot < 90) {
        result.winner = Winner::draw;
        result.way = Way::hiki_wake;
    }
    say("enters a result of bout " + std::to_string(entered.bout.value) + ", request " +
        std::to_string(request));
    wish(request, EnterResult{request, entered, sheet->changed}, entered, {sheet->changed});
}

void DeskPage::move_record() {
    const BoutSheet* from = some_sheet();
    const BoutSheet* to = some_sheet();
    if (from == nullptr || to == nullptr) return;
    const std::uint32_t request = next_request();
    const RecordMoved moved{from->bout.bout, to->bout.bout, reason(request)};
    say("moves the record of bout " + std::to_string(moved.from.value) + " to bout " +
        std::to_string(moved.to.value) + ", request " + std::to_string(request));
    wish(request, MoveRecord{request, moved, from->changed, to->changed}, moved,
         {from->changed, to->changed});
}

void DeskPage::give_back() {
    for (const auto& [bout, sheet] : following_.sheets()) {
        if (!sheet.at_desk || hall_.lots.in_hundred(40)) continue;
        const std::uint32_t request = next_request();
        say("gives back bout " + std::to_string(bout.value) + ", request " +
            std::to_string(request));
        return wish(request, GiveBack{request, bout, sheet.changed}, BoutGivenBack{bout},
                    {sheet.changed});
    }
}

// Whoever stands on a sheet, or what was typed for a bout; sometimes somebody who is gone already.
void DeskPage::erase_person() {
    generate::Lots& lots = hall_.lots;
    PersonErased erased;
    for (const SetAside::OfBout& bout : following_.set_aside().bouts) {
        if (!bout.typed_white.empty() && lots.in_hundred(30)) erased.bout = bout.bout;
    }
    const BoutSheet* sheet = some_sheet();
    if (erased.bout == BoutId{}) {
        if (sheet == nullptr) return;
        erased.person = lots.in_hundred(50) ? sheet->bout.white.person : sheet->bout.blue.person;
        if (erased.person == PersonId{}) return;
    }
    const std::uint32_t request = next_request();
    erased.reason = reason(request);
    say("erases person " + std::to_string(erased.person.value) + " or what was typed for bout " +
        std::to_string(erased.bout.value) + ", request " + std::to_string(request));
    if (lots.in_hundred(50)) send(FindPeople{next_request(), std::to_string(erased.person.value)});
    wish(request, ErasePerson{request, erased}, erased);
}

// With the term that it sees there, so that nobody is put off a mat who has taken it meanwhile.
void DeskPage::free_mat() {
    const auto& mats = following_.tables().mats;
    if (mats.empty()) return;
    const Tables::OfMat& one = mats[hall_.lots.below(static_cast<std::uint32_t>(mats.size()))];
    const bool by_force = hall_.lots.in_hundred(80);
    const std::uint32_t request = next_request();
    const LeaveMat leave{one.mat, by_force, one.term, request};
    say("frees mat " + std::to_string(one.mat.value) + ", request " + std::to_string(request));
    if (by_force) return wish(request, leave, MatFreed{one.mat, one.term, true});
    send(leave);  // without a word to the table: refused
}

void DeskPage::ask() {
    const auto& views = following_.views();
    if (views.empty()) return;
    send(Ask{views.begin()->first, hall_.lots.in_hundred(80) ? AskTo::table : AskTo::desk,
             About::other, "from a desk"});
}

// -- calls of its own

void DeskPage::open_bout() {
    if (run_ == RunId{} || mine_) return;
    const BoutSheet* sheet = some_sheet();
    if (sheet == nullptr) return;
    bout_.reset();
    script_.clear();
    send(OpenBout{next_request(), sheet->bout.bout});
}

void DeskPage::opened(const Allotment& allotment) {
    if (allotment.bouts.size() != 1 || !acting_ || mine_) return;
    generate::Lots& lots = hall_.lots;
    bout_ = allotment;
    const BoutGiven& bout = allotment.bouts.front();
    const Conditions under{allotment.rules.at(bout.rules), bout.time, bout.golden};
    const Phase phase = bout.calls.empty() ? Phase::waiting
                                           : frames(under, bout.calls).front().state.phase;
    const What award = Award{lots.side(), Way::kiken_gachi, 0};
    script_.clear();
    if (phase == Phase::confirmed && lots.in_hundred(50)) {
        script_ = {Accept{}};
    } else if (phase >= Phase::announced) {
        script_ = {Reopen{Ground::administrative}};
        if (lots.in_hundred(30)) script_.push_back(ExchangeNames{});
        if (lots.in_hundred(50)) script_.push_back(award);
        if (lots.in_hundred(70)) {
            for (const What& what : {What{SoreMade{}}, What{Kachi{}}, What{Confirm{}}})
                script_.push_back(what);
        }
    } else {
        script_ = {Called{}};
        if (lots.in_hundred(70)) {
            for (const What& what : {award, What{SoreMade{}}, What{Kachi{}}, What{Confirm{}}})
                script_.push_back(what);
        }
        if (lots.in_hundred(30)) script_.push_back(Accept{});
    }
    say("opens bout " + std::to_string(bout.head.bout.value));
    write_next();
}

void DeskPage::write_next() {
    if (!bout_ || mine_ || !up()) return;
    const BoutGiven& bout = bout_->bouts.front();
    if (!bout.calls.empty() && !Timeline(bout.calls).knows(run_)) {
        const Call& last = bout.calls.back();
        return write(Joint{last.id.run, last.entered, now(), Joint::Source::hub_clock});
    }
    while (!script_.empty() && !mine_) {
        What what = script_.front();
        script_.pop_front();
        if (auto* confirm = std::get_if<Confirm>(&what)) {
            const Conditions under{bout_->rules.at(bout.rules), bout.time, bout.golden};
            const Instant at = Timeline(bout.calls).place(run_, now());
            confirm->result = result_of(under, bout.calls, at);
            // A slip of the pen: it is taken at its word, and marked.
            if (hall_.lots.in_hundred(20)) {
                confirm->result.winner = winner(hall_.lots.side());
                confirm->result.names_exchanged = hall_.lots.in_hundred(50);
            }
        }
        write(what);
    }
}

// Nothing, where it can't be called.
void DeskPage::write(const What& what) {
    const BoutGiven& bout = bout_->bouts.front();
    const Conditions under{bout_->rules.at(bout.rules), bout.time, bout.golden};
    Call call;
    call.id = CallId{run_, CallNumber{given_ + 1}};
    call.mat = bout_->mat;
    call.bout = bout.head.bout;
    call.entered = now();
    call.what = what;
    if (no_entry(under, bout.calls, call)) return;
    call.seen = short_hash(before(under, bout.calls, call));
    if (hall_.trace.on()) {
        say("enters call " + std::to_string(call.id.number.value) + ", bout " +
            std::to_string(call.bout.value) + ": " + std::string(word(call.what)));
    }
    checker_.strange(store_.device, call);
    mine_ = Mine{call};
    send(Submit{call, {}});
}

}  // namespace honbu::simulation

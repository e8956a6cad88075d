#include "tests/simulation/stranger.h"

#include <algorithm>

namespace honbu::simulation {

Hello Stranger::hello() {
    Hello hello;
    hello.schema = wire_schema;
    hello.role = Role::table;
    hello.device = device_;
    hello.run = run_;
    hello.fold_version = fold_version;
    hello.hand = "stranger";
    return hello;
}

void Stranger::hear(const Heard& message, const std::string&) {
    if (const auto* allotment = std::get_if<Allotment>(&message)) term_ = allotment->term;
    if (const auto* given = std::get_if<VerdictGiven>(&message); given && given->call.run == run_) {
        given_ = std::max(given_, given->call.number.value);
    }
}

Call Stranger::some_call(std::uint32_t number) {
    generate::Lots& lots = hall_.lots;
    Call call;
    call.id = CallId{run_, CallNumber{number}};
    call.term = Term{lots.in_hundred(60) ? term_.value : lots.below(4)};
    call.mat = MatId{static_cast<std::uint16_t>(1 + lots.below(mats_ + 1U))};
    call.bout = BoutId{1 + lots.below(bouts_ + 1)};
    call.entered = Instant{static_cast<std::uint32_t>(hall_.agenda.now())};
    call.seen = lots.in_hundred(50) ? 0 : lots.any();
    switch (lots.below(9)) {
    case 0: call.what = Called{}; break;
    case 1: call.what = Hajime{}; break;
    case 2: call.what = Mate{}; break;
    case 3: call.what = Score{only(lots.side()), Level::waza_ari}; break;
    case 4: call.what = Osaekomi{lots.side()}; break;
    case 5: call.what = Strike{CallId{run_, CallNumber{1 + lots.below(9)}}}; break;
    case 6: call.what = SoreMade{}; break;
    case 7: call.what = Accept{}; break;
    default: call.what = Kachi{}; break;
    }
    return call;
}

// Only a desk may; and a desk it is not.
void Stranger::decide() {
    generate::Lots& lots = hall_.lots;
    const BoutId bout{1 + lots.below(bouts_)};
    const MatId mat{static_cast<std::uint16_t>(1 + lots.below(mats_))};
    switch (lots.below(7)) {
    case 0: {
        Subscribe wish;
        wish.tables = wish.set_aside = wish.audit = true;
        send(wish);
        break;
    }
    case 1: send(LeaveMat{mat, true, term_, 1}); break;
    case 2: send(GiveBack{1, bout, {}}); break;
    case 3: send(OpenBout{1, bout}); break;
    case 4:
        send(DecideSetAside{1, SetAsideDecided::How::dismissed, {}, {{run_, CallNumber{1}}}, "no"});
        break;
    case 5: send(MoveRecord{1, {bout, BoutId{1}, "no"}, {}, {}}); break;
    default: {
        EnterResult enter;
        enter.entered.bout = bout;
        enter.entered.from = ResultEntered::From::paper;
        enter.entered.result.winner = winner(lots.side());
        enter.entered.result.way = Way::ippon;
        enter.entered.reason = "no";
        send(enter);
    }
    }
}

void Stranger::each_second() {
    generate::Lots& lots = hall_.lots;
    if (stopped_ || !up()) return;
    if (lots.in_thousand(50)) decide();
    if (takes_mats_ && lots.in_thousand(30)) {
        send(TakeMat{MatId{static_cast<std::uint16_t>(1 + lots.below(mats_))}, true, "stranger"});
    }
    if (!lots.in_hundred(40)) return;
    const auto next = given_ + 1;
    Call call;
    switch (lots.below(6)) {
    case 0:  // the next one, or that again with other content
    case 1:
    case 2: call = some_call(next); break;
    case 3: call = some_call(next + lots.below(4)); break;
    case 4:
        call = sent_.empty() ? some_call(next)
                             : sent_[lots.below(static_cast<std::uint32_t>(sent_.size()))];
        break;
    default: call = some_call(1 + lots.below(next)); break;
    }
    checker_.strange(device_, call);
    if (call.id.number.value == sent_.size() + 1) sent_.push_back(call);
    send(Submit{call});
}

}  // namespace honbu::simulation

#include "tests/simulation/desk_page.h"

#include "engine/record/canon.h"

namespace honbu::simulation {
namespace {

constexpr std::uint64_t retry_ms = 2'000;

}  // namespace

DeskPage::DeskPage(Hall& hall, const Route& route, Checker& checker, Who who, DeskStore& store,
                   RunId run, Subscribe wish, std::uint32_t acts_share)
    : Caller(hall, route, "desk " + std::to_string(store.device.value - first_desk.value)),
      checker_(checker), following_(checker, who, std::move(wish)), store_(store), run_(run),
      acts_share_(acts_share), begun_(hall.agenda.now()) {}

Hello DeskPage::hello() {
    Hello hello;
    hello.schema = wire_schema;
    hello.role = Role::desk;
    hello.device = store_.device;
    hello.run = run_;
    hello.fold_version = fold_version;
    hello.hand = "hand of the desk";
    following_.put_position(hello);
    return hello;
}

void DeskPage::hear(const Heard& message, const std::string& bytes) {
    following_.hear(message, bytes);
    if (const auto* welcome = std::get_if<Welcome>(&message)) {
        on_welcome(*welcome);
    } else if (const auto* done = std::get_if<Done>(&message)) {
        ++decided_;
        waiting_.erase(done->request);
        if (hall_.trace.on()) {
            say("request " + std::to_string(done->request) + " is record " +
                std::to_string(done->record.value) + ": " + done->words);
        }
    } else if (const auto* refusal = std::get_if<Refusal>(&message)) {
        on_refusal(*refusal);
    } else if (const auto* allotment = std::get_if<Allotment>(&message)) {
        opened(*allotment);
    } else if (const auto* given = std::get_if<VerdictGiven>(&message)) {
        if (!mine_ || mine_->call.id != given->call) return;
        const Call call = mine_->call;
        mine_.reset();
        given_ = std::max(given_, call.id.number.value);
        if (given->verdict == Verdict::applied && bout_) {
            bout_->bouts.front().calls.push_back(call);
            later(hall_.lots.from_to(50, 2'000), [this] { write_next(); });
        } else {
            script_.clear();
        }
    } else if (const auto* asked = std::get_if<Asked>(&message)) {
        const auto how = static_cast<Answered>(hall_.lots.from_to(2, 4));
        later(hall_.lots.below(5'000), [this, ask = asked->ask, how] {
            if (up() && acting_) send(AnswerAsk{ask, how, "from the desk"});
        });
    }
}

// What has no answer yet goes out again, or is given up, which nobody can tell from a lost line.
void DeskPage::on_welcome(const Welcome& welcome) {
    send(following_.welcome(welcome));
    given_ = 0;
    for (const RunHead& head : welcome.runs) {
        if (head.run == run_) given_ = head.last.value;
    }
    bout_.reset();
    script_.clear();
    if (mine_ && mine_->call.id.number.value > given_ + 1) mine_.reset();
    if (mine_) send(Submit{mine_->call, {}});
    for (auto at = waiting_.begin(); at != waiting_.end();) {
        if (acting_ && hall_.lots.in_hundred(15)) {
            at = waiting_.erase(at);
            continue;
        }
        if (hall_.trace.on()) say("sends request " + std::to_string(at->first) + " again");
        at->second.again = false;
        send(at->second.command);
        ++at;
    }
}

void DeskPage::on_refusal(const Refusal& refusal) {
    if (hall_.trace.on()) {
        say("is refused, reason " + std::to_string(static_cast<int>(refusal.reason)) + ": " +
            refusal.words);
    }
    const bool later_perhaps = refusal.reason == Cause::no_room;
    if (refusal.about_call && mine_ && mine_->call.id == refusal.call) {
        mine_->again = later_perhaps;
        if (later_perhaps) return;
        mine_.reset();
        script_.clear();
    }
    const auto waits = waiting_.find(refusal.request);
    if (waits == waiting_.end()) return;
    waits->second.again = later_perhaps;
    if (!later_perhaps) waiting_.erase(waits);
}

void DeskPage::each_second() {
    if (!up()) return;
    if (hall_.agenda.now() - tried_again_ > retry_ms) {
        tried_again_ = hall_.agenda.now();
        for (auto& [request, waits] : waiting_) {
            if (std::exchange(waits.again, false)) send(waits.command);
        }
        if (mine_ && std::exchange(mine_->again, false)) send(Submit{mine_->call, {}});
    }
    if (!acting_ || !hall_.lots.in_hundred(acts_share_)) return;
    act();
    if (hall_.lots.in_hundred(30)) act();  // before anything of the first is known
}

}  // namespace honbu::simulation

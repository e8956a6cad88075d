#include "clients/sim/screen.h"

namespace honbu::sim {

Hello Screen::hello() const {
    Hello hello;
    hello.schema = wire_schema;
    hello.role = role_;
    return hello;
}

void Screen::hear(const Heard& message, const std::string& bytes) {
    if (const auto* welcome = std::get_if<Welcome>(&message)) {
        subscribe(*welcome);
    } else if (const auto* view = std::get_if<MatView>(&message)) {
        on_view(*view, bytes);
    } else if (const auto* item = std::get_if<Finished>(&message)) {
        on_result(*item);
    } else if (const auto* refusal = std::get_if<Refusal>(&message)) {
        hall_.promises.trouble("The hub refused what " + name() + " asked: " + refusal->words);
    }
}

void Screen::subscribe(const Welcome& welcome) {
    Subscribe wish;
    wish.all_mats = role_ != Role::board;
    if (role_ == Role::board && !welcome.mats.empty()) {
        wish.mats.push_back(welcome.mats[place_ % welcome.mats.size()]);
    }
    wish.results = follows_results();
    if (!results_.empty()) wish.results_after = results_.back();
    send(wish);
}

void Screen::on_view(const MatView& view, const std::string& bytes) {
    hall_.log.view(name(), view.mat, view.number, bytes);
    ++hall_.tally.views;
    saw(view.number);
    const auto before = mats_.find(view.mat);
    const RecordNumber shown = before == mats_.end() ? RecordNumber{} : before->second.view.number;
    if (view.number < shown) {
        hall_.promises.broken(name() + " showed mat " + std::to_string(view.mat.value) +
                              " at number " + std::to_string(shown.value) +
                              " and was then sent number " + std::to_string(view.number.value) +
                              ": a screen never goes back.");
        return;
    }
    // The first view of a mat is what stood there already: nobody waited for it.
    if (before != mats_.end() && view.number > shown) hall_.tally.shown(view.number, now_us());
    mats_[view.mat] = Shown{view, bytes};
}

void Screen::on_result(const Finished& item) {
    hall_.log.result(name(), item.number);
    ++hall_.tally.results;
    saw(item.number);
    if (!results_.empty() && item.number <= results_.back()) {
        hall_.promises.broken(name() + " got result " + std::to_string(item.number.value) +
                              " after result " + std::to_string(results_.back().value) +
                              ": each comes once, in order.");
        return;
    }
    results_.push_back(item.number);
}

}  // namespace honbu::sim

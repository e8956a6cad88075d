#include "tests/simulation/following.h"

#include <algorithm>

namespace honbu::simulation {

Following::Following(Checker& checker, Who who, Subscribe wish)
    : checker_(checker), who_(who), wish_(std::move(wish)) {
    checker_.screen_began(who_);
}

void Following::put_position(Hello& hello) const {
    hello.seen_epoch = position_.epoch;
    hello.seen_number = position_.number;
    hello.seen_hash = position_.hash;
}

void Following::seen(RecordNumber number, std::uint64_t hash) {
    if (number < position_.number || (number == position_.number && hash == 0)) return;
    position_.number = number;
    position_.hash = hash;
}

Subscribe Following::welcome(const Welcome& welcome) {
    if (checker_.welcome_read(who_, position_, as_told(welcome))) {
        position_ = Position{welcome.epoch, {}, 0};
        last_result_ = RecordNumber{};
        last_record_ = RecordNumber{};
        sheets_.clear();
        set_aside_ = SetAside{};
        tables_ = Tables{};
        views_.clear();
    }
    seen(welcome.number, welcome.hash);
    Subscribe wish = wish_;
    wish.results_after = last_result_;
    wish.audit_after = last_record_;
    return wish;
}

struct Following::Hear {
    Following& in;
    const std::string& bytes;

    void operator()(const MatView& m) const {
        in.seen(m.number);
        in.checker_.view_read(in.who_, m, bytes);
        in.views_[m.mat] = m;
    }
    void operator()(const Finished& m) const { item(as_told(m)); }
    void operator()(const Reopened& m) const { item(as_told(m)); }
    void operator()(const Renamed& m) const { item(as_told(m)); }
    void item(const Item& item) const {
        in.seen(item.number);
        in.last_result_ = item.number;
        in.checker_.result_read(in.who_, item);
    }
    void operator()(const CallList& m) const {
        in.seen(m.number);
        in.checker_.call_list_read(in.who_, m.number, as_told(m));
    }
    void operator()(const BoutSheet& m) const {
        in.seen(m.number);
        in.checker_.sheet_read(in.who_, m.number, as_told(m));
        in.sheets_[m.bout.bout] = m;
    }
    void operator()(const Tables& m) const {
        in.seen(m.number);
        in.checker_.tables_read(in.who_, m.number, as_told(m));
        in.tables_ = m;
    }
    void operator()(const SetAside& m) const {
        in.seen(m.number);
        in.checker_.set_aside_read(in.who_, m.number, as_told(m));
        in.set_aside_ = m;
    }
    void operator()(const HeardRecord& m) const {
        in.seen(m.number, m.hash);
        in.last_record_ = m.number;
        in.checker_.record_read(in.who_, m.number, m.bytes);
    }
    void operator()(const Door&) const {}
    void operator()(const AtTheDoor&) const {}
    void operator()(const Unreadable&) const {}
    void operator()(const Welcome&) const {}
    void operator()(const ClockAnswer&) const {}
    void operator()(const Allotment&) const {}
    void operator()(const VerdictGiven&) const {}
    void operator()(const Refusal&) const {}
    void operator()(const MatLost&) const {}
    void operator()(const Heartbeat&) const {}
    void operator()(const Goodbye&) const {}
    void operator()(const Asked&) const {}
    void operator()(const AskAnswered&) const {}
    void operator()(const Done&) const {}
    void operator()(const PeopleFound&) const {}
};

void Following::hear(const Heard& message, const std::string& bytes) {
    std::visit(Hear{*this, bytes}, message);
}

Followed Following::followed() const {
    return {who_, wish_.results, wish_.call_list, wish_.audit, wish_.sheets};
}

}  // namespace honbu::simulation

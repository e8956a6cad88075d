#include "hub/feed/feed.h"

#include <algorithm>
#include <utility>

namespace honbu {

Feed::Feed(Bell& bell) : bell_(bell) {}

void Feed::begin(Epoch epoch) {
    views_.begin(epoch);
    results_.begin(epoch);
}

void Feed::show_publicly(PublicNames names) {
    views_.show_publicly(names);
    results_.show_publicly(names);
}

void Feed::records_from(RecordNumber kept, Audit::Source source) {
    audit_.begin(kept, std::move(source));
}

// The bell is rung last, from a list of its own: whoever answers may call take(), and may give the
// session up with leave().
template<class Follows> void Feed::ring_those(const Follows& follows) {
    std::vector<SessionId> to_ring;
    for (auto& [session, follower] : followers_) {
        if (follows(follower)) to_ring.push_back(session);
    }
    for (const SessionId session : to_ring)
        bell_.ring(session);
}

void Feed::changed(Topic topic) {
    ring_those([topic](Follower& follower) {
        // Already waiting: take() will find the newer bytes in the same slot.
        return follower.views.follows(topic) && follower.views.waiting.insert(topic).second;
    });
}

void Feed::mat(const MatView& view) {
    if (views_.mat(view)) changed(topic(view.mat));
}
void Feed::call_list(const CallList& list) {
    if (views_.call_list(list)) changed({Topic::Kind::call_list, 0});
}
void Feed::tables(const Tables& tables) {
    if (views_.tables(tables)) changed({Topic::Kind::tables, 0});
}
void Feed::set_aside(const SetAside& calls) {
    if (views_.set_aside(calls)) changed({Topic::Kind::set_aside, 0});
}
void Feed::door(const Door& door) {
    if (views_.door(door)) changed({Topic::Kind::door, 0});
}
void Feed::sheet_changed(BoutId bout) {
    if (views_.sheet_changed(bout)) changed(topic(bout));
}

void Feed::finished(const Finished& item) {
    results_.finished(item);
    ring_those([](const Follower& follower) { return follower.results; });
}

void Feed::reopened(const Reopened& item) {
    results_.reopened(item);
    ring_those([](const Follower& follower) { return follower.results; });
}

void Feed::renamed(const Renamed& item) {
    results_.renamed(item);
    ring_those([](const Follower& follower) { return follower.results; });
}

void Feed::recorded(RecordNumber number, const std::string& bytes) {
    audit_.recorded(number, bytes);
    ring_those([](const Follower& follower) { return follower.audit; });
}

void Feed::subscribe(SessionId session, const Subscribe& wish) { follow(session, wish, false); }

void Feed::follow_events(SessionId session, const Subscribe& wish) { follow(session, wish, true); }

void Feed::follow(SessionId session, const Subscribe& wish, bool events) {
    leave(session);
    Follower follower;
    follower.events = events;
    follower.views = ViewsFollowed(wish);
    follower.views.names = wish.names && !events;  // whoever reads events has said no hello
    follower.results = wish.results;
    follower.next_result = results_.after(wish.results_after);
    follower.audit = wish.audit;
    follower.last_record = wish.audit_after;
    if (!follower.views.any() && !follower.results && !follower.audit) return;
    views_.follow(follower.views);
    const bool waits = !follower.views.waiting.empty() || results_behind(follower) > 0 ||
                       records_behind(follower) > 0;
    followers_[session] = std::move(follower);
    if (waits) bell_.ring(session);
}

void Feed::leave(SessionId session) {
    const auto found = followers_.find(session);
    if (found == followers_.end()) return;
    views_.unfollow(found->second.views);
    followers_.erase(found);
}

std::size_t Feed::results_behind(const Follower& follower) const {
    return follower.results ? results_.size() - follower.next_result : 0;
}

std::size_t Feed::records_behind(const Follower& follower) const {
    const bool behind = follower.audit && follower.last_record < audit_.last();
    return behind ? audit_.last().value - follower.last_record.value : 0;
}

// Views go first: they are few and say what is happening now, while a returning desk may be owed a
// day of results. One place is kept for each stream, so that none waits for ever on the others.
std::vector<Shared> Feed::take(SessionId session, std::size_t limit, Flavour flavour) {
    std::vector<Shared> out;
    const auto found = followers_.find(session);
    if (found == followers_.end() || limit == 0) return out;
    Follower& follower = found->second;
    Form form = flavour == Flavour::json ? Form::json : Form::binary;
    if (follower.events) form = Form::events;

    const std::size_t for_records = records_behind(follower) > 0 ? 1 : 0;
    const std::size_t for_streams = for_records + (results_behind(follower) > 0 ? 1 : 0);
    const std::size_t until_streams = limit - std::min(for_streams, limit - 1);
    while (out.size() < until_streams) {
        Shared next = views_.take(follower.views, form);
        if (!next) break;
        out.push_back(std::move(next));
    }
    const std::size_t until_records = limit - std::min(for_records, limit - 1);
    while (results_behind(follower) > 0 && out.size() < until_records)
        out.push_back(results_.encoded(follower.next_result++, form, follower.views.names));
    if (records_behind(follower) > 0 && out.size() < limit) {
        for (Shared& record : audit_.after(follower.last_record, limit - out.size(), form)) {
            ++follower.last_record.value;
            out.push_back(std::move(record));
        }
    }
    return out;
}

Feed::Lag Feed::lag() const {
    Lag lag;
    for (const auto& [session, follower] : followers_) {
        lag.views += follower.views.waiting.size();
        lag.results = std::max(lag.results, results_behind(follower));
        lag.records = std::max(lag.records, records_behind(follower));
    }
    return lag;
}

}  // namespace honbu

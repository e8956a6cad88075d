#include "hub/feed/feed.h"

#include <algorithm>
#include <utility>

#include "hub/feed/event.h"
#include "hub/insist.h"
#include "hub/wire/call_json.h"
#include "hub/wire/wire.h"

namespace honbu {
namespace {

Shared shared(std::string text) { return std::make_shared<const std::string>(std::move(text)); }

}  // namespace

Feed::Feed(Bell& bell) : bell_(bell) {}

void Feed::begin(Epoch epoch) { epoch_ = epoch; }

bool Feed::follows(const Follower& follower, MatId mat) const {
    return follower.all_mats || follower.mats.contains(mat);
}

// The bell is rung last, from a list of its own: whoever answers may call take(), and may give the
// session up with leave().
void Feed::mat(const MatView& view) {
    Shared bytes = shared(to_wire(view));
    View& latest = views_[view.mat];
    if (latest.bytes && *latest.bytes == *bytes) return;
    latest = View{view, ++changes_, std::move(bytes), nullptr, nullptr, nullptr};

    std::vector<SessionId> to_ring;
    for (auto& [session, follower] : followers_) {
        if (!follows(follower, view.mat)) continue;
        // Already waiting: take() will find the newer bytes in the same slot.
        if (follower.waiting.insert(view.mat).second) to_ring.push_back(session);
    }
    for (const SessionId session : to_ring)
        bell_.ring(session);
}

// The JSON is made at once: it is small, and a whole day of it on the first request would not be.
void Feed::finished(const Finished& item) {
    standing_[item.bout.bout] = results_.size();
    keep(Item{item.number, item, shared(to_wire(item)), shared(to_proto_json(item)), nullptr,
              nullptr});
}

void Feed::reopened(const Reopened& item) {
    standing_.erase(item.bout);
    keep(Item{item.number, item, nullptr, nullptr, nullptr, nullptr});
}

void Feed::keep(Item item) {
    INSIST(results_.empty() || results_.back().number < item.number);
    const bool on_the_wire = item.bytes != nullptr;
    results_.push_back(std::move(item));

    std::vector<SessionId> to_ring;
    for (const auto& [session, follower] : followers_) {
        if (follower.results && (on_the_wire || follower.form == Form::events)) {
            to_ring.push_back(session);
        }
    }
    for (const SessionId session : to_ring)
        bell_.ring(session);
}

void Feed::subscribe(SessionId session, const Subscribe& wish) {
    follow(session, wish, Form::wire);
}

void Feed::follow_events(SessionId session, const Subscribe& wish) {
    follow(session, wish, Form::events);
}

void Feed::follow(SessionId session, const Subscribe& wish, Form form) {
    Follower follower;
    follower.form = form;
    follower.mats.insert(wish.mats.begin(), wish.mats.end());
    follower.all_mats = wish.all_mats;
    for (const auto& [mat, view] : views_) {
        if (follows(follower, mat)) follower.waiting.insert(mat);
    }
    follower.results = wish.results;
    const auto next = std::upper_bound(
        results_.begin(), results_.end(), wish.results_after,
        [](RecordNumber after, const Item& item) { return after < item.number; });
    follower.next_result = static_cast<std::size_t>(next - results_.begin());

    const bool wants_nothing = !follower.all_mats && follower.mats.empty() && !follower.results;
    if (wants_nothing) {
        followers_.erase(session);
        return;
    }
    const bool waits = !follower.waiting.empty() || (follower.results && next != results_.end());
    followers_[session] = std::move(follower);
    if (waits) bell_.ring(session);
}

void Feed::leave(SessionId session) { followers_.erase(session); }

// Views go first: they are few and say what is happening now, while a returning desk may be owed a
// day of results. One place is kept for the stream, so that neither waits for ever on the other.
std::vector<Shared> Feed::take(SessionId session, std::size_t limit, Flavour flavour) {
    std::vector<Shared> out;
    const auto found = followers_.find(session);
    if (found == followers_.end() || limit == 0) return out;
    Follower& follower = found->second;

    const bool result_waits = follower.results && follower.next_result < results_.size();
    const std::size_t for_views = result_waits && limit > 1 ? limit - 1 : limit;
    while (!follower.waiting.empty() && out.size() < for_views) {
        const MatId mat = *follower.waiting.begin();
        follower.waiting.erase(follower.waiting.begin());
        out.push_back(follower.form == Form::events ? event(mat)
                      : flavour == Flavour::json    ? text(mat)
                                                    : views_.at(mat).bytes);
    }
    while (follower.results && out.size() < limit) {
        Shared next = next_result(follower, flavour);
        if (!next) break;
        out.push_back(std::move(next));
    }
    return out;
}

// Nothing: this follower has them all.
Shared Feed::next_result(Follower& follower, Flavour flavour) {
    while (follower.next_result < results_.size()) {
        Item& item = results_[follower.next_result++];
        if (follower.form == Form::events) return event(item);
        if (item.bytes) return flavour == Flavour::json ? text(item) : item.bytes;
    }
    return nullptr;
}

const Shared& Feed::json(MatId mat) {
    View& view = views_.at(mat);
    if (!view.json) view.json = shared(to_proto_json(view.view));
    return view.json;
}

const Shared& Feed::event(MatId mat) {
    const std::string& whole = *json(mat);
    View& view = views_.at(mat);
    if (!view.event) view.event = shared(mat_event(epoch_, view.view.number, whole));
    return view.event;
}

const Shared& Feed::event(Item& item) {
    if (item.event) return item.event;
    const auto* again = std::get_if<Reopened>(&item.fact);
    item.event = shared(again != nullptr ? reopened_event(epoch_, *again)
                                         : result_event(epoch_, item.number, *item.json));
    return item.event;
}

const Shared& Feed::text(MatId mat) {
    const std::string& whole = *json(mat);
    View& view = views_.at(mat);
    if (!view.text) view.text = shared(mat_message(whole));
    return view.text;
}

const Shared& Feed::text(Item& item) {
    if (!item.text) item.text = shared(finished_message(*item.json));
    return item.text;
}

std::vector<const Feed::Item*> Feed::standing() const {
    std::vector<const Item*> out;
    for (const auto& [bout, index] : standing_)
        out.push_back(&results_[index]);
    std::sort(out.begin(), out.end(),
              [](const Item* a, const Item* b) { return a->number < b->number; });
    return out;
}

RecordNumber Feed::last_result() const {
    return results_.empty() ? RecordNumber{} : results_.back().number;
}

Feed::Lag Feed::lag() const {
    Lag lag;
    for (const auto& [session, follower] : followers_) {
        lag.views += follower.waiting.size();
        if (!follower.results) continue;
        lag.results = std::max(lag.results, results_.size() - follower.next_result);
    }
    return lag;
}

}  // namespace honbu

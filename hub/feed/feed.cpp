#include "hub/feed/feed.h"

#include <algorithm>

#include "hub/insist.h"
#include "hub/wire/wire.h"

namespace honbu {

Feed::Feed(Bell& bell) : bell_(bell) {}

bool Feed::follows(const Follower& follower, MatId mat) const {
    return follower.all_mats || follower.mats.contains(mat);
}

// The bell is rung last, from a list of its own: whoever answers may call take(), and may give the
// session up with leave().
void Feed::mat(const MatView& view) {
    auto bytes = std::make_shared<const std::string>(to_wire(view));
    Shared& latest = views_[view.mat];
    if (latest && *latest == *bytes) return;
    latest = std::move(bytes);

    std::vector<SessionId> to_ring;
    for (auto& [session, follower] : followers_) {
        if (!follows(follower, view.mat)) continue;
        // Already waiting: take() will find the newer bytes in the same slot.
        if (follower.waiting.insert(view.mat).second) to_ring.push_back(session);
    }
    for (const SessionId session : to_ring)
        bell_.ring(session);
}

void Feed::finished(const Finished& item) {
    INSIST(results_.empty() || results_.back().number < item.number);
    results_.push_back(Item{item.number, std::make_shared<const std::string>(to_wire(item))});

    std::vector<SessionId> to_ring;
    for (const auto& [session, follower] : followers_) {
        if (follower.results) to_ring.push_back(session);
    }
    for (const SessionId session : to_ring)
        bell_.ring(session);
}

void Feed::subscribe(SessionId session, const Subscribe& wish) {
    Follower follower;
    follower.mats.insert(wish.mats.begin(), wish.mats.end());
    follower.all_mats = wish.all_mats;
    for (const auto& [mat, bytes] : views_) {
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
std::vector<Shared> Feed::take(SessionId session, std::size_t limit) {
    std::vector<Shared> out;
    const auto found = followers_.find(session);
    if (found == followers_.end() || limit == 0) return out;
    Follower& follower = found->second;

    const bool result_waits = follower.results && follower.next_result < results_.size();
    const std::size_t for_views = result_waits && limit > 1 ? limit - 1 : limit;
    while (!follower.waiting.empty() && out.size() < for_views) {
        const MatId mat = *follower.waiting.begin();
        follower.waiting.erase(follower.waiting.begin());
        out.push_back(views_.at(mat));
    }
    if (!follower.results) return out;
    while (follower.next_result < results_.size() && out.size() < limit) {
        out.push_back(results_[follower.next_result].bytes);
        ++follower.next_result;
    }
    return out;
}

}  // namespace honbu

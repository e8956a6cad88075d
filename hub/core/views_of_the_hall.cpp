// The call list, and what only the desk is shown. Always from the committed part, whole.
#include <algorithm>

#include "hub/core/inside.h"

namespace honbu {

// Made beside the mat's view, which has worked out the most of it.
CallList::OnMat Hub::Inside::called(MatId id, const MatView& view) const {
    CallList::OnMat out;
    out.mat = id;
    out.table = view.table;
    if (view.has_bout && view.frames.front().phase < Phase::confirmed) {
        out.on = view.bout;
        out.phase = view.frames.front().phase;
    }
    for (const BoutId next : mats.at(id).order) {
        const BoutLog& bout = bouts.at(next);
        if (!waits_its_turn(bout)) continue;
        out.next.push_back(listed(bout));
        if (out.next.size() == called_up) break;
    }
    return out;
}

void Hub::Inside::publish_call_list() {
    if (replaying) return;
    call_list_stale = in_batch;
    if (in_batch) return;
    call_list.number = committed;
    feed.call_list(call_list);
}

std::uint32_t Hub::Inside::most_missing() const {
    std::uint32_t most = 0;
    for (const auto& [session, records] : missing)
        most = std::max(most, records);
    return most;
}

void Hub::Inside::publish_tables() {
    if (replaying) return;
    Tables tables;
    tables.number = committed;
    tables.missing = most_missing();
    for (const auto& [id, mat] : mats) {
        Tables::OfMat out;
        out.mat = id;
        out.line = line(id);
        out.device = mat.known_holder;
        out.term = mat.known_term;
        if (mat.known_holder != DeviceId{}) {
            out.hand = mat.hand;
            out.taken = mat.taken;
            out.differs = mat.differs;
        }
        for (const SessionId session : table_sessions) {
            const Greeted& known = sessions.at(session);
            const bool in_charge = known.hello.device == mat.known_holder;
            if (!in_charge && known.watched.contains(id)) ++out.watching;
            if (!in_charge || known.mat != id || !known.to_hub_ms) continue;
            out.measured = true;
            out.offset_ms = static_cast<std::int32_t>(
                std::clamp<std::int64_t>(*known.to_hub_ms, INT32_MIN, INT32_MAX));
            out.round_trip_ms = known.round_trip_ms.value_or(0);
        }
        tables.mats.push_back(std::move(out));
    }
    tables.mirror = mirror;
    tables.damage = damage;
    feed.tables(tables);
}

void Hub::Inside::publish_set_aside() {
    if (replaying) return;
    SetAside out;
    out.number = aside_changed;
    std::vector<const Aside*> items;
    for (const auto& [id, item] : aside) {
        if (item.record <= committed) items.push_back(&item);
    }
    // Runs are random names: in the order in which the hub got them.
    std::sort(items.begin(), items.end(),
              [](const Aside* a, const Aside* b) { return a->record < b->record; });
    if (items.size() > set_aside_listed) {
        out.more = static_cast<std::uint32_t>(items.size() - set_aside_listed);
        items.resize(set_aside_listed);
    }
    std::map<std::pair<BoutId, DeviceId>, SetAside::OfBout> groups;
    for (const Aside* listed_item : items) {
        const Aside& item = *listed_item;
        SetAside::OfBout& group = groups[{item.call.bout, item.device}];
        if (group.calls.empty()) {
            group.device = item.device;
            group.hand = item.hand;
            group.mat = item.call.mat;
            group.bout = item.call.bout;
            if (const auto bout = bouts.find(item.call.bout); bout != bouts.end()) {
                group.head = head(bout->second);
            }
            if (const auto names = typed.find(item.call.bout); names != typed.end()) {
                group.typed_white = names->second.white;
                group.typed_blue = names->second.blue;
                group.typed_note = names->second.note;
            }
        }
        const std::int64_t at = std::int64_t{item.call.entered.ms} + to_hub_ms(item.call.id.run);
        group.calls.push_back(
            {item.call, item.record, item.verdict,
             Instant{static_cast<std::uint32_t>(std::clamp<std::int64_t>(at, 0, 0xffffffff))}});
    }
    for (auto& [key, group] : groups)
        out.bouts.push_back(std::move(group));
    feed.set_aside(out);
}

}  // namespace honbu

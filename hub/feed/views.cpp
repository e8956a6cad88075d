#include "hub/feed/views.h"

#include "hub/core/public_names.h"
#include "hub/feed/event.h"
#include "hub/wire/call_json.h"
#include "hub/wire/wire.h"

namespace honbu {

ViewsFollowed::ViewsFollowed(const Subscribe& wish)
    : mats(wish.mats.begin(), wish.mats.end()), all_mats(wish.all_mats), call_list(wish.call_list),
      tables(wish.tables), set_aside(wish.set_aside), door(wish.door), names(wish.names) {
    for (const BoutId bout : wish.sheets)
        sheets[bout] = 0;
}

bool ViewsFollowed::follows(Topic topic) const {
    switch (topic.kind) {
    case Topic::Kind::mat:
        return all_mats || mats.contains(MatId{static_cast<std::uint16_t>(topic.of)});
    case Topic::Kind::call_list: return call_list;
    case Topic::Kind::tables: return tables;
    case Topic::Kind::set_aside: return set_aside;
    case Topic::Kind::door: return door;
    case Topic::Kind::sheet: return sheets.contains(BoutId{topic.of});
    }
    return false;
}

bool ViewsFollowed::any() const {
    return all_mats || !mats.empty() || call_list || tables || set_aside || door || !sheets.empty();
}

bool Views::mat(const MatView& view) {
    Shared bytes = shared(to_wire(view));
    Mat& latest = mats_[view.mat];
    if (latest.message.bytes && *latest.message.bytes == *bytes) return false;
    latest = Mat{view, ++changes_, {std::move(bytes), nullptr}, {}, nullptr, nullptr};
    return true;
}

template<class View> bool Views::keep(Latest& latest, const View& view) {
    if (latest.change != 0) {
        View with_number = view;
        with_number.number = latest.number;
        if (to_wire(with_number) == *latest.message.bytes) return false;
    }
    latest = Latest{latest.change + 1, view.number, {shared(to_wire(view)), nullptr}, {}};
    return true;
}

// It is all mats in one and changes with nearly every call, while few follow it: so it is compared
// as it is, and encoded for the first who takes it.
bool Views::call_list(const CallList& list) {
    if (called_.change != 0 && call_list_.mats == list.mats) return false;
    call_list_ = list;
    called_ = Latest{called_.change + 1, list.number, {}, {}};
    return true;
}
bool Views::tables(const Tables& tables) { return keep(tables_, tables); }
bool Views::set_aside(const SetAside& calls) { return keep(set_aside_, calls); }
bool Views::door(const Door& door) { return keep(door_, door); }

bool Views::sheet_changed(BoutId bout) {
    ++sheet_changes_[bout];
    const auto found = sheets_.find(bout);
    if (found == sheets_.end()) return false;
    found->second.stale = true;
    return true;
}

std::uint64_t Views::sheet_changes(BoutId bout) const {
    const auto found = sheet_changes_.find(bout);
    return found == sheet_changes_.end() ? 0 : found->second;
}

void Views::follow(ViewsFollowed& by) {
    for (const auto& [mat, view] : mats_) {
        if (by.follows(topic(mat))) by.waiting.insert(topic(mat));
    }
    using Kind = Topic::Kind;
    if (by.call_list && called_.change != 0) by.waiting.insert({Kind::call_list, 0});
    if (by.tables && tables_.change != 0) by.waiting.insert({Kind::tables, 0});
    if (by.set_aside && set_aside_.change != 0) by.waiting.insert({Kind::set_aside, 0});
    if (by.door && door_.change != 0) by.waiting.insert({Kind::door, 0});
    for (const auto& [bout, change] : by.sheets) {
        ++sheets_[bout].followers;
        by.waiting.insert(topic(bout));
    }
}

void Views::unfollow(const ViewsFollowed& by) {
    for (const auto& [bout, change] : by.sheets) {
        const auto found = sheets_.find(bout);
        if (--found->second.followers == 0) sheets_.erase(found);
    }
}

Shared Views::take(ViewsFollowed& by, Form form) {
    while (!by.waiting.empty()) {
        const Topic next = *by.waiting.begin();
        by.waiting.erase(by.waiting.begin());
        if (next.kind != Topic::Kind::sheet) return encoded(next, form, is_cut(by));
        // What was told as a change may have made no other sheet, or none at all.
        Latest& latest = sheet(BoutId{next.of});
        std::uint64_t& has = by.sheets.at(BoutId{next.of});
        if (std::exchange(has, latest.change) == latest.change) continue;
        return is_cut(by) ? latest.cut.in(form) : latest.message.in(form);
    }
    return nullptr;
}

Shared Views::encoded(Topic topic, Form form, bool cut) {
    switch (topic.kind) {
    case Topic::Kind::mat: {
        const MatId id{static_cast<std::uint16_t>(topic.of)};
        if (form == Form::events) return event(id);
        Mat& mat = mats_.at(id);
        if (!cut) return mat.message.in(form);
        if (!mat.cut.bytes) mat.cut.bytes = shared(to_wire(publicly(mat.view, names_)));
        return mat.cut.in(form);
    }
    case Topic::Kind::call_list: {
        Encoded& list = cut ? called_.cut : called_.message;
        if (!list.bytes) {
            list.bytes = shared(cut ? to_wire(publicly(call_list_, names_)) : to_wire(call_list_));
        }
        return list.in(form);
    }
    case Topic::Kind::tables: return tables_.message.in(form);
    case Topic::Kind::set_aside: return set_aside_.message.in(form);
    case Topic::Kind::door: return door_.message.in(form);
    case Topic::Kind::sheet: return sheets_.at(BoutId{topic.of}).latest.message.in(form);
    }
    return nullptr;
}

Views::Latest& Views::sheet(BoutId bout) {
    Sheet& kept = sheets_.at(bout);
    if (std::exchange(kept.stale, false)) {
        const auto now = sheet_of_(bout);
        if (now && keep(kept.latest, *now) && names_ != PublicNames::full) {
            kept.latest.cut.bytes = shared(to_wire(publicly(*now, names_)));
        }
    }
    return kept.latest;
}

const Shared& Views::json(MatId mat) {
    Mat& view = mats_.at(mat);
    if (!view.json) {
        const bool whole = names_ == PublicNames::full;
        view.json = shared(to_proto_json(whole ? view.view : publicly(view.view, names_)));
    }
    return view.json;
}

const Shared& Views::event(MatId mat) {
    const std::string& whole = *json(mat);
    Mat& view = mats_.at(mat);
    if (!view.event) view.event = shared(mat_event({epoch_, view.view.number}, whole));
    return view.event;
}

}  // namespace honbu

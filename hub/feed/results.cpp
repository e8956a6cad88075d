#include "hub/feed/results.h"

#include <algorithm>

#include "hub/core/public_names.h"
#include "hub/feed/event.h"
#include "hub/insist.h"
#include "hub/wire/call_json.h"
#include "hub/wire/wire.h"

namespace honbu {
namespace {

constexpr std::size_t made_in_one_go = 8;

// Where names are hidden, seats have no number: who was erased is told to nobody. The item stays,
// so that its record is one a stream can go on from.
Renamed publicly(Renamed item, PublicNames names) {
    return names == PublicNames::hidden ? Renamed{item.number, PersonId{}, {}} : item;
}

Finished alone(Finished item) {
    item.also.clear();
    item.no_result.clear();
    return item;
}

}  // namespace

const std::string& Results::Told::json(PublicNames names) const {
    struct Write {
        PublicNames names;
        std::string operator()(const Finished& item) const {
            const bool cut = names != PublicNames::full;
            return to_proto_json(cut ? publicly(item, names) : item);
        }
        std::string operator()(const Reopened& item) const { return to_proto_json(item); }
    };
    if (!made) made = shared(std::visit(Write{names}, fact));
    return *made;
}

Results::Told Results::told(std::variant<Finished, Reopened> fact) const {
    Told out{std::move(fact), nullptr};
    if (begun_) out.json(names_);
    return out;
}

bool Results::make_some() {
    for (std::size_t i = 0; i < made_in_one_go && made_ < items_.size(); ++i, ++made_) {
        for (const Told& each : items_[made_].told)
            each.json(names_);
    }
    return made_ < items_.size();
}

void Results::finished(const Finished& item) {
    Item kept{item.number, {told(alone(item))}, {shared(to_wire(item)), nullptr}};
    for (const Finished& other : item.also)
        kept.told.push_back(told(alone(other)));
    for (const Reopened& other : item.no_result)
        kept.told.push_back(told(other));
    keep(std::move(kept));
}

void Results::reopened(const Reopened& item) {
    keep(Item{item.number, {told(item)}, {shared(to_wire(item)), nullptr}});
}

// The one item again that tells of all its bouts.
Finished Results::whole(const Item& item) {
    Finished all = std::get<Finished>(item.told.front().fact);
    for (std::size_t i = 1; i < item.told.size(); ++i) {
        const auto& fact = item.told[i].fact;
        if (const auto* other = std::get_if<Finished>(&fact)) {
            all.also.push_back(*other);
        } else {
            all.no_result.push_back(std::get<Reopened>(fact));
        }
    }
    return all;
}

void Results::renamed(const Renamed& item) {
    const auto rename = [&item](Seat& seat) {
        if (seat.person != item.person) return false;
        seat.name = item.name;
        seat.club.clear();
        return true;
    };
    for (Item& kept : items_) {
        bool another = false;
        for (Told& told : kept.told) {
            auto* result = std::get_if<Finished>(&told.fact);
            if (result == nullptr) continue;
            const bool white = rename(result->bout.white);
            const bool blue = rename(result->bout.blue);
            if (!white && !blue) continue;
            told.made = nullptr;
            another = true;
        }
        if (!another) continue;
        kept.message = {shared(to_wire(whole(kept))), nullptr};
        kept.cut = {};
        kept.event = nullptr;
    }
    Item kept{item.number, {}, {shared(to_wire(item)), nullptr}};
    kept.renamed = item;
    keep(std::move(kept));
}

// Resuming searches by number.
void Results::keep(Item item) {
    INSIST(items_.empty() || items_.back().number < item.number);
    for (std::size_t i = 0; i < item.told.size(); ++i) {
        const auto& fact = item.told[i].fact;
        if (const auto* result = std::get_if<Finished>(&fact)) {
            standing_[result->bout.bout] = {items_.size(), i};
        } else {
            standing_.erase(std::get<Reopened>(fact).bout);
        }
    }
    items_.push_back(std::move(item));
}

std::size_t Results::after(RecordNumber number) const {
    const auto next = std::upper_bound(
        items_.begin(), items_.end(), number,
        [](RecordNumber last, const Item& item) { return last < item.number; });
    return static_cast<std::size_t>(next - items_.begin());
}

const Shared& Results::encoded(std::size_t index, Form form, bool names) {
    Item& item = items_.at(index);
    if (form == Form::events) return event(item);
    const bool of_people = !item.told.empty() &&
                           std::holds_alternative<Finished>(item.told.front().fact);
    const bool cut = of_people || (item.renamed && names_ == PublicNames::hidden);
    if (names || names_ == PublicNames::full || !cut) return item.message.in(form);
    if (!item.cut.bytes) {
        item.cut.bytes = shared(of_people ? to_wire(publicly(whole(item), names_))
                                          : to_wire(publicly(*item.renamed, names_)));
    }
    return item.cut.in(form);
}

// One event for each bout. Only the last has the id, so that whoever lost the line in between gets
// all of them again.
const Shared& Results::event(Item& item) const {
    if (item.event) return item.event;
    std::string all;
    if (item.renamed) {
        all = renamed_event({epoch_, item.number}, to_proto_json(publicly(*item.renamed, names_)));
    }
    for (const Told& each : item.told) {
        const Position position{epoch_, item.number};
        const bool with_id = &each == &item.told.back();
        all += std::holds_alternative<Finished>(each.fact)
                   ? result_event(position, each.json(names_), with_id)
                   : reopened_event(position, each.json(names_), with_id);
    }
    item.event = shared(std::move(all));
    return item.event;
}

RecordNumber Results::last() const {
    return items_.empty() ? RecordNumber{} : items_.back().number;
}

std::vector<const Results::Told*> Results::standing() const {
    std::vector<std::pair<std::size_t, std::size_t>> in_order;
    for (const auto& [bout, where] : standing_)
        in_order.push_back(where);
    std::sort(in_order.begin(), in_order.end());
    std::vector<const Told*> out;
    for (const auto& [item, which] : in_order)
        out.push_back(&items_[item].told[which]);
    return out;
}

}  // namespace honbu

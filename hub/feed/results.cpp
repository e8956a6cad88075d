#include "hub/feed/results.h"

#include <algorithm>

#include "hub/feed/event.h"
#include "hub/insist.h"
#include "hub/wire/call_json.h"
#include "hub/wire/wire.h"

namespace honbu {
namespace {

constexpr std::size_t made_in_one_go = 8;

Finished alone(Finished item) {
    item.also.clear();
    item.no_result.clear();
    return item;
}

}  // namespace

const std::string& Results::Told::json() const {
    if (!made) {
        made = shared(std::visit([](const auto& what) { return to_proto_json(what); }, fact));
    }
    return *made;
}

Results::Told Results::told(std::variant<Finished, Reopened> fact) const {
    Told out{std::move(fact), nullptr};
    if (begun_) out.json();
    return out;
}

bool Results::make_some() {
    for (std::size_t i = 0; i < made_in_one_go && made_ < items_.size(); ++i, ++made_) {
        for (const Told& each : items_[made_].told)
            each.json();
    }
    return made_ < items_.size();
}

void Results::finished(const Finished& item) {
    Item kept{item.number, {told(alone(item))}, {shared(to_wire(item)), nullptr}, nullptr};
    for (const Finished& other : item.also)
        kept.told.push_back(told(alone(other)));
    for (const Reopened& other : item.no_result)
        kept.told.push_back(told(other));
    keep(std::move(kept));
}

void Results::reopened(const Reopened& item) {
    keep(Item{item.number, {told(item)}, {shared(to_wire(item)), nullptr}, nullptr});
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

const Shared& Results::encoded(std::size_t index, Form form) {
    Item& item = items_.at(index);
    return form == Form::events ? event(item) : item.message.in(form);
}

// One event for each bout. Only the last has the id, so that whoever lost the line in between gets
// all of them again.
const Shared& Results::event(Item& item) const {
    if (item.event) return item.event;
    std::string all;
    for (const Told& each : item.told) {
        const Position position{epoch_, item.number};
        const bool with_id = &each == &item.told.back();
        all += std::holds_alternative<Finished>(each.fact)
                   ? result_event(position, each.json(), with_id)
                   : reopened_event(position, each.json(), with_id);
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

// The results stream as it was told: kept without names, and told again after a start from a
// checkpoint.
#include "hub/core/inside.h"

namespace honbu {
namespace {

ToldResult kept(const Finished& item) {
    return {item.bout.bout, item.bout.white.person, item.bout.blue.person, item.result,
            item.from,      item.replaces,          item.unlike_calls};
}

}  // namespace

void Hub::Inside::tell(const Finished& item) {
    ToldItem out{item.number, item.confirmed, {kept(item)}, item.no_result, {}};
    for (const Finished& other : item.also)
        out.results.push_back(kept(other));
    told_items.push_back(std::move(out));
    feed.finished(item);
}

void Hub::Inside::tell(const Reopened& item) {
    told_items.push_back({item.number, {}, {}, {item}, {}});
    feed.reopened(item);
}

void Hub::Inside::tell(const Renamed& item) {
    told_items.push_back({item.number, {}, {}, {}, item.person});
    feed.renamed(item);
}

// Who was named then, by the names that are known now.
Finished Hub::Inside::told_again(const ToldItem& item, const ToldResult& result) const {
    const BoutLog& log = bouts.at(result.bout);
    Finished out;
    out.number = item.number;
    out.mat = log.entry.mat;
    out.bout = seated(listed(log), result.result.names_exchanged);
    sit(out.bout.white, result.white);
    sit(out.bout.blue, result.blue);
    out.result = result.result;
    out.words = words(under(log).rules, result.result);
    out.confirmed = item.confirmed;
    out.from = result.from;
    out.replaces = result.replaces;
    out.unlike_calls = result.unlike_calls;
    return out;
}

void Hub::Inside::tell_again() {
    for (const ToldItem& item : told_items) {
        if (item.renamed != PersonId{}) {
            feed.renamed(Renamed{item.number, item.renamed, name_of_erased(item.renamed)});
            continue;
        }
        if (item.results.empty()) {
            for (const Reopened& each : item.reopened)
                feed.reopened(each);
            continue;
        }
        Finished out = told_again(item, item.results.front());
        for (std::size_t i = 1; i < item.results.size(); ++i)
            out.also.push_back(told_again(item, item.results[i]));
        out.no_result = item.reopened;
        feed.finished(out);
    }
    for (const auto& [id, log] : bouts) {
        if (!log.calls.empty() || log.changed != RecordNumber{}) feed.sheet_changed(id);
    }
}

}  // namespace honbu

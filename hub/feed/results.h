// The results stream: every item in order, and which results stand now.
//
// An item tells of one bout; of two where each had the record of the other. For whoever reads over
// HTTP each bout then has a result of its own. Items are kept for good, encoded: a day has as many
// as bouts. Hub thread.
#pragma once

#include <map>
#include <optional>
#include <utility>
#include <variant>
#include <vector>

#include "hub/core/message.h"
#include "hub/feed/shared.h"

namespace honbu {

class Results {
public:
    // What an item tells of one bout; a Finished of it alone.
    struct Told {
        std::variant<Finished, Reopened> fact;
        mutable Shared made;  // the JSON, once it was asked for
        const std::string& json(PublicNames names = PublicNames::full) const;
    };

    void begin(Epoch epoch) {
        epoch_ = epoch;
        begun_ = true;
    }
    void show_publicly(PublicNames names) { names_ = names; }  // before anything is told
    // The JSON of a result takes a tenth of a millisecond, so a day of it is not left to whoever
    // asks first: it is made at once, but for those from before begin(), a few of which each call
    // makes. False: there are no more.
    bool make_some();
    void finished(const Finished& item);
    void reopened(const Reopened& item);
    // An item of its own, and those before it are told with this name from now on.
    void renamed(const Renamed& item);

    std::size_t size() const { return items_.size(); }
    // The index of the first item after this number.
    std::size_t after(RecordNumber number) const;
    // `names`: whole ones, whatever the public is shown.
    const Shared& encoded(std::size_t index, Form form, bool names = true);
    RecordNumber last() const;                  // 0: there is none yet
    std::vector<const Told*> standing() const;  // the results that count now, in order

private:
    struct Item {
        RecordNumber number;
        std::vector<Told> told;
        Encoded message;
        std::optional<Renamed> renamed{};  // that it is
        Encoded cut{};                     // as the public may see it; made when first asked for
        Shared event{};                    // the same
    };
    Told told(std::variant<Finished, Reopened> fact) const;
    void keep(Item item);
    const Shared& event(Item& item) const;
    static Finished whole(const Item& item);

    Epoch epoch_;
    PublicNames names_ = PublicNames::full;
    bool begun_ = false;
    std::size_t made_ = 0;  // of so many items the JSON is there
    std::vector<Item> items_;
    // Of each bout whose result stands: the item, and which of what it tells.
    std::map<BoutId, std::pair<std::size_t, std::size_t>> standing_;
};

}  // namespace honbu

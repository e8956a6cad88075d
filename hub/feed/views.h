// The views: the latest state of each thing, whole, encoded once for all who follow it.
//
// A slow follower has one slot for each view, and finds the newest in it. What differs in nothing
// but its number is the same view still, and keeps the number it has. Sheets are many and seldom
// read: only those that somebody follows are kept, and each is made when it is taken. Hub thread.
#pragma once

#include <cstdint>
#include <functional>
#include <map>
#include <optional>
#include <utility>

#include <boost/container/flat_set.hpp>

#include "hub/core/message.h"
#include "hub/core/sheet.h"
#include "hub/feed/shared.h"

namespace honbu {

// What a view is of.
struct Topic {
    enum class Kind : std::uint8_t {
        mat = 1,
        call_list = 2,
        tables = 3,
        set_aside = 4,
        sheet = 5,
        door = 6,
    };
    Kind kind{};
    std::uint32_t of = 0;  // the number of the mat or bout
    friend constexpr auto operator<=>(Topic, Topic) = default;
};
inline Topic topic(MatId mat) { return {Topic::Kind::mat, mat.value}; }
inline Topic topic(BoutId bout) { return {Topic::Kind::sheet, bout.value}; }

// Which views one session follows, and which of them wait for it.
struct ViewsFollowed {
    // Flat: there are a few of each, and they are looked at for each delivery.
    template<class What> using Few = boost::container::flat_set<What>;
    Few<MatId> mats;
    bool all_mats = false;
    bool call_list = false;
    bool tables = false;
    bool set_aside = false;
    bool door = false;
    bool names = true;                       // whole ones, whatever the public is shown
    std::map<BoutId, std::uint64_t> sheets;  // and the change it has; 0: none yet
    Few<Topic> waiting;                      // changed since last taken

    ViewsFollowed() = default;
    explicit ViewsFollowed(const Subscribe& wish);
    bool follows(Topic topic) const;
    bool any() const;
};

class Views {
public:
    using SheetOf = std::function<std::optional<BoutSheet>(BoutId)>;

    void begin(Epoch epoch) { epoch_ = epoch; }
    void sheets_from(SheetOf sheet_of) { sheet_of_ = std::move(sheet_of); }
    void show_publicly(PublicNames names) { names_ = names; }  // before anything is taken

    // True: it is another one now.
    bool mat(const MatView& view);
    bool call_list(const CallList& list);
    bool tables(const Tables& tables);
    bool set_aside(const SetAside& calls);
    bool door(const Door& door);
    bool sheet_changed(BoutId bout);  // true: somebody follows it

    void follow(ViewsFollowed& by);  // what is there waits for it
    void unfollow(const ViewsFollowed& by);
    Shared take(ViewsFollowed& by, Form form);  // the next that waits; nothing: none does
    PublicNames names() const { return names_; }

    // -- the facts, for documents
    struct Mat {
        MatView view;
        std::uint64_t change = 0;  // of changes(), when it became so
        Encoded message;
        Encoded cut;   // as the public may see it; made when first asked for
        Shared json;   // the same
        Shared event;  // the same
    };
    const std::map<MatId, Mat>& mats() const { return mats_; }
    const Shared& json(MatId mat);                      // of a mat that is there
    std::uint64_t changes() const { return changes_; }  // of mats
    const CallList& call_list() const { return call_list_; }
    std::uint64_t call_list_changes() const { return called_.change; }
    std::uint64_t sheet_changes(BoutId bout) const;  // it may be another one: so often

private:
    struct Latest {
        std::uint64_t change = 0;
        RecordNumber number;
        Encoded message;  // of the call list: made when somebody first takes it
        Encoded cut;      // as the public may see it; the same
    };
    struct Sheet {
        std::size_t followers = 0;
        bool stale = true;
        Latest latest;
    };
    bool is_cut(const ViewsFollowed& by) const { return !by.names && names_ != PublicNames::full; }
    template<class View> static bool keep(Latest& latest, const View& view);
    const Shared& event(MatId mat);
    Latest& sheet(BoutId bout);
    Shared encoded(Topic topic, Form form, bool cut);

    Epoch epoch_;
    SheetOf sheet_of_;
    PublicNames names_ = PublicNames::full;
    std::uint64_t changes_ = 0;
    std::map<MatId, Mat> mats_;
    CallList call_list_;
    Latest called_;
    Latest tables_;
    Latest set_aside_;
    Latest door_;
    std::map<BoutId, Sheet> sheets_;
    std::map<BoutId, std::uint64_t> sheet_changes_;
};

}  // namespace honbu

// What the desk may record, and what follows from it.
#include <algorithm>

#include "tests/simulation/reading.h"

namespace honbu::simulation {
namespace {

std::string text(std::uint64_t number) { return std::to_string(number); }

}  // namespace

// A bout that a table may be fighting is the table's alone.
bool Reading::desk_may_write(const Bout& bout) const {
    return bout.at_desk || mats_.at(bout.entry.mat).holder == DeviceId{} || bout.confirmed ||
           bout.standing || bout.calls.empty();
}

std::string Reading::not_for_desk(const Record& record, BoutId id) const {
    if (!is_desk(record.device)) return "decides for the desk and is not from it";
    const Bout* known = bout(id);
    if (known == nullptr) return "is about bout " + text(id.value) + ", which there is not";
    if (!desk_may_write(*known)) {
        return "writes bout " + text(id.value) + ", which its mat's table may be fighting";
    }
    return {};
}

std::string Reading::take_decision(const Record& record, const SetAsideDecided& decision) {
    if (!is_desk(record.device)) return "decides for the desk and is not from it";
    if (decision.calls.empty()) return "decides about nothing";
    for (const CallId id : decision.calls) {
        if (call(id) == nullptr) return "decides about a call that never came";
        if (aside_.erase(id) == 0) return "decides about a call that waits for nobody";
    }
    aside_changed_ = record.number;
    if (decision.how == SetAsideDecided::How::dismissed) {
        const bool plain = decision.into == BoutId{} && decision.joined.empty();
        return plain ? "" : "dismisses calls into a bout";
    }
    if (std::string no = not_for_desk(record, decision.into); !no.empty()) return no;
    Bout& bout = bouts_.at(decision.into);
    if (!both_known(bout)) return "takes calls into a bout between nobody";
    bool confirms = false;
    if (std::string no = count_in(bout, decision, confirms); !no.empty()) return no;
    bout.at_desk = true;
    bout.changed = record.number;
    fold_again(bout);
    note_results(record, bout, confirms);
    settle_names();
    return {};
}

// For each run that the bout does not know one joint is recorded, to a run that it knows, at the
// instant of the first call: in case the run's own joint is not among the calls, or can't be there.
// A bout without calls knows the run of the first call that can be in it.
std::string Reading::joints_problem(const Bout& bout, const SetAsideDecided& decision) const {
    std::vector<CallId> needed;
    std::vector<RunId> there;
    for (const Call& c : bout.calls)
        there.push_back(c.id.run);
    for (const CallId id : decision.calls) {
        if (!there.empty() || no_entry(under(bout), {}, call(id)->call)) continue;
        there.push_back(id.run);
    }
    if (there.empty()) return decision.joined.empty() ? "" : "joins runs where no call can be";
    for (const CallId id : decision.calls) {
        const bool begins = bout.calls.empty() && id.run == there.front();
        const bool known = begins || Timeline(bout.calls).knows(id.run) ||
                           std::any_of(needed.begin(), needed.end(),
                                       [id](CallId other) { return other.run == id.run; });
        if (!known) needed.push_back(id);
    }
    if (needed.size() != decision.joined.size()) return "joins other runs than the new ones";
    for (std::size_t i = 0; i < needed.size(); ++i) {
        const auto& [run, joint] = decision.joined[i];
        if (run != needed[i].run) return "joins another run than the one that needs it";
        if (std::find(there.begin(), there.end(), joint.earlier) == there.end()) {
            return "joins a run to one that is not there";
        }
        if (joint.here != call(needed[i])->call.entered) {
            return "joins a run at another call's instant";
        }
    }
    return {};
}

// Behind what the bout has, each as far as it can be there.
std::string Reading::count_in(Bout& bout, const SetAsideDecided& decision, bool& confirms) {
    if (std::string no = joints_problem(bout, decision); !no.empty()) return no;
    bool any = false;
    for (const CallId id : decision.calls) {
        Call counted = call(id)->call;
        counted.bout = decision.into;
        const auto joins = std::find_if(decision.joined.begin(), decision.joined.end(),
                                        [id](const auto& joined) { return joined.run == id.run; });
        const bool own = std::holds_alternative<Joint>(counted.what);
        const bool new_run = !bout.calls.empty() && !Timeline(bout.calls).knows(id.run);
        if (joins != decision.joined.end() && !own && new_run) {
            Call meets = counted;
            meets.id.number = CallNumber{0};
            meets.entered = joins->joint.here;
            meets.back = Duration{};
            meets.seen = 0;
            meets.what = joins->joint;
            bout.calls.push_back(meets);
        }
        if (no_entry(under(bout), bout.calls, counted)) continue;
        any = true;
        confirms = confirms || std::holds_alternative<Confirm>(counted.what);
        bout.calls.push_back(counted);
    }
    return any ? "" : "takes calls of which none can count";
}

std::string Reading::result_problem(const Bout& bout, const Result& result) const {
    if (result.winner == Winner::undecided) {
        return bout.standing ? "" : "takes away a result that there is not";
    }
    if (result.rules_hash != sha256(encode(under(bout).rules))) {
        return "enters a result under other rules than the bout's";
    }
    if (result.fold_version != 0) return "enters a result and says that it was folded";
    for (const auto& [level, way] :
         {std::pair(Level::koka, Way::koka), std::pair(Level::yuko, Way::yuko)}) {
        const bool on_board = result.white.score[index(level)] + result.blue.score[index(level)] >
                              0;
        if ((on_board || result.way == way) && !under(bout).rules.has(level)) {
            return "enters a result with a score that its rules do not have";
        }
    }
    const bool both_lose = result.winner == Winner::both_lose;
    const bool draw = result.winner == Winner::draw;
    if (result.way == Way::none || both_lose != (result.way == Way::both_lose) ||
        draw != (result.way == Way::hiki_wake)) {
        return "enters a result whose winner did not win that way";
    }
    const bool without_both = result.way == Way::both_lose || result.way == Way::fusen_gachi;
    if (!without_both && !both_known(bout)) return "enters a result of a bout between nobody";
    return {};
}

std::string Reading::take_result(const Record& record, const ResultEntered& entered) {
    if (std::string no = not_for_desk(record, entered.bout); !no.empty()) return no;
    Bout& bout = bouts_.at(entered.bout);
    if (entered.replaces != bout.standing_since) {
        return "replaces the result of record " + text(entered.replaces.value) + ", and that of " +
               text(bout.standing_since.value) + " stands";
    }
    if (std::string no = result_problem(bout, entered.result); !no.empty()) return no;
    bout.at_desk = true;
    bout.changed = record.number;
    Item item{record.number, {}, {}, {}};
    if (entered.result.winner == Winner::undecided) {
        if (entered.result != Result{}) return "takes away a result and says something of it";
        stand(bout, std::nullopt);
        item.opened.push_back(opened(bout));
    } else {
        stand(bout, entered.result);
        const bool paper = entered.from == ResultEntered::From::paper;
        item.results.push_back(told(record, bout, paper ? Came::paper : Came::desk));
    }
    results_.push_back(std::move(item));
    settle_names();
    return {};
}

// Calls and result change places; athletes, mat and rules stay. So the rules have to be the same.
std::string Reading::take_moved(const Record& record, const RecordMoved& moved) {
    if (std::string no = not_for_desk(record, moved.from); !no.empty()) return no;
    if (std::string no = not_for_desk(record, moved.to); !no.empty()) return no;
    if (moved.from == moved.to) return "moves a record to where it is";
    Bout& from = bouts_.at(moved.from);
    Bout& to = bouts_.at(moved.to);
    if (from.calls.empty() && !from.standing) return "moves a record that there is not";
    const CategoryEntry& here = competition_->categories.at(from.entry.category);
    const CategoryEntry& there = competition_->categories.at(to.entry.category);
    if (here.rules != there.rules || here.time != there.time || here.golden != there.golden) {
        return "moves a record under other rules";
    }
    const bool goes_back = !to.calls.empty() || to.standing;
    if (!both_known(to) || (goes_back && !both_known(from))) {
        return "moves a record to a bout between nobody";
    }
    const std::optional<Result> of_from = from.standing;
    const std::optional<Result> of_to = to.standing;
    std::swap(from.calls, to.calls);
    std::swap(from.confirmed, to.confirmed);
    std::swap(from.by_calls, to.by_calls);
    stand(to, of_from);
    stand(from, of_to);
    for (Bout* bout : {&from, &to}) {
        bout->at_desk = true;
        bout->changed = record.number;
        fold_again(*bout);
    }
    // What a mat shows goes with the record, as long as it stays on that mat.
    for (auto& [id, mat] : mats_) {
        if (mat.current != moved.from && mat.current != moved.to) continue;
        const BoutId other = mat.current == moved.from ? moved.to : moved.from;
        const bool stays = bouts_.at(other).entry.mat == id && !bouts_.at(other).calls.empty();
        if (stays) mat.current = other;
        if (bouts_.at(*mat.current).calls.empty()) mat.current.reset();
    }
    settle_names();
    if (!of_from && !of_to) return {};
    Item item{record.number, {}, {}, {}};
    const auto tell = [&](Bout& bout, bool had) {
        if (bout.standing) {
            item.results.push_back(told(record, bout, Came::other_record));
        } else if (had) {
            item.opened.push_back(opened(bout));
        }
    };
    tell(to, of_to.has_value());
    tell(from, of_from.has_value());
    results_.push_back(std::move(item));
    return {};
}

std::string Reading::take_given_back(const Record& record, const BoutGivenBack& given) {
    if (std::string no = not_for_desk(record, given.bout); !no.empty()) return no;
    Bout& bout = bouts_.at(given.bout);
    if (!bout.at_desk) return "gives back a bout that the desk does not have";
    if (!as_called(bout)) return "gives back a bout whose table would show another result";
    bout.at_desk = false;
    bout.given_back = true;
    bout.changed = record.number;
    return {};
}

// -- names that are erased

bool Reading::can_erase(const PersonErased& erased) const {
    if (erased.person == PersonId{}) return typed_.contains(erased.bout);
    return people_.contains(erased.person) && !erased_.contains(erased.person);
}

Item Reading::with_names_of_now(Item item) const {
    for (ResultTold& told : item.results) {
        for (Seat* seat : {&told.bout.white, &told.bout.blue}) {
            if (!erased_.contains(seat->person)) continue;
            seat->name = people_.at(seat->person).name;
            seat->club.clear();
        }
    }
    return item;
}

// The record and what goes beside it are one: the key of that person, or of that bout.
std::string Reading::take_erased(const Record& record, const PersonErased& erased, const Row& row) {
    if (!is_desk(record.device)) return "erases for the desk and is not from it";
    if (!can_erase(erased)) return "erases what is not there";
    const bool typed = erased.person == PersonId{};
    const std::string key = typed ? "typed/" + std::to_string(erased.bout.value)
                                  : "person/" + std::to_string(erased.person.value);
    if (row.erased != std::vector<std::string>{key}) return "erases, and something else goes";
    if (typed) {
        typed_.erase(erased.bout);
        typed_erased_.insert(erased.bout);
        const bool waits = std::any_of(aside_.begin(), aside_.end(), [&](CallId id) {
            return call(id)->call.bout == erased.bout;
        });
        if (waits) aside_changed_ = record.number;
        return {};
    }
    const std::string name = "Athlete " + std::to_string(erased.person.value);
    erased_.insert(erased.person);
    people_[erased.person] = Named{name, {}};
    for (Item& item : results_)
        item = with_names_of_now(std::move(item));
    results_.push_back(Item{record.number, {}, {}, {{erased.person, name}}});
    return {};
}

}  // namespace honbu::simulation

// What desks ask for: each wish is at most one record, said to be done once that is kept.
#include <algorithm>

#include "tests/simulation/checker.h"
#include "tests/simulation/checker_names.h"

namespace honbu::simulation {
namespace {

// A fact as a desk can ask for it: without what the hub adds. Nothing: no desk asks for it.
std::optional<Fact> as_asked(const Fact& fact) {
    struct Asked {
        std::optional<Fact> operator()(const EpochBegan&) const { return {}; }
        std::optional<Fact> operator()(const CompetitionLoaded&) const { return {}; }
        std::optional<Fact> operator()(const MatTaken&) const { return {}; }
        std::optional<Fact> operator()(const Call&) const { return {}; }
        std::optional<Fact> operator()(const MatFreed& f) const { return f; }
        std::optional<Fact> operator()(SetAsideDecided f) const {
            f.joined.clear();
            return f;
        }
        std::optional<Fact> operator()(ResultEntered f) const {
            f.result.rules_hash = {};
            f.result.fold_version = 0;
            if (f.result.winner == Winner::undecided) f.result = Result{};
            return f;
        }
        std::optional<Fact> operator()(const RecordMoved& f) const { return f; }
        std::optional<Fact> operator()(const BoutGivenBack& f) const { return f; }
        std::optional<Fact> operator()(const DeviceLetIn& f) const { return f; }
        std::optional<Fact> operator()(const DeviceShutOut& f) const { return f; }
        std::optional<Fact> operator()(const PersonErased& f) const { return f; }
        std::optional<Fact> operator()(const CallsHandedIn& f) const { return f; }
    };
    return std::visit(Asked{}, fact);
}

std::string content(const Fact& fact) {
    Record record;
    record.fact = fact;
    return encode(record);
}

std::vector<BoutId> named(const Fact& fact) {
    if (const auto* moved = std::get_if<RecordMoved>(&fact)) return {moved->from, moved->to};
    if (const auto* given = std::get_if<BoutGivenBack>(&fact)) return {given->bout};
    if (const auto* entered = std::get_if<ResultEntered>(&fact)) return {entered->bout};
    return {};
}

}  // namespace

void Checker::desk_wishes(DeviceId desk, std::uint32_t request, const Wish& wish) {
    const auto fact = as_asked(wish.fact);
    const std::string asked = content(*fact);
    const auto [at, fresh] = wishes_.emplace(std::pair(desk, request), Asked{asked, wish, {}});
    hold(fresh || at->second.fact == asked, "the simulator's own desk",
         "request " + text(request) + " asks for something else than before");
}

// A desk's record has a wish behind it that has had none yet, and what the wish was decided on has
// not changed meanwhile.
void Checker::was_wished(const Record& record) {
    const auto fact = as_asked(record.fact);
    if (!fact || !is_desk(record.device)) return;
    const std::string asked = content(*fact);
    const std::vector<BoutId> bouts = named(*fact);
    bool as_it_was = false;
    for (auto& [key, wish] : wishes_) {
        if (key.first != record.device || wish.record != RecordNumber{} || wish.fact != asked) {
            continue;
        }
        bool as_it_is = true;
        for (std::size_t i = 0; i < bouts.size(); ++i) {
            const Reading::Bout* bout = decided_.bout(bouts[i]);
            as_it_is = as_it_is && bout != nullptr && bout->changed == wish.wish.changed.at(i);
        }
        as_it_was = as_it_was || !as_it_is;
        if (!as_it_is) continue;
        wish.record = record.number;
        return;
    }
    hold(!as_it_was, "nothing is decided on what has changed",
         name(record.number) + " was decided on a bout that has changed meanwhile");
    hold(false, "one command, one record",
         name(record.number) + " is from a desk that has not asked for it, or not once more");
}

void Checker::one_command(std::size_t rows_before, bool refused) {
    hold(rows_.size() <= rows_before + 1, "one command, one record",
         "a command wrote " + text(rows_.size() - rows_before) + " records");
    hold(!refused || rows_.size() == rows_before, "what is refused changes nothing",
         "a command was refused and wrote " + name(RecordNumber{decided_.number()}));
}

void Checker::done_left(DeviceId desk, std::uint32_t request, RecordNumber record) {
    on_disk(record, "a desk's answer");
    const auto written = decode_record(rows_.at(record.value - 1).bytes);
    hold(written->device == desk, "one command, one record",
         name(record) + " is said to be this desk's and is another's");
    const auto wish = wishes_.find({desk, request});
    hold(wish != wishes_.end(), "one command, one record",
         "request " + text(request) + " is said to be done and was never sent");
    // Of two that ask for the same either may have been the first.
    for (auto& [key, other] : wishes_) {
        if (key.first != desk || other.record != record) continue;
        if (other.fact == wish->second.fact) std::swap(other.record, wish->second.record);
    }
    hold(wish->second.record == record, "one command, one record",
         "request " + text(request) + " is said to be " + name(record) + ", and that is not so");
}

// What it was decided on stands, and the desk may write there.
bool Checker::fits(const Wish& wish) const {
    struct Fits {
        const Reading& truth;
        const std::vector<RecordNumber>& changed;
        bool free(BoutId id) const {
            const Reading::Bout* bout = truth.bout(id);
            return bout != nullptr && truth.desk_may_write(*bout);
        }
        bool operator()(const EpochBegan&) const { return false; }
        bool operator()(const CompetitionLoaded&) const { return false; }
        bool operator()(const MatTaken&) const { return false; }
        bool operator()(const Call&) const { return false; }
        bool operator()(const MatFreed& f) const {
            const Reading::Mat& mat = truth.mats().at(f.mat);
            return mat.holder != DeviceId{} && mat.term == f.term;
        }
        bool operator()(const SetAsideDecided& f) const {
            return std::all_of(f.calls.begin(), f.calls.end(),
                               [this](CallId call) { return truth.waits_for_decision(call); }) &&
                   (f.how == SetAsideDecided::How::dismissed || free(f.into));
        }
        bool operator()(const ResultEntered& f) const {
            return free(f.bout) && truth.bout(f.bout)->standing_since == f.replaces &&
                   truth.bout(f.bout)->changed == changed.at(0);
        }
        bool operator()(const RecordMoved& f) const {
            return free(f.from) && free(f.to) && truth.bout(f.from)->changed == changed.at(0) &&
                   truth.bout(f.to)->changed == changed.at(1);
        }
        bool operator()(const BoutGivenBack& f) const {
            return free(f.bout) && truth.bout(f.bout)->at_desk &&
                   truth.bout(f.bout)->changed == changed.at(0);
        }
        bool operator()(const DeviceLetIn&) const { return true; }
        bool operator()(const DeviceShutOut&) const { return true; }
        bool operator()(const PersonErased& f) const { return truth.can_erase(f); }
        bool operator()(const CallsHandedIn&) const { return true; }
    };
    return std::visit(Fits{decided_, wish.changed}, wish.fact);
}

void Checker::wish_refused(DeviceId desk, std::uint32_t request, Refused why) {
    const auto wish = wishes_.find({desk, request});
    if (wish == wishes_.end()) return;  // it only wanted to look at a bout
    if (why != Refused::changed && why != Refused::at_the_table) return;
    // While something is on its way to the disk the hub may well ask to look again.
    const bool waits = told_.value < rows_.size();
    hold(waits || !fits(wish->second.wish), "what can be taken is not refused",
         "request " + text(request) + " was refused as if something had changed");
}

// -- asking

void Checker::asked_left(Who session, std::uint32_t ask) {
    hold(!answered_.contains({session, ask}), "a question is answered once",
         "question " + text(ask) + " is asked again after its answer");
}

void Checker::answer_left(Who session, std::uint32_t ask, bool final_word) {
    hold(!answered_.contains({session, ask}), "a question is answered once",
         "question " + text(ask) + " is answered again");
    if (final_word) answered_.insert({session, ask});
}

}  // namespace honbu::simulation

#include "hub/words/record_line.h"

#include <variant>

#include "engine/record/canon.h"
#include "hub/words/call_words.h"
#include "hub/words/how_many.h"

namespace honbu {
namespace {

std::string_view word(Verdict verdict) {
    switch (verdict) {
    case Verdict::none: return "";
    case Verdict::applied: return "applied";
    case Verdict::without_effect: return "without effect";
    case Verdict::set_aside: return "set aside";
    }
    return "";
}

std::string call_id(CallId id) {
    return hex16(id.run.value) + "/" + std::to_string(id.number.value);
}

std::string bout_text(BoutId bout) { return "bout " + std::to_string(bout.value); }

std::string right_text(const DeviceLetIn& f) {
    switch (f.right) {
    case Right::none: break;
    case Right::table: return "table of mat " + std::to_string(f.mat.value);
    case Right::desk: return "desk";
    case Right::set_up: return "set-up";
    case Right::display: return "display";
    }
    return "nothing";
}

struct FactText {
    const Record& record;
    TellCalls tell{"white", "blue", call_id, " of its run"};
    std::string operator()(const EpochBegan& f) const {
        return "epoch " + hex16(f.epoch.value) +
               (f.parent == Epoch() ? " began" : " goes on from epoch " + hex16(f.parent.value)) +
               ", fold version " + std::to_string(f.fold_version) +
               (f.rehearsal_rate == 1
                    ? std::string()
                    : ", rehearsal at " + std::to_string(f.rehearsal_rate) + " times the speed");
    }
    std::string operator()(const CompetitionLoaded& f) const {
        std::string rules;
        for (const RuleSet& set : f.rules)
            rules += (rules.empty() ? ", rules " : ", ") + set.name;
        return "competition loaded: " + f.title + ", " + how_many(f.bouts.size(), "bout", "bouts") +
               rules;
    }
    std::string operator()(const MatTaken& f) const {
        return "mat " + std::to_string(f.mat.value) + "  taken, term " +
               std::to_string(f.term.value);
    }
    std::string operator()(const Call& f) const {
        return "mat " + std::to_string(f.mat.value) + "  bout " + std::to_string(f.bout.value) +
               "  " + call_words(f.what, tell) + "  " + std::string(word(record.verdict));
    }
    std::string operator()(const MatFreed& f) const {
        return "mat " + std::to_string(f.mat.value) + "  freed, term " +
               std::to_string(f.term.value) + " ends";
    }
    std::string operator()(const SetAsideDecided& f) const {
        const std::string calls = how_many(f.calls.size(), "call", "calls") + " set aside";
        switch (f.how) {
        case SetAsideDecided::How::taken:
            return bout_text(f.into) + "  " + calls + " taken into it" +
                   (f.joined.empty()
                        ? std::string()
                        : ", " + how_many(f.joined.size(), "run", "runs") + " joined") +
                   ": " + f.reason;
        case SetAsideDecided::How::dismissed: return calls + " dismissed: " + f.reason;
        }
        return calls;
    }
    std::string operator()(const ResultEntered& f) const {
        const std::string replaced = f.replaces == RecordNumber()
                                         ? std::string()
                                         : " instead of that of record " +
                                               std::to_string(f.replaces.value);
        const bool none = f.result.winner == Winner::undecided;
        const bool paper = f.from == ResultEntered::From::paper;
        return bout_text(f.bout) + "  " +
               (none ? "no result"
                     : "result entered " + std::string(paper ? "from paper" : "at the desk")) +
               replaced + (none ? std::string() : ": " + result_words(f.result, tell)) + ": " +
               f.reason;
    }
    std::string operator()(const RecordMoved& f) const {
        return bout_text(f.from) + "  its record is that of " + bout_text(f.to) +
               ", and the other way round: " + f.reason;
    }
    std::string operator()(const BoutGivenBack& f) const {
        return bout_text(f.bout) + "  given back to the table of its mat";
    }
    std::string operator()(const DeviceLetIn& f) const {
        return "device " + hex16(f.device.value) + " let in as " + right_text(f);
    }
    std::string operator()(const DeviceShutOut& f) const {
        return "device " + hex16(f.device.value) + " shut out: " + f.reason;
    }
    std::string operator()(const PersonErased& f) const {
        return (f.person == PersonId{} ? "the names typed for " + bout_text(f.bout)
                                       : "person " + std::to_string(f.person.value)) +
               " erased: " + f.reason;
    }
    std::string operator()(const CallsHandedIn& f) const {
        return how_many(f.calls.size(), "call", "calls") + " that device " + hex16(f.device.value) +
               " kept came by hand, " +
               (f.calls.empty() ? std::string("none")
                                : call_id(f.calls.front().id) + " to " +
                                      std::to_string(f.calls.back().id.number.value)) +
               ", set aside";
    }
};

}  // namespace

std::string hex16(std::uint64_t name) {
    std::string bytes;
    for (int shift = 56; shift >= 0; shift -= 8)
        bytes += static_cast<char>(name >> shift & 0xFFU);
    return hex(bytes);
}

std::string line(const Record& record) {
    std::string out = time_text(record.received) + "  " + std::visit(FactText{record}, record.fact);
    if (record.device == DeviceId()) return out;
    out += "  (";
    if (!record.hand.empty()) out += record.hand + ", ";
    out += "device " + hex16(record.device.value);
    if (const auto* call = std::get_if<Call>(&record.fact)) out += ", run " + call_id(call->id);
    return out + ")";
}

}  // namespace honbu

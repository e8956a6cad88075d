#include "hub/record_line.h"

#include <variant>

#include "engine/record/canon.h"
#include "hub/call_words.h"
#include "hub/how_many.h"

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

struct FactText {
    const Record& record;
    std::string operator()(const EpochBegan& f) const {
        return "epoch " + hex16(f.epoch.value) + " began, fold version " +
               std::to_string(f.fold_version) +
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
               "  " + call_words(f.what, TellCalls{"white", "blue", call_id, " of its run"}) +
               "  " + std::string(word(record.verdict));
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

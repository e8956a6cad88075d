#include "tests/conformance/facts.h"

#include <algorithm>

#include "engine/view/mat_view.h"

namespace honbu {
namespace {

// The words between the first and the last '"'.
std::string quoted(const std::string& fact) {
    const std::size_t first = fact.find('"');
    const std::size_t last = fact.rfind('"');
    if (first == std::string::npos || last == first) wrong("words in \"...\" are missing: " + fact);
    return fact.substr(first + 1, last - first - 1);
}

Means means_named(const std::string& text) {
    if (text == "called") return Means::called;
    if (text == "hold") return Means::hold;
    if (text == "submission") return Means::submission;
    if (text == "choke") return Means::choke;
    wrong("unknown means: " + text);
}

Sides sides_or_nobody(const std::string& text) {
    if (text == "nobody") return Sides{};
    return text == "both" ? both_sides() : only(side_named(text));
}

}  // namespace

Seen::Seen(const Scenario& scenario, const Played& played, Instant at)
    : played_(played), under_(scenario.under()), at_(at) {
    const Folded folded = fold(under_, played.kept, at);
    s_ = folded.state;
    for (std::size_t i = 0; i < played.kept.size(); ++i) {
        standing_[played.kept[i].id.number.value] = folded.places[i].standing;
    }
}

bool Seen::holds(const std::string& fact) const {
    const Words w = words_of(fact);
    if (const auto known = about_result(w, fact)) return *known;
    if (const auto known = about_clocks(w, fact)) return *known;
    if (const auto known = about_athletes(w, fact)) return *known;
    if (const auto known = about_table(w, fact)) return *known;
    wrong("unknown fact: " + fact);
}

std::optional<bool> Seen::about_result(const Words& w, const std::string& fact) const {
    const std::string& head = w.at(0);
    if (head == "undecided") return !s_.decided();
    if (head == "winner") {
        if (w.at(1) == "none") return !s_.decided();
        if (w.at(1) == "both") return s_.decision.winner == Winner::both_lose;
        if (w.at(1) == "draw") return s_.decision.winner == Winner::draw;
        return s_.decision.winner == winner(side_named(w[1]));
    }
    if (head == "way") return word(s_.decision.way) == fact.substr(4);
    if (head == "means") return s_.decision.means == means_named(w.at(1));
    if (head == "flags") return std::to_string(s_.decision.flags) == w.at(1).substr(0, 1);
    if (head == "points") return points_of(under_.rules, s_.decision) == number(w.at(1));
    const auto result = [&] { return result_of(under_, played_.kept, at_); };
    if (head == "decided") {
        return s_.decided() && result().decided.ms == time_ms(w.at(2)) &&
               s_.decision.elapsed == result().decided;
    }
    if (head == "stopped") return s_.decided() && result().stopped.ms == time_ms(w.at(2));
    if (fact == "administrative") return s_.administrative && result().administrative;
    if (fact == "names exchanged") return s_.names_exchanged && result().names_exchanged;
    if (fact == "names as listed") return !s_.names_exchanged && !result().names_exchanged;
    return {};
}

std::optional<bool> Seen::about_clocks(const Words& w, const std::string& fact) const {
    const std::string& head = w.at(0);
    if (head == "clock") return s_.contest.at(at_).ms == time_ms(w.at(1));
    if (head == "total") return (s_.regular + s_.contest.at(at_)).ms == time_ms(w.at(1));
    if (fact == "golden score") return s_.golden;
    if (fact == "regular time") return !s_.golden;
    if (fact == "time up") return s_.time_up;
    if (fact == "signal waits") return show(under_, Frame{at_, {}, s_}, 0).signal_waits;
    if (fact == "signal") return s_.time_up && !show(under_, Frame{at_, {}, s_}, 0).signal_waits;
    if (head == "running") return s_.contest.running;
    if (head == "standing") return !s_.contest.running && s_.phase != Phase::frozen;
    if (head == "frozen") {
        return s_.phase == Phase::frozen && !s_.contest.running && !s_.hold.clock.running;
    }
    if (fact == "no hold") return !s_.hold.on;
    if (fact == "no past hold") return !s_.past_hold.readable;
    if (head == "hold") {
        return s_.hold.on && s_.hold.by == side_named(w.at(1)) &&
               s_.hold.clock.at(at_).ms == seconds_ms(w.at(2));
    }
    if (head == "past") {
        return s_.past_hold.readable && s_.past_hold.by == side_named(w.at(2)) &&
               s_.past_hold.value.ms == seconds_ms(w.at(3));
    }
    if (head == "countdown") {
        return (under_.rules.call_wait - s_.absence.clock.at(at_)).ms == seconds_ms(w.at(1));
    }
    return {};
}

std::optional<bool> Seen::about_athletes(const Words& w, const std::string& fact) const {
    const std::string& head = w.at(0);
    if (head == "board") return board(w);
    if (head == "doctor") return s_.of(side_named(w.at(1))).doctor == number(w.at(2));
    if (head == "judogi") return s_.of(side_named(w.at(1))).judogi == number(w.at(2));
    if (head == "bleeding") {
        return s_.of(side_named(w.at(1))).bleeding[index(site_named(w.at(2)))] == number(w.at(3));
    }
    if (fact == "call due") return s_.absence.due;
    if (fact == "absence over") return s_.absence.over;
    if (head == "absent") {
        if (w.at(1) == "calls") return s_.absence.calls == number(w.at(2));
        return s_.absence.who == sides_or_nobody(w[1]);
    }
    return {};
}

std::optional<bool> Seen::about_table(const Words& w, const std::string& fact) const {
    const std::string& head = w.at(0);
    if (head == "state") return state_word(s_) == fact.substr(6);
    if (fact == "review") return s_.review;
    if (fact == "no review") return !s_.review;
    if (head == "prompt") return prompted(quoted(fact));
    if (fact == "no prompt") return prompts(under_, s_).empty();
    if (fact.rfind("no prompt", 0) == 0) return !prompted(quoted(fact));
    if (fact == "no offer") return offers(under_, played_.kept, s_, at_).empty();
    if (head == "offer") return offered(w);
    if (head == "refused") return played_.refused.count(number(w.at(1))) == 1;
    if (head == "unusual") {
        const Words call(w.begin() + 1, w.end());
        return unusual(under_, s_, call_named(call));
    }
    if (head == "usual") {
        const Words call(w.begin() + 1, w.end());
        return !unusual(under_, s_, call_named(call));
    }
    if (head == "without" || head == "struck") {
        const bool is_struck = head == "struck";
        const auto found = standing_.find(number(w.at(is_struck ? 1 : 2)));
        return found != standing_.end() &&
               found->second == (is_struck ? Standing::struck : Standing::without_effect);
    }
    return {};
}

// "board SIDE IPPON WAZA-ARI YUKO SHIDO", or with KOKA before SHIDO.
bool Seen::board(const Words& w) const {
    if (w.size() != 6 && w.size() != 7) wrong("board SIDE and four numbers, or five with koka");
    const BoardSide shown_side = shown(under_.rules, s_, side_named(w.at(1)));
    const std::uint32_t koka = w.size() == 7 ? number(w[5]) : 0;
    return shown_side.score[index(Level::ippon)] == number(w[2]) &&
           shown_side.score[index(Level::waza_ari)] == number(w[3]) &&
           shown_side.score[index(Level::yuko)] == number(w[4]) &&
           shown_side.score[index(Level::koka)] == koka && shown_side.shido == number(w.back());
}

// "offer hajime 0:12" or "offer move 4 0:12".
bool Seen::offered(const Words& w) const {
    const std::uint32_t at = time_ms(w.back());
    for (const Offer& offer : offers(under_, played_.kept, s_, at_)) {
        if (offer.at.ms != at) continue;
        const auto* move = std::get_if<Move>(&offer.what);
        if (w.at(1) == "move") {
            if (move != nullptr && move->call.number.value == number(w.at(2))) return true;
        } else if (move == nullptr && word(offer.what) == w[1]) {
            return true;
        }
    }
    return false;
}

bool Seen::prompted(const std::string& part) const {
    const std::vector<std::string> all = prompts(under_, s_);
    return std::any_of(all.begin(), all.end(), [&](const std::string& prompt) {
        return prompt.find(part) != std::string::npos;
    });
}

std::string Seen::described() const {
    std::string out = "winner " + std::to_string(static_cast<int>(s_.decision.winner)) + " way '" +
                      std::string(word(s_.decision.way)) + "' means " +
                      std::to_string(static_cast<int>(s_.decision.means)) + " clock " +
                      std::to_string(s_.contest.at(at_).ms) + " ms, state '" +
                      std::string(state_word(s_)) + "'";
    for (const Side side : {Side::white, Side::blue}) {
        const BoardSide shown_side = shown(under_.rules, s_, side);
        out += std::string(" | ") + std::string(word(side));
        for (std::size_t i = level_count; i-- > 0;)
            out += " " + std::to_string(shown_side.score[i]);
        out += " shido " + std::to_string(shown_side.shido);
    }
    if (s_.decided()) {
        const Result result = result_of(under_, played_.kept, at_);
        out += " | decided " + std::to_string(result.decided.ms) + " ms, stopped " +
               std::to_string(result.stopped.ms) + " ms, points " + std::to_string(result.points);
    }
    if (s_.hold.on) out += " | hold " + std::to_string(s_.hold.clock.at(at_).ms) + " ms";
    if (s_.past_hold.readable) {
        out += " | past hold " + std::to_string(s_.past_hold.value.ms) + " ms";
    }
    for (const std::string& prompt : prompts(under_, s_))
        out += " | prompt \"" + prompt + "\"";
    for (const Offer& offer : offers(under_, played_.kept, s_, at_)) {
        out += " | offer \"" + offer.words + "\" at " + std::to_string(offer.at.ms) + " ms";
    }
    for (const auto& [line, why] : played_.refused)
        out += " | refused " + std::to_string(line) + ": " + why;
    for (const auto& [line, standing] : standing_) {
        if (standing == Standing::without_effect)
            out += " | without effect " + std::to_string(line);
    }
    return out;
}

}  // namespace honbu

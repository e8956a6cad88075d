// The rule that decided a bout, as one sentence for whoever asks at the table. Where the rules come
// from: docs/rules.md, "How a bout ends".
#include <algorithm>
#include <string>

#include "engine/bout/text.h"
#include "engine/view/mat_view.h"

namespace honbu {
namespace {

std::string loser_word(const RuleSet& rules, Winner who) {
    return rules.side_word(who == Winner::white ? Side::blue : Side::white);
}

std::string capital(std::string text) {
    if (!text.empty() && text[0] >= 'a' && text[0] <= 'z') {
        text[0] = static_cast<char>(text[0] - 'a' + 'A');
    }
    return text;
}

// "2 to 1": the counts of the level that made the difference.
std::string counts(const Result& r, Level level) {
    const bool white = r.winner == Winner::white;
    const unsigned ahead = (white ? r.white : r.blue).score[index(level)];
    const unsigned behind = (white ? r.blue : r.white).score[index(level)];
    return Text() << ahead << " to " << behind;
}

std::string by_level(const RuleSet& rules, const Result& r, Level level) {
    const std::string_view name = word(level);
    if (r.golden_score)
        return Text() << "Who is first ahead in golden score wins: by " << name << ".";
    Text text;
    text << "With time up, " << name << " stood " << counts(r, level);
    const bool higher = level != Level::ippon &&
                        (level != Level::waza_ari || rules.ippon_needed > 1);
    return text << (higher ? ", with all above it equal." : ".");
}

}  // namespace

std::string because(const RuleSet& rules, const Result& r) {
    Text text;
    switch (r.way) {
    case Way::none: return {};
    case Way::ippon:
        if (rules.ippon_needed > 1) {
            const auto most = std::max(r.white.score[index(Level::ippon)],
                                       r.blue.score[index(Level::ippon)]);
            if (most < rules.ippon_needed && r.means == Means::none) {
                text << by_level(rules, r, Level::ippon);
                break;
            }
            text << "Under these rules " << rules.ippon_needed
                 << " ippon, or their "
                    "worth, end the bout.";
            break;
        }
        switch (r.means) {
        case Means::none:
        case Means::called: text << "Ippon ends the bout."; break;
        case Means::hold:
            text << "A hold of " << rules.hold_for(Level::ippon).ms / 1000 << " s is ippon.";
            break;
        case Means::submission:
            text << capital(loser_word(rules, r.winner)) << " gave up: that is ippon.";
            break;
        case Means::choke: text << "A choke or lock took effect: that is ippon."; break;
        }
        break;
    case Way::waza_ari_awasete_ippon: text << "Two waza-ari are worth an ippon."; break;
    case Way::sogo_gachi:
        text << "A waza-ari and the other's penalties worth a waza-ari are together an ippon.";
        break;
    case Way::waza_ari: text << by_level(rules, r, Level::waza_ari); break;
    case Way::yuko: text << by_level(rules, r, Level::yuko); break;
    case Way::koka: text << by_level(rules, r, Level::koka); break;
    case Way::fewer_shido:
        text << (r.golden_score
                     ? (rules.golden_shido == GoldenShido::lead
                            ? "In golden score who has received more shido than the other loses."
                            : "In golden score the first shido loses.")
                     : "When time was up, scores were equal and fewer shido win.");
        break;
    case Way::hantei:
        text << (rules.decision_by == DecisionBy::flags
                     ? "All was equal when time was up: the majority of the flags decided."
                     : "All was equal when time was up: the referee decided.");
        break;
    case Way::hansoku_make_by_shido:
        text << "Shido " << rules.shido_out << " of " << loser_word(rules, r.winner)
             << " is hansoku-make.";
        break;
    case Way::hansoku_make_direct:
        text << "Direct hansoku-make of " << loser_word(rules, r.winner) << ".";
        break;
    case Way::kiken_gachi:
        text << capital(loser_word(rules, r.winner)) << " could not or would not go on.";
        break;
    case Way::fusen_gachi:
        text << capital(loser_word(rules, r.winner)) << " did not appear.";
        break;
    case Way::both_lose:
        text << (r.white.hansoku_make && r.blue.hansoku_make
                     ? "Both were given hansoku-make: nobody wins."
                     : "Nobody wins: the referee gave it to neither.");
        break;
    case Way::hiki_wake: text << "All was equal when time was up: a draw."; break;
    }
    if (r.administrative) text << " Changed by the desk after the referees had left.";
    return text;
}

}  // namespace honbu

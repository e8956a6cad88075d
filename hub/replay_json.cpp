// The replay for programs. Field names are those of hub.proto where it has them; docs/replay.md
// lists them all.
#include <iostream>

#include "engine/view/json.h"
#include "hub/replay_telling.h"
#include "hub/wire/call_json.h"
#include "hub/words/call_words.h"

namespace honbu {
namespace {

std::string_view standing_name(Standing standing) {
    switch (standing) {
    case Standing::counts: return "counts";
    case Standing::struck: return "struck";
    case Standing::without_effect: return "withoutEffect";
    }
    return "";
}

class InJson final : public Telling {
public:
    void begin(const Conditions& under) override {
        rules_ = under.rules;
        time_ = under.time;
        golden_ = under.golden;
        json_.begin_object();
        json_.text("rules", rules_.name);
        json_.text("title", rules_.title);
        json_.number("timeMs", time_.ms);
        json_.number("goldenMs", golden_.ms);
        json_.text("whiteWord", rules_.white_word);
        json_.text("blueWord", rules_.blue_word);
        line();
    }

    void came(const Frame& frame) override {
        json_.begin_object();
        json_.number("at", frame.from.ms);
        json_.text("why", proto_name(frame.why));
        json_.text("words", happening_words(rules_, frame));
        board(frame);
        line();
    }

    void taken(const Said& said, const Frame& after, std::span<const Offer> fresh) override {
        open(said, after, true);
        if (!fresh.empty()) json_.begin_array("offers");
        for (const Offer& offer : fresh)
            one(offer, nullptr);
        if (!fresh.empty()) json_.end_array();
        board(after);
        line();
    }

    void refused(const Said& said, const Frame& still, const std::string& why) override {
        open(said, still, false);
        json_.text("refusal", why);
        board(still);
        line();
    }

    void end(const Ended& ended) override {
        const Conditions under{rules_, time_, golden_};
        const Result result = result_of(under, ended.calls, ended.until);
        const Folded folded = fold(under, ended.calls, ended.until);
        json_.begin_object();
        json_.raw("result", to_proto_json(result));
        json_.text("words", result.winner == Winner::undecided ? "nobody has won yet"
                                                               : words(rules_, result));
        json_.text("because", because(rules_, result));
        if (result.winner != Winner::undecided) {
            json_.number("decidedAt", folded.state.decision.at.ms);
        }
        json_.number("totalMs", (result.regular + result.golden).ms);
        json_.number("until", ended.until.ms);
        json_.text("state", state_word(folded.state));
        json_.begin_array("calls");
        std::vector<What> now;  // as corrections have left them
        for (const Call& call : ended.calls)
            now.push_back(call.what);
        for (const Step& step : steps(under, ended.calls, ended.until)) {
            if (step.call) now[*step.call] = step.what;
        }
        for (std::size_t i = 0; i < ended.said.size(); ++i)
            place(ended.said[i], now[i], folded.places[i]);
        json_.end_array();
        json_.number("refused", static_cast<std::uint32_t>(ended.refused.size()));
        json_.begin_array("offers");
        for (const Offer& offer : offers(under, ended.calls, folded.state, ended.until))
            one(offer, nullptr);
        json_.end_array();
        json_.begin_array("offersNotTaken");
        for (const Offered& offered : ended.passed_by)
            one(offered.offer, &offered);
        json_.end_array();
        json_.begin_array("prompts");
        for (const std::string& prompt : prompts(under, folded.state))
            json_.text(prompt);
        json_.end_array();
        line();
    }

private:
    void open(const Said& said, const Frame& frame, bool is_taken) {
        json_.begin_object();
        json_.number("at", frame.from.ms);
        json_.number("line", said.line);
        json_.number("position", said.position);
        json_.raw("call", to_proto_json(said.call));
        json_.text("words", call_words(said.call.what, tell()));
        json_.flag("taken", is_taken);
    }

    void one(const Offer& offer, const Offered* past) {
        json_.begin_object();
        if (past != nullptr) json_.number("position", past->position);
        json_.number("at", offer.at.ms);
        json_.text("words", offer.words);
        json_.raw("call", to_proto_json(offer.what));
        json_.end_object();
    }

    TellCalls tell() const {
        return TellCalls{rules_.white_word, rules_.blue_word,
                         [](CallId id) {
                             return name_text(id.run.value) + "/" + std::to_string(id.number.value);
                         },
                         " of its run"};
    }

    void board(const Frame& frame) {
        const State& s = frame.state;
        const Duration elapsed = s.contest.at(frame.from);
        const Duration limit = s.golden ? golden_ : time_;
        json_.text("state", state_word(s));
        json_.number("elapsedMs", elapsed.ms);
        if (limit.ms > 0) json_.number("remainingMs", (limit - elapsed).ms);
        json_.number("regularMs", (s.golden ? s.regular : elapsed).ms);
        json_.number("goldenMs", s.golden ? elapsed.ms : 0U);
        json_.raw("board", to_proto_json(show(Conditions{rules_, time_, golden_}, frame, 0)));
    }

    void place(const Said& said, const What& now, const Place& place) {
        json_.begin_object();
        json_.number("position", said.position);
        json_.number("line", said.line);
        json_.text("words", call_words(now, tell()));
        json_.text("standing", standing_name(place.standing));
        json_.number("at", place.at.ms);
        json_.number("elapsedMs", place.contest.ms);
        json_.flag("goldenScore", place.golden);
        json_.end_object();
    }

    void line() {
        json_.end_object();
        std::cout << json_.take() << "\n";
    }

    JsonWriter json_;
    RuleSet rules_;
    Duration time_;
    Duration golden_;
};

}  // namespace

std::unique_ptr<Telling> telling_in_json() { return std::make_unique<InJson>(); }

}  // namespace honbu

// The words of a call line, and the plain readers under them.
#include <algorithm>
#include <charconv>
#include <sstream>
#include <stdexcept>

#include "tests/conformance/scenario.h"

namespace honbu {

void wrong(const std::string& what) { throw std::runtime_error(what); }

std::uint32_t number(const std::string& text) {
    std::uint32_t value = 0;
    const auto [end, ec] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (ec != std::errc{} || end != text.data() + text.size()) wrong("not a number: " + text);
    return value;
}

std::uint32_t seconds_ms(const std::string& text) {
    const std::size_t dot = text.find('.');
    std::uint32_t ms = number(text.substr(0, dot)) * 1000;
    if (dot != std::string::npos) {
        std::string part = text.substr(dot + 1);
        if (part.empty() || part.size() > 3) wrong("not a time: " + text);
        part.resize(3, '0');
        ms += number(part);
    }
    return ms;
}

std::uint32_t time_ms(const std::string& text) {
    const std::size_t colon = text.find(':');
    if (colon == std::string::npos) wrong("not a time: " + text);
    return number(text.substr(0, colon)) * 60'000 + seconds_ms(text.substr(colon + 1));
}

Side side_named(const std::string& text) {
    if (text == "white") return Side::white;
    if (text == "blue") return Side::blue;
    wrong("white or blue, not '" + text + "'");
}

std::vector<std::string> words_of(const std::string& text) {
    std::istringstream in(text);
    std::vector<std::string> out;
    for (std::string word; in >> word;)
        out.push_back(word);
    return out;
}

namespace {

Sides sides_named(const std::string& text) {
    return text == "both" ? both_sides() : only(side_named(text));
}

// The words from `first` on as one text.
std::string rest_of(const std::vector<std::string>& words, std::size_t first) {
    std::string out;
    for (std::size_t i = first; i < words.size(); ++i)
        out += (out.empty() ? "" : " ") + words[i];
    return out;
}

// The value of an enum that has this trade's word.
template<class Enum> Enum named(const std::string& text, Enum first, Enum last) {
    for (auto v = static_cast<int>(first); v <= static_cast<int>(last); ++v) {
        if (word(static_cast<Enum>(v)) == text) return static_cast<Enum>(v);
    }
    wrong("unknown word: " + text);
}

// Reads one call's words one after the other; what is left over is a fault.
class CallWords {
public:
    explicit CallWords(const std::vector<std::string>& words) : words_(words) {}

    What call() {
        What what = read();
        if (next_ != words_.size()) wrong("too many words: " + rest_of(words_, next_));
        return what;
    }

private:
    bool more() const { return next_ < words_.size(); }
    const std::string& take() {
        if (!more()) wrong("a word is missing after '" + words_.back() + "'");
        return words_[next_++];
    }
    bool taken(const std::string& word) {
        if (!more() || words_[next_] != word) return false;
        ++next_;
        return true;
    }
    std::string rest() {
        const std::string out = rest_of(words_, next_);
        next_ = words_.size();
        return out;
    }
    Side side() { return side_named(take()); }
    Sides sides() { return sides_named(take()); }
    CallId call_id() { return CallId{RunId{1}, CallNumber{number(take())}}; }

    What read() {
        const std::string name = take();
        if (const auto plain = plain_call(name)) return *plain;
        if (name == "absent") return Absent{sides()};
        if (name == "osaekomi") return Osaekomi{side()};
        if (name == "hold") {
            if (take() != "changed") wrong("hold changed");
            return HoldChanged{};
        }
        for (const Level level : {Level::koka, Level::yuko, Level::waza_ari, Level::ippon}) {
            if (name == word(level)) return Score{sides(), level};
        }
        if (name == "waza-ari-awasete-ippon") return Awasete{side()};
        if (name == "shido") {
            Shido shido{sides()};
            if (more()) shido.reason = named(rest(), Reason::non_combativity, Reason::other);
            return shido;
        }
        if (name == "hansoku-make") return hansoku_make();
        if (name == "submission") return Submission{side(), Means::submission};
        if (name == "choke") return Submission{side(), Means::choke};
        if (name == "hantei") {
            Award award{side(), Way::hantei};
            if (taken("2:1")) award.flags = 2;
            if (taken("3:0")) award.flags = 3;
            return award;
        }
        if (name == "kiken-gachi") return Award{side(), Way::kiken_gachi};
        if (name == "fusen-gachi") return Award{side(), Way::fusen_gachi};
        if (name == "sogo-gachi") return Award{side(), Way::sogo_gachi};
        if (name == "doctor") return doctor();
        if (name == "bleeding") {
            Bleeding bleeding{side()};
            bleeding.site = site_named(take());
            return bleeding;
        }
        if (name == "injury") return injury();
        if (name == "judogi") return Judogi{sides()};
        if (name == "set") return set();
        if (name == "reopen") return Reopen{ground()};
        return correction(name);
    }

    std::optional<What> plain_call(const std::string& name) {
        if (name == "called") return Called{};
        if (name == "present") return Present{};
        if (name == "hajime") return Hajime{};
        if (name == "mate") return Mate{};
        if (name == "pause") return Pause{};
        if (name == "sono-mama") return SonoMama{};
        if (name == "yoshi") return Yoshi{};
        if (name == "toketa") return Toketa{};
        if (name == "hiki-wake") return HikiWake{};
        if (name == "sore-made") return SoreMade{};
        if (name == "kachi") return Kachi{};
        if (name == "confirm") return Confirm{};
        if (name == "accept") return Accept{};
        if (name == "both" && take() == "lose") return BothLose{};
        if (name == "exchange" && take() == "names") return ExchangeNames{};
        if (name == "review") return taken("over") ? What{ReviewOver{}} : What{Review{}};
        return {};
    }

    What hansoku_make() {
        HansokuMake c{sides()};
        if (taken("endangered")) {
            if (take() != "self") wrong("endangered self");
            c.of = DirectClass::endangered_self;
        } else if (taken("against")) {
            if (take() != "spirit") wrong("against spirit");
            c.of = DirectClass::against_spirit;
        }
        if (more()) c.reason = named(rest(), Reason::non_combativity, Reason::other);
        return c;
    }

    What doctor() {
        Doctor c{side()};
        if (taken("asked")) {
            c.by = DoctorCall::athlete;
        } else if (taken("stepped")) {
            if (take() != "in") wrong("stepped in");
            c.by = DoctorCall::doctor;
        }
        return c;
    }

    What injury() {
        Injury c{side()};
        while (more()) {
            const std::string& w = take();
            if (w == "illness") {
                c.harm = Harm::illness;
            } else if (w == "head") {
                c.harm = Harm::head;
            } else if (w == "unconscious") {
                c.harm = Harm::unconscious;
            } else if (w == "own") {
                c.by = Blame::own;
            } else if (w == "other") {
                c.by = Blame::other;
            } else if (w == "unknown") {
                c.by = Blame::unknown;
            } else if (w == "outside") {
                c.by = Blame::outside;
            } else {
                wrong("unknown word: " + w);
            }
        }
        return c;
    }

    What set() {
        if (taken("clock")) return SetClock{Duration{time_ms(take())}};
        if (!taken("hold")) wrong("set clock or set hold");
        const Side by = side();
        return SetHold{by, Duration{seconds_ms(take())}};
    }

    // The engine's own words for them are whole phrases.
    Ground ground() {
        const std::string& name = take();
        if (name == "slip") return Ground::slip;
        if (name == "referee") return Ground::referee;
        if (name == "majority") return Ground::majority;
        if (name == "names") return Ground::names;
        if (name == "clock") return Ground::clock;
        if (name == "administrative") return Ground::administrative;
        wrong("unknown ground: " + name);
    }

    What correction(const std::string& name) {
        if (name == "strike") return Strike{call_id()};
        if (name == "replace") {
            const CallId id = call_id();
            if (take() != "by") wrong("replace N by CALL");
            const std::optional<Act> by = act(read());
            if (!by) wrong("a correction can't take the place of a call");
            return Replace{id, *by};
        }
        if (name == "give") return Replace{call_id(), Called{}};
        if (name == "move") {
            const CallId id = call_id();
            if (take() != "to") wrong("move N to M:SS");
            return Move{id, Instant{time_ms(take())}};
        }
        wrong("unknown call: " + name);
    }

    const std::vector<std::string>& words_;
    std::size_t next_ = 0;
};

}  // namespace

Site site_named(const std::string& text) { return named(text, Site::nose, Site::other); }

What call_named(const std::vector<std::string>& words) { return CallWords(words).call(); }

}  // namespace honbu

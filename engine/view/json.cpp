#include "engine/view/json.h"

#include "engine/bout/by_kind.h"

namespace honbu {

namespace {

// Zero, false and empty are what a proto3 parser assumes when the field is not there. Out of line:
// honbu.wasm shall be small.
[[gnu::noinline]] void put(JsonWriter& w, const char* key, std::uint32_t value) {
    if (value != 0) w.number(key, value);
}
[[gnu::noinline]] void put_flag(JsonWriter& w, const char* key, bool value) {
    if (value) w.flag(key, value);
}
[[gnu::noinline]] void put_text(JsonWriter& w, const char* key, const std::string& value) {
    if (!value.empty()) w.text(key, value);
}

template<class Enum> std::uint32_t number_of(Enum value) {
    return static_cast<std::uint32_t>(value);
}

void put(JsonWriter& w, const char* key, CallId id) {
    w.begin_object(key);
    w.name("run", id.run.value);
    put(w, "number", id.number.value);
    w.end_object();
}

void put(JsonWriter& w, const char* key, const BoardSide& side) {
    w.begin_object(key);
    put(w, "ippon", side.score[index(Level::ippon)]);
    put(w, "wazaAri", side.score[index(Level::waza_ari)]);
    put(w, "yuko", side.score[index(Level::yuko)]);
    put(w, "koka", side.score[index(Level::koka)]);
    put(w, "shido", side.shido);
    put_flag(w, "hansokuMake", side.hansoku_make);
    w.end_object();
}

void put(JsonWriter& w, const char* key, const Result& result) {
    w.begin_object(key);
    put(w, "winner", number_of(result.winner));
    put(w, "way", number_of(result.way));
    put_flag(w, "goldenScore", result.golden_score);
    put(w, "regularMs", result.regular.ms);
    put(w, "goldenMs", result.golden.ms);
    put(w, "white", result.white);
    put(w, "blue", result.blue);
    std::string hash;
    for (const std::uint8_t byte : result.rules_hash)
        hash += static_cast<char>(byte);
    w.base64("rulesHash", hash);
    put(w, "foldVersion", result.fold_version);
    put(w, "means", number_of(result.means));
    put(w, "flags", result.flags);
    put(w, "decidedMs", result.decided.ms);
    put(w, "stoppedMs", result.stopped.ms);
    put(w, "points", result.points);
    put_flag(w, "namesExchanged", result.names_exchanged);
    put_flag(w, "administrative", result.administrative);
    w.end_object();
}

// The numbers of the wire's Plain. The engine knows no protobuf: tests/unit/json_test.cpp compares.
enum class Plain : std::uint8_t {
    called = 1,
    hajime = 2,
    mate = 3,
    sono_mama = 4,
    yoshi = 5,
    toketa = 6,
    sore_made = 7,
    kachi = 8,
    pause = 9,
    hold_changed = 10,
    present = 11,
    both_lose = 12,
    hiki_wake = 13,
    review = 14,
    review_over = 15,
    exchange_names = 16,
    accept = 17,
};

// Out of line: a replacement holds a call as well.
[[gnu::noinline]] void put(JsonWriter& w, const What& what);

struct PutWhat {
    JsonWriter& w;

    void plain(Plain which) const { w.number("plain", number_of(which)); }
    void operator()(const Called&) const { plain(Plain::called); }
    void operator()(const Absent& c) const { w.number("absent", c.who.bits); }
    void operator()(const Present&) const { plain(Plain::present); }
    void operator()(const Hajime&) const { plain(Plain::hajime); }
    void operator()(const Mate&) const { plain(Plain::mate); }
    void operator()(const Pause&) const { plain(Plain::pause); }
    void operator()(const SonoMama&) const { plain(Plain::sono_mama); }
    void operator()(const Yoshi&) const { plain(Plain::yoshi); }
    void operator()(const Osaekomi& c) const { w.number("osaekomi", number_of(c.by)); }
    void operator()(const HoldChanged&) const { plain(Plain::hold_changed); }
    void operator()(const Toketa&) const { plain(Plain::toketa); }
    void operator()(const Score& c) const {
        w.begin_object("score");
        w.number("to", c.to.bits);
        w.number("level", number_of(c.level));
        w.end_object();
    }
    void operator()(const Awasete& c) const { w.number("awasete", number_of(c.to)); }
    void operator()(const Shido& c) const {
        w.number("shido", c.to.bits);
        put(w, "reason", number_of(c.reason));
    }
    void operator()(const HansokuMake& c) const {
        w.number("hansokuMake", c.to.bits);
        put(w, "directClass", number_of(c.of));
        put(w, "reason", number_of(c.reason));
    }
    void operator()(const Submission& c) const {
        w.number("submission", number_of(c.to));
        put(w, "means", number_of(c.means));
    }
    void operator()(const Award& c) const {
        w.begin_object("award");
        w.number("to", number_of(c.to));
        put(w, "way", number_of(c.way));
        put(w, "flags", c.flags);
        w.end_object();
    }
    void operator()(const BothLose&) const { plain(Plain::both_lose); }
    void operator()(const HikiWake&) const { plain(Plain::hiki_wake); }
    void operator()(const Doctor& c) const {
        w.begin_object("doctor");
        w.number("to", number_of(c.to));
        w.number("by", number_of(c.by));
        w.end_object();
    }
    void operator()(const Bleeding& c) const {
        w.begin_object("bleeding");
        w.number("to", number_of(c.to));
        w.number("site", number_of(c.site));
        w.end_object();
    }
    void operator()(const Injury& c) const {
        w.begin_object("injury");
        w.number("to", number_of(c.to));
        w.number("harm", number_of(c.harm));
        put(w, "by", number_of(c.by));
        w.end_object();
    }
    void operator()(const Judogi& c) const { w.number("judogi", c.who.bits); }
    void operator()(const Review&) const { plain(Plain::review); }
    void operator()(const ReviewOver&) const { plain(Plain::review_over); }
    void operator()(const SoreMade&) const { plain(Plain::sore_made); }
    void operator()(const Kachi&) const { plain(Plain::kachi); }
    // One of several: a zero that was left out would not say which.
    void operator()(const SetClock& c) const { w.number("setClock", c.elapsed.ms); }
    void operator()(const SetHold& c) const {
        w.begin_object("setHold");
        w.number("by", number_of(c.by));
        put(w, "ms", c.value.ms);
        w.end_object();
    }
    void operator()(const ExchangeNames&) const { plain(Plain::exchange_names); }
    void operator()(const Strike& c) const { put(w, "strike", c.call); }
    void operator()(const Replace& c) const {
        w.begin_object("replace");
        put(w, "call", c.call);
        w.begin_object("by");
        put(w, what(c.by));
        w.end_object();
        w.end_object();
    }
    void operator()(const Move& c) const {
        w.begin_object("move");
        put(w, "call", c.call);
        put(w, "to", c.to.ms);
        w.end_object();
    }
    void operator()(const Confirm& c) const { put(w, "confirm", c.result); }
    void operator()(const Accept&) const { plain(Plain::accept); }
    void operator()(const Reopen& c) const { w.number("reopen", number_of(c.ground)); }
    void operator()(const Joint& c) const {
        w.begin_object("joint");
        w.name("earlier", c.earlier.value);
        put(w, "there", c.there.ms);
        put(w, "here", c.here.ms);
        put(w, "source", number_of(c.source));
        w.end_object();
    }
};

void put(JsonWriter& w, const What& what) { by_kind(PutWhat{w}, what); }

// The wire's From begins at 0, the record's Slot::From at 1.
std::uint32_t from_number(Slot::From from) {
    switch (from) {
    case Slot::From::person: return 0;
    case Slot::From::winner_of: return 1;
    case Slot::From::loser_of: return 2;
    }
    return 0;
}

void put(JsonWriter& w, const char* key, const Seat& seat) {
    w.begin_object(key);
    put(w, "person", seat.person.value);
    put_text(w, "name", seat.name);
    put_text(w, "club", seat.club);
    put(w, "from", from_number(seat.from));
    put(w, "fromBout", seat.from_bout.value);
    w.end_object();
}

void put(JsonWriter& w, const BoutHead& head) {
    w.begin_object();
    put(w, "bout", head.bout.value);
    put_text(w, "category", head.category);
    put_text(w, "round", head.round);
    put(w, "white", head.white);
    put(w, "blue", head.blue);
    put_text(w, "whiteWord", head.white_word);
    put_text(w, "blueWord", head.blue_word);
    put(w, "whiteColour", number_of(head.white_colour));
    put(w, "blueColour", number_of(head.blue_colour));
    if (!head.levels.empty()) {
        w.begin_array("levels");
        for (const Level level : head.levels)
            w.number(number_of(level));
        w.end_array();
    }
    w.end_object();
}

void put(JsonWriter& w, const FrameShown& frame) {
    w.begin_object();
    put(w, "from", frame.from.ms);
    put(w, "why", number_of(frame.why));
    put(w, "phase", number_of(frame.phase));
    put_flag(w, "goldenScore", frame.golden);
    put_flag(w, "timeUp", frame.time_up);
    w.begin_object("clock");
    put_flag(w, "running", frame.clock_running);
    put_flag(w, "down", frame.clock_down);
    put(w, "ms", frame.clock.ms);
    w.end_object();
    if (frame.hold_on) {
        w.begin_object("hold");
        w.number("by", number_of(frame.hold_by));
        put_flag(w, "running", frame.hold_running);
        put(w, "ms", frame.hold.ms);
        put(w, "reached", frame.hold_reached);
        w.end_object();
    }
    put(w, "white", frame.white);
    put(w, "blue", frame.blue);
    put(w, "winner", number_of(frame.winner));
    put(w, "way", number_of(frame.way));
    put_text(w, "words", frame.words);
    put(w, "regularMs", frame.regular.ms);
    put(w, "limitMs", frame.limit.ms);
    put_flag(w, "decided", frame.decided);
    put_flag(w, "review", frame.review);
    put_flag(w, "signalWaits", frame.signal_waits);
    if (frame.past_hold) {
        w.begin_object("pastHold");
        w.number("by", number_of(frame.past_hold_by));
        put(w, "ms", frame.past_hold_value.ms);
        w.end_object();
    }
    if (frame.absent != Sides{}) {
        w.begin_object("absence");
        w.number("who", frame.absent.bits);
        put(w, "calls", frame.absent_calls);
        put_flag(w, "running", frame.absent_running);
        put(w, "leftMs", frame.absent_left.ms);
        put_flag(w, "over", frame.absent_over);
        w.end_object();
    }
    w.end_object();
}

}  // namespace

std::string to_json(const MatView& view) {
    JsonWriter w;
    w.begin_object();
    put(w, "mat", view.mat.value);
    put(w, "number", view.number.value);
    put(w, "table", number_of(view.table));
    if (view.has_bout) {
        w.key("bout");
        put(w, view.bout);
    }
    if (!view.frames.empty()) {
        w.begin_array("frames");
        for (const FrameShown& frame : view.frames)
            put(w, frame);
        w.end_array();
    }
    if (!view.next.empty()) {
        w.begin_array("next");
        for (const BoutHead& head : view.next)
            put(w, head);
        w.end_array();
    }
    w.end_object();
    return w.take();
}

std::string to_json(const BoutHead& head) {
    JsonWriter w;
    put(w, head);
    return w.take();
}

std::string to_json(const Call& call) {
    JsonWriter w;
    w.begin_object();
    put(w, "id", call.id);
    put(w, "term", call.term.value);
    put(w, "mat", call.mat.value);
    put(w, "bout", call.bout.value);
    put(w, "entered", call.entered.ms);
    put(w, "back", call.back.ms);
    put(w, "seen", call.seen);
    put(w, call.what);
    w.end_object();
    return w.take();
}

}  // namespace honbu

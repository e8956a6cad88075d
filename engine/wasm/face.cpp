// The engine's face to the table page: plain numbers in, one readable text out (docs/table.md).
//
// One table per page, so one static one here; everything it calls is pure. Compiled to wasm only.
#include <algorithm>
#include <cstdint>
#include <memory>
#include <string>
#include <vector>

#include "engine/record/canon.h"
#include "engine/table/table.h"
#include "engine/view/json.h"

namespace {

using namespace honbu;

struct Face {
    std::string in;
    std::string out;
    std::unique_ptr<Table> table;
    Allotment allotment;  // being told
    std::vector<RunHead> heads;
};

Face& face() {
    static Face& one = *new Face;  // for as long as the page: nothing is to be done at its end
    return one;
}

std::uint64_t joined(std::uint32_t hi, std::uint32_t lo) { return std::uint64_t{hi} << 32 | lo; }
CallId call_id(std::uint32_t hi, std::uint32_t lo, std::uint32_t number) {
    return CallId{RunId{joined(hi, lo)}, CallNumber{number}};
}
std::string_view input(std::uint32_t length) {
    return std::string_view(face().in).substr(0, length);
}
std::uint32_t answer(std::string text) {
    face().out = std::move(text);
    return static_cast<std::uint32_t>(face().out.size());
}
// Texts that stand one after the other, with a zero between two.
class Texts {
public:
    explicit Texts(std::string_view all) : rest_(all) {}
    std::string_view next() {
        const std::size_t end = rest_.find('\0');
        const std::string_view text = rest_.substr(0, end);
        rest_.remove_prefix(end == rest_.npos ? rest_.size() : end + 1);
        return text;
    }

private:
    std::string_view rest_;
};

[[gnu::noinline]] void fill(Seat& seat, std::uint32_t person, std::uint32_t from,
                            std::uint32_t from_bout, Texts& texts) {
    seat.person = PersonId{person};
    seat.name = texts.next();
    seat.club = texts.next();
    // The wire counts from 0 (a person), the journal from 1.
    seat.from = from == 1   ? Slot::From::winner_of
                : from == 2 ? Slot::From::loser_of
                            : Slot::From::person;
    seat.from_bout = BoutId{from_bout};
}

}  // namespace

extern "C" [[clang::export_name("honbu_room")]] char* honbu_room(std::uint32_t length) {
    face().in.assign(length, '\0');
    return face().in.data();
}
extern "C" [[clang::export_name("honbu_out")]] const char* honbu_out() { return face().out.data(); }
extern "C" [[clang::export_name("honbu_fold_version")]] std::uint32_t honbu_fold_version() {
    return fold_version;
}

// A kept call as the wire's JSON; nothing: the bytes are none.
extern "C" [[clang::export_name("honbu_call_json")]] std::uint32_t honbu_call_json(
    std::uint32_t length) {
    const auto call = decode_call(input(length));
    return answer(call ? to_json(*call) : std::string());
}

// m:ss for the clocks that run by themselves between two words of the engine.
extern "C" [[clang::export_name("honbu_digits")]] std::uint32_t honbu_digits(std::uint32_t ms,
                                                                             std::uint32_t down) {
    return answer(down != 0 ? remaining_text(Duration{ms}) : clock_text(Duration{ms}));
}

extern "C" [[clang::export_name("table_open")]] void table_open(std::uint32_t hi, std::uint32_t lo,
                                                                std::uint32_t hand_length) {
    face().table = std::make_unique<Table>(RunId{joined(hi, lo)}, std::string(input(hand_length)));
}
extern "C" [[clang::export_name("table_restore")]] void table_restore(std::uint32_t length,
                                                                      std::uint32_t verdict) {
    const auto call = decode_call(input(length));
    if (call && verdict <= 3) face().table->restore(*call, static_cast<Verdict>(verdict));
}
extern "C" [[clang::export_name("table_earlier_run")]] void table_earlier_run(
    std::uint32_t hi, std::uint32_t lo, std::uint32_t there, std::uint32_t here,
    std::uint32_t source) {
    const auto by = source == 2 ? Joint::Source::hub_clock : Joint::Source::wall_clock;
    face().table->earlier_run(RunId{joined(hi, lo)}, Instant{there}, Instant{here}, by);
}

extern "C" [[clang::export_name("table_allot_begin")]] void table_allot_begin(std::uint32_t mat,
                                                                              std::uint32_t term) {
    face().allotment = Allotment{};
    face().allotment.mat = MatId{static_cast<std::uint16_t>(mat)};
    face().allotment.term = Term{term};
}
extern "C" [[clang::export_name("table_allot_rules")]] void table_allot_rules(
    std::uint32_t length) {
    if (auto rules = decode_rules(input(length))) {
        face().allotment.rules.push_back(std::move(*rules));
    }
}
extern "C" [[clang::export_name("table_allot_bout")]] void table_allot_bout(
    std::uint32_t bout, std::uint32_t rules, std::uint32_t time_ms, std::uint32_t golden_ms,
    std::uint32_t stands, std::uint32_t white_person, std::uint32_t white_from,
    std::uint32_t white_from_bout, std::uint32_t blue_person, std::uint32_t blue_from,
    std::uint32_t blue_from_bout, std::uint32_t length) {
    const std::string_view all = input(length);
    Allotment& allotment = face().allotment;
    if (std::count(all.begin(), all.end(), '\0') != 5 || rules >= allotment.rules.size()) return;
    const RuleSet& set = allotment.rules[rules];
    Texts texts(all);
    BoutGiven given;
    given.head.bout = BoutId{bout};
    given.head.category = texts.next();
    given.head.round = texts.next();
    fill(given.head.white, white_person, white_from, white_from_bout, texts);
    fill(given.head.blue, blue_person, blue_from, blue_from_bout, texts);
    put_rules(set, given.head);
    given.rules = rules;
    given.time = Duration{time_ms};
    given.golden = Duration{golden_ms};
    given.confirmed = (stands & 1U) != 0;
    given.at_desk = (stands & 2U) != 0;
    allotment.bouts.push_back(std::move(given));
}
extern "C" [[clang::export_name("table_allot_call")]] void table_allot_call(std::uint32_t length) {
    const auto call = decode_call(input(length));
    if (call && !face().allotment.bouts.empty()) {
        face().allotment.bouts.back().calls.push_back(*call);
    }
}
extern "C" [[clang::export_name("table_allot_gone")]] void table_allot_gone(std::uint32_t hi,
                                                                            std::uint32_t lo,
                                                                            std::uint32_t number) {
    if (face().allotment.bouts.empty()) return;
    face().allotment.bouts.back().gone.push_back({RunId{joined(hi, lo)}, CallNumber{number}});
}
extern "C" [[clang::export_name("table_allot_end")]] void table_allot_end(std::uint32_t now) {
    face().table->allot(std::move(face().allotment), Instant{now});
}

extern "C" [[clang::export_name("table_welcome_begin")]] void table_welcome_begin() {
    face().heads.clear();
}
extern "C" [[clang::export_name("table_welcome_run")]] void table_welcome_run(std::uint32_t hi,
                                                                              std::uint32_t lo,
                                                                              std::uint32_t last) {
    face().heads.push_back({RunId{joined(hi, lo)}, CallNumber{last}});
}
extern "C" [[clang::export_name("table_welcome_end")]] void table_welcome_end() {
    face().table->welcome(face().heads);
}
extern "C" [[clang::export_name("table_line_down")]] void table_line_down() {
    face().table->line_down();
}

extern "C" [[clang::export_name("table_verdict")]] void table_verdict(std::uint32_t hi,
                                                                      std::uint32_t lo,
                                                                      std::uint32_t number,
                                                                      std::uint32_t verdict,
                                                                      std::uint32_t state_differs) {
    if (verdict > 3) return;
    face().table->verdict(call_id(hi, lo, number), static_cast<Verdict>(verdict),
                          state_differs != 0);
}
extern "C" [[clang::export_name("table_refused")]] void table_refused(std::uint32_t hi,
                                                                      std::uint32_t lo,
                                                                      std::uint32_t number,
                                                                      std::uint32_t length) {
    face().table->refused(call_id(hi, lo, number), std::string(input(length)));
}
extern "C" [[clang::export_name("table_again")]] void table_again() { face().table->again(); }
extern "C" [[clang::export_name("table_mat_lost")]] void table_mat_lost(std::uint32_t length) {
    face().table->mat_lost(std::string(input(length)));
}
extern "C" [[clang::export_name("table_saved")]] void table_saved(std::uint32_t hi,
                                                                  std::uint32_t lo,
                                                                  std::uint32_t number) {
    face().table->saved(call_id(hi, lo, number));
}

extern "C" [[clang::export_name("table_press")]] std::uint32_t table_press(std::uint32_t key_length,
                                                                           std::uint32_t hi,
                                                                           std::uint32_t lo,
                                                                           std::uint32_t number,
                                                                           std::uint32_t now) {
    return answer(face().table->press(input(key_length), call_id(hi, lo, number), Instant{now}));
}
extern "C" [[clang::export_name("table_next")]] std::uint32_t table_next(std::uint32_t now) {
    return answer(face().table->next_bout(Instant{now}));
}
extern "C" [[clang::export_name("table_open_bout")]] std::uint32_t table_open_bout(
    std::uint32_t bout, std::uint32_t now) {
    return answer(face().table->open_bout(BoutId{bout}, Instant{now}));
}

extern "C" [[clang::export_name("table_doing")]] std::uint32_t table_doing() {
    const Doing doing = face().table->take_doing();
    JsonWriter json;
    json.begin_object();
    json.begin_array("save");
    for (const Call& call : doing.save) {
        json.begin_object();
        json.name("run", call.id.run.value);
        json.number("number", call.id.number.value);
        json.text("bytes", hex(encode(call)));
        json.end_object();
    }
    json.end_array();
    json.begin_array("send");
    for (const Call& call : doing.send)
        json.raw(to_json(call));
    json.end_array();
    json.end_object();
    return answer(json.take());
}
extern "C" [[clang::export_name("table_show")]] std::uint32_t table_show(std::uint32_t now) {
    return answer(face().table->json(Instant{now}));
}

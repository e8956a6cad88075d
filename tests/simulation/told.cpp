#include "tests/simulation/told.h"

#include "engine/record/canon.h"

namespace honbu::simulation {
namespace {

std::string text(std::uint64_t number) { return std::to_string(number); }
template<class Enum> std::string choice(Enum value) {
    return text(static_cast<std::uint64_t>(value));
}

std::string board_words(const BoardSide& side) {
    std::string out;
    for (const std::uint8_t score : side.score)
        out += text(score) + ".";
    return out + "s" + text(side.shido) + (side.hansoku_make ? "h" : "");
}

std::string frame_words(const FrameShown& f, std::uint32_t from) {
    std::string out = "  +" + text(f.from.ms - from) + " why " + choice(f.why) + " phase " +
                      choice(f.phase) + (f.golden ? " golden" : "") + (f.time_up ? " up" : "") +
                      " clock " + (f.clock_running ? "runs " : "stands ") +
                      (f.clock_down ? "down " : "") + text(f.clock.ms);
    if (f.hold_on) {
        out += " hold " + choice(f.hold_by) + (f.hold_running ? " runs " : " stands ") +
               text(f.hold.ms) + " reached " + text(f.hold_reached);
    }
    if (f.past_hold) {
        out += " past hold " + choice(f.past_hold_by) + " " + text(f.past_hold_value.ms);
    }
    if (f.absent.bits != 0) {
        out += " absent " + text(f.absent.bits) + " " + text(f.absent_calls) +
               (f.absent_running ? " runs " : " stands ") + text(f.absent_left.ms) +
               (f.absent_over ? " over" : "");
    }
    out += " white " + board_words(f.white) + " blue " + board_words(f.blue) + " winner " +
           choice(f.winner) + " way " + choice(f.way) + " regular " + text(f.regular.ms) +
           " limit " + text(f.limit.ms) + (f.decided ? " decided" : "") +
           (f.review ? " review" : "") + (f.signal_waits ? " signal waits" : "");
    return out + " '" + f.words + "'";
}

std::string seat_words(const Seat& seat) {
    return text(seat.person.value) + " " + seat.name + " (" + seat.club + ") from " +
           choice(seat.from) + " " + text(seat.from_bout.value);
}

std::string result_words(const Result& r) {
    std::string out = "winner " + choice(r.winner) + " way " + choice(r.way) + " means " +
                      choice(r.means) + " flags " + text(r.flags) + (r.golden_score ? " gs" : "") +
                      " at " + text(r.decided.ms) + " " + text(r.stopped.ms) + " " +
                      text(r.regular.ms) + " " + text(r.golden.ms) + " " + board_words(r.white) +
                      " " + board_words(r.blue) + " points " + text(r.points);
    return out + (r.names_exchanged ? " exchanged" : "") +
           (r.administrative ? " administrative" : "") + " under " + hex(r.rules_hash) + " fold " +
           text(r.fold_version);
}

std::string told_words(const ResultTold& told) {
    return "result on mat " + text(told.mat.value) + "\n  " + described(told.bout) + "\n  " +
           result_words(told.result) + "\n  " + told.words + "\n  confirmed " +
           text(told.confirmed.ms) + ", came from " + choice(told.from) + ", replaces " +
           text(told.replaces.value) + (told.unlike_calls ? ", unlike its calls\n" : "\n");
}

}  // namespace

std::string described(const BoutHead& head) {
    std::string out = "bout " + text(head.bout.value) + ", " + head.category + ", " + head.round +
                      ": " + head.white_word + " in " + choice(head.white_colour) + " " +
                      seat_words(head.white) + ", " + head.blue_word + " in " +
                      choice(head.blue_colour) + " " + seat_words(head.blue) + ", levels";
    for (const Level level : head.levels)
        out += " " + choice(level);
    return out;
}

std::string described(const MatView& view) {
    std::string out = "mat " + text(view.mat.value) + "\n";
    if (view.has_bout) out += described(view.bout) + "\n";
    for (const FrameShown& frame : view.frames)
        out += frame_words(frame, view.frames.front().from.ms) + "\n";
    for (const BoutHead& next : view.next)
        out += "then " + described(next) + "\n";
    return out;
}

std::string described(const Item& item) {
    std::string out = "item " + text(item.number.value) + "\n";
    for (const ResultTold& told : item.results)
        out += told_words(told);
    for (const OpenedTold& told : item.opened) {
        out += "bout " + text(told.bout.value) + " on mat " + text(told.mat.value) +
               " has no result any more, replaces " + text(told.replaces.value) + "\n";
    }
    for (const NameTold& told : item.renamed)
        out += "person " + text(told.person.value) + " is " + told.name + " now\n";
    return out;
}

std::string described(const std::vector<CalledTold>& list) {
    std::string out;
    for (const CalledTold& mat : list) {
        out += "mat " + text(mat.mat.value) + (mat.taken ? " has a table" : " has no table") +
               ", phase " + choice(mat.phase) + "\n";
        if (mat.on) out += "  on: " + described(*mat.on) + "\n";
        for (const BoutHead& next : mat.next)
            out += "  next: " + described(next) + "\n";
    }
    return out;
}

std::string described(const std::vector<AsideTold>& waiting, std::uint32_t more) {
    std::string out = text(more) + " calls more\n";
    for (const AsideTold& group : waiting) {
        out += "bout " + text(group.bout.value) + " from device " + text(group.device.value) +
               ", hand '" + group.hand + "', mat " + text(group.mat.value) + ", typed '" +
               group.typed + "'\n";
        if (group.head) out += "  " + described(*group.head) + "\n";
        for (const AsideTold::One& one : group.calls) {
            out += "  record " + text(one.record.value) + ", verdict " + choice(one.verdict) +
                   ": " + hex(encode(one.call)) + "\n";
        }
    }
    return out;
}

std::string described(const std::vector<TableTold>& tables) {
    std::string out;
    for (const TableTold& table : tables) {
        out += "mat " + text(table.mat.value) + ": device " + text(table.device.value) + ", term " +
               text(table.term.value) + ", hand '" + table.hand + "', taken " +
               text(table.taken.ms) + (table.differs ? ", differs" : "") + "\n";
    }
    return out;
}

std::string described(const SheetTold& sheet) {
    std::string out = "sheet on mat " + text(sheet.mat.value) + "\n" + described(sheet.bout) +
                      "\nrules " + sheet.rules + ", time " + text(sheet.time.ms) + ", golden " +
                      text(sheet.golden.ms) + "\nphase " + choice(sheet.phase) + "\nwords '" +
                      sheet.words + "'\nchanged " + text(sheet.changed.value) +
                      (sheet.at_desk ? ", at the desk" : "") + "\n";
    if (!sheet.result) return out + "no result\n";
    return out + "result of " + text(sheet.result_number.value) + ": " +
           result_words(*sheet.result) + "\n";
}

}  // namespace honbu::simulation

#include "hub/wire/heard_parts.h"

#include <charconv>

namespace honbu::wire::hears {

std::uint64_t name(const std::string& text) {
    std::uint64_t value = 0;
    const auto read = std::from_chars(text.data(), text.data() + text.size(), value, 16);
    return read.ptr == text.data() + text.size() ? value : 0;
}

CallId call_id(const v1::CallRef& ref) {
    return CallId{RunId{name(ref.run())}, CallNumber{ref.number()}};
}

MatId mat_id(std::uint32_t value) { return MatId{static_cast<std::uint16_t>(value)}; }

std::uint8_t small(std::uint32_t value) { return static_cast<std::uint8_t>(value); }

Seat seat(const v1::Seat& in) {
    Seat out;
    out.person = PersonId{in.person()};
    out.name = in.name();
    out.club = in.club();
    out.from = in.from() == v1::Seat::FROM_PERSON      ? Slot::From::person
               : in.from() == v1::Seat::FROM_WINNER_OF ? Slot::From::winner_of
                                                       : Slot::From::loser_of;
    out.from_bout = BoutId{in.from_bout()};
    return out;
}

BoutHead head(const v1::BoutHead& in) {
    BoutHead out;
    out.bout = BoutId{in.bout()};
    out.category = in.category();
    out.round = in.round();
    out.white = seat(in.white());
    out.blue = seat(in.blue());
    out.white_word = in.white_word();
    out.blue_word = in.blue_word();
    out.white_colour = static_cast<Colour>(in.white_colour());
    out.blue_colour = static_cast<Colour>(in.blue_colour());
    for (const int level : in.levels())
        out.levels.push_back(static_cast<Level>(level));
    return out;
}

BoardSide board_side(const v1::BoardSide& in) {
    BoardSide out;
    out.score[index(Level::ippon)] = small(in.ippon());
    out.score[index(Level::waza_ari)] = small(in.waza_ari());
    out.score[index(Level::yuko)] = small(in.yuko());
    out.score[index(Level::koka)] = small(in.koka());
    out.shido = small(in.shido());
    out.hansoku_make = in.hansoku_make();
    return out;
}

Result result(const v1::Result& in) {
    Result out;
    out.winner = static_cast<Winner>(in.winner());
    out.way = static_cast<Way>(in.way());
    out.means = static_cast<Means>(in.means());
    out.flags = small(in.flags());
    out.golden_score = in.golden_score();
    out.decided = Duration{in.decided_ms()};
    out.stopped = Duration{in.stopped_ms()};
    out.regular = Duration{in.regular_ms()};
    out.golden = Duration{in.golden_ms()};
    out.white = board_side(in.white());
    out.blue = board_side(in.blue());
    out.points = small(in.points());
    out.names_exchanged = in.names_exchanged();
    out.administrative = in.administrative();
    for (std::size_t i = 0; i < out.rules_hash.size() && i < in.rules_hash().size(); ++i)
        out.rules_hash[i] = static_cast<std::uint8_t>(in.rules_hash()[i]);
    out.fold_version = in.fold_version();
    return out;
}

}  // namespace honbu::wire::hears

// What screens get: views and finished bouts.
#include "hub/wire/parts.h"
#include "hub/wire/wire.h"

namespace honbu {
namespace wire {
namespace {

// The record's Slot::From begins at 1; on the wire a person is the ordinary case and therefore 0.
v1::Seat::From from_number(Slot::From from) {
    switch (from) {
    case Slot::From::person: return v1::Seat::FROM_PERSON;
    case Slot::From::winner_of: return v1::Seat::FROM_WINNER_OF;
    case Slot::From::loser_of: return v1::Seat::FROM_LOSER_OF;
    }
    return v1::Seat::FROM_PERSON;
}

void put_frame(const FrameShown& frame, v1::Frame& out) {
    out.set_from(frame.from.ms);
    out.set_why(static_cast<v1::Frame::Why>(frame.why));
    out.set_phase(static_cast<v1::Phase>(frame.phase));
    out.set_golden_score(frame.golden);
    out.set_time_up(frame.time_up);
    v1::Clock& clock = *out.mutable_clock();
    clock.set_running(frame.clock_running);
    clock.set_down(frame.clock_down);
    clock.set_ms(frame.clock.ms);
    if (frame.hold_on) {
        v1::Hold& hold = *out.mutable_hold();
        hold.set_by(static_cast<v1::Side>(frame.hold_by));
        hold.set_running(frame.hold_running);
        hold.set_ms(frame.hold.ms);
        hold.set_reached(static_cast<v1::Level>(frame.hold_reached));
    }
    put(frame.white, *out.mutable_white());
    put(frame.blue, *out.mutable_blue());
    out.set_winner(static_cast<v1::Winner>(frame.winner));
    out.set_way(static_cast<v1::Way>(frame.way));
    out.set_words(frame.words);
    out.set_regular_ms(frame.regular.ms);
    out.set_limit_ms(frame.limit.ms);
    out.set_decided(frame.decided);
    out.set_review(frame.review);
    out.set_signal_waits(frame.signal_waits);
    if (frame.past_hold) {
        v1::PastHold& past = *out.mutable_past_hold();
        past.set_by(static_cast<v1::Side>(frame.past_hold_by));
        past.set_ms(frame.past_hold_value.ms);
    }
    if (frame.absent != Sides{}) {
        v1::Absence& absence = *out.mutable_absence();
        absence.set_who(static_cast<v1::Side>(frame.absent.bits));
        absence.set_calls(frame.absent_calls);
        absence.set_running(frame.absent_running);
        absence.set_left_ms(frame.absent_left.ms);
        absence.set_over(frame.absent_over);
    }
}

}  // namespace

void put(const Seat& seat, v1::Seat& out) {
    out.set_person(seat.person.value);
    out.set_name(seat.name);
    out.set_club(seat.club);
    out.set_from(from_number(seat.from));
    out.set_from_bout(seat.from_bout.value);
}

void put(const BoutHead& head, v1::BoutHead& out) {
    out.set_bout(head.bout.value);
    out.set_category(head.category);
    out.set_round(head.round);
    put(head.white, *out.mutable_white());
    put(head.blue, *out.mutable_blue());
    out.set_white_word(head.white_word);
    out.set_blue_word(head.blue_word);
    out.set_white_colour(static_cast<v1::Colour>(head.white_colour));
    out.set_blue_colour(static_cast<v1::Colour>(head.blue_colour));
    for (const Level level : head.levels)
        out.add_levels(static_cast<v1::Level>(level));
}

void put(const MatView& view, v1::MatView& out) {
    out.set_mat(view.mat.value);
    out.set_number(view.number.value);
    out.set_table(static_cast<v1::TableLine>(view.table));
    if (view.has_bout) put(view.bout, *out.mutable_bout());
    for (const FrameShown& frame : view.frames)
        put_frame(frame, *out.add_frames());
    for (const BoutHead& head : view.next)
        put(head, *out.add_next());
}

void put(const Finished& item, v1::Finished& out) {
    out.set_number(item.number.value);
    out.set_mat(item.mat.value);
    put(item.bout, *out.mutable_bout());
    put(item.result, *out.mutable_result());
    out.set_words(item.words);
    out.set_confirmed_ms(item.confirmed.ms);
    out.set_from(static_cast<v1::ResultFrom>(item.from));
    out.set_replaces(item.replaces.value);
    out.set_unlike_calls(item.unlike_calls);
    if (!item.also.empty()) put(item.also.front(), *out.mutable_also());
    if (!item.no_result.empty()) put(item.no_result.front(), *out.mutable_no_result());
}

void put(const Reopened& item, v1::Reopened& out) {
    out.set_number(item.number.value);
    out.set_mat(item.mat.value);
    out.set_bout(item.bout.value);
    out.set_replaces(item.replaces.value);
}

void put(const Renamed& item, v1::Renamed& out) {
    out.set_number(item.number.value);
    out.set_person(item.person.value);
    out.set_name(item.name);
}

}  // namespace wire

std::string to_wire(const MatView& view) {
    v1::ToClient out;
    wire::put(view, *out.mutable_mat());
    return out.SerializeAsString();
}

std::string to_wire(const Finished& item) {
    v1::ToClient out;
    wire::put(item, *out.mutable_finished());
    return out.SerializeAsString();
}

std::string to_wire(const Reopened& item) {
    v1::ToClient out;
    wire::put(item, *out.mutable_reopened());
    return out.SerializeAsString();
}

std::string to_wire(const Renamed& item) {
    v1::ToClient out;
    wire::put(item, *out.mutable_renamed());
    return out.SerializeAsString();
}

}  // namespace honbu

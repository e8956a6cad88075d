// Messages of the hub with a value of its own in every field, for what is said on the wire and for
// what is heard.
#pragma once

#include <gtest/gtest.h>

#include <string>

#include "honbu/v1/hub.pb.h"
#include "hub/wire/wire.h"
#include "tests/unit/dice.h"

namespace honbu {

inline v1::ToClient parsed(const std::string& bytes) {
    v1::ToClient message;
    EXPECT_TRUE(message.ParseFromString(bytes));
    return message;
}

inline BoutHead a_head() {
    BoutHead head;
    head.bout = BoutId{12};
    head.category = "men -73 kg";
    head.round = "repechage";
    head.white = Seat{PersonId{3}, "Rua Tipene", "Harbour", Slot::From::person, BoutId{}};
    head.blue = Seat{PersonId{}, "", "", Slot::From::winner_of, BoutId{9}};
    head.white_word = "first";
    head.blue_word = "second";
    head.white_colour = Colour::red;
    head.blue_colour = Colour::white;
    head.levels = {Level::ippon, Level::waza_ari, Level::yuko};
    return head;
}

inline void expect_a_head(const v1::BoutHead& head) {
    EXPECT_EQ(head.bout(), 12U);
    EXPECT_EQ(head.category(), "men -73 kg");
    EXPECT_EQ(head.round(), "repechage");
    EXPECT_EQ(head.white().name(), "Rua Tipene");
    EXPECT_EQ(head.blue().from(), v1::Seat::FROM_WINNER_OF);
    EXPECT_EQ(head.blue().from_bout(), 9U);
    EXPECT_EQ(head.white_word(), "first");
    EXPECT_EQ(head.blue_word(), "second");
    EXPECT_EQ(head.white_colour(), v1::COLOUR_RED);
    EXPECT_EQ(head.blue_colour(), v1::COLOUR_WHITE);
    ASSERT_EQ(head.levels_size(), 3);
    EXPECT_EQ(head.levels(0), v1::LEVEL_IPPON);
    EXPECT_EQ(head.levels(2), v1::LEVEL_YUKO);
}

inline Welcome a_welcome() {
    Welcome welcome;
    welcome.epoch = Epoch{0x1f};
    welcome.number = RecordNumber{412};
    welcome.now = Instant{90000};
    welcome.rehearsal_rate = 10;
    welcome.title = "Ōtautahi open";
    welcome.mats = {MatId{1}, MatId{2}};
    welcome.runs = {RunHead{RunId{0x00f3a1b2c3d4e5f6}, CallNumber{7}},
                    RunHead{RunId{1}, CallNumber{1}}};
    welcome.fold_version = 4;
    welcome.hash = 0x00b0c44298fc1c14;
    welcome.missing = 17;
    welcome.differs = true;
    welcome.earlier = {Epoch{0x1d}, Epoch{0x1e}};
    welcome.public_names = PublicNames::initials;
    welcome.anyone = true;
    welcome.mat = MatId{2};
    return welcome;
}

inline Allotment an_allotment() {
    Dice dice(5);
    RuleSet rules;
    rules.name = "as invented";
    rules.shido_out = 4;
    rules.times = {AgeGroup{"seniors", seconds(240), {}}};
    BoutGiven bout;
    bout.head.bout = BoutId{12};
    bout.head.category = "women -57 kg";
    bout.head.round = "final";
    bout.head.white = Seat{PersonId{3}, "Tui Marama", "Harbour", Slot::From::person, BoutId{}};
    bout.head.blue = Seat{PersonId{}, "", "", Slot::From::loser_of, BoutId{9}};
    bout.rules = 1;
    bout.time = seconds(240);
    bout.golden = seconds(180);
    bout.confirmed = true;
    bout.at_desk = true;
    for (const What& what : dice.whats())
        bout.calls.push_back(dice.call(what));
    return Allotment{MatId{2},
                     Term{5},
                     {RuleSet{}, rules},
                     {BoutGiven{}, bout},
                     {RunClock{RunId{0x00f3a1b2c3d4e5f6}, Instant{12}, Instant{3400}}}};
}

inline MatView a_view() {
    FrameShown now;
    now.from = Instant{1000};
    now.phase = Phase::fighting;
    now.golden = true;
    now.time_up = true;
    now.clock_running = true;
    now.clock_down = false;
    now.clock = Duration{61000};
    now.hold_on = true;
    now.hold_by = Side::blue;
    now.hold_running = true;
    now.hold = Duration{9500};
    now.hold_reached = static_cast<std::uint8_t>(Level::yuko);
    now.white.score[index(Level::ippon)] = 1;
    now.white.score[index(Level::waza_ari)] = 2;
    now.white.score[index(Level::yuko)] = 3;
    now.white.score[index(Level::koka)] = 4;
    now.white.shido = 2;
    now.blue.hansoku_make = true;
    now.winner = Winner::white;
    now.way = Way::hansoku_make_direct;
    now.words = "white wins";
    now.regular = Duration{240000};
    now.limit = Duration{180000};
    now.decided = true;
    now.review = true;
    now.signal_waits = true;
    now.past_hold = true;
    now.past_hold_by = Side::blue;
    now.past_hold_value = Duration{7700};
    now.absent = both_sides();
    now.absent_calls = 2;
    now.absent_running = true;
    now.absent_left = Duration{12300};
    now.absent_over = true;
    FrameShown later;
    later.from = Instant{2500};
    later.why = Happening::hold_ended;
    MatView view;
    view.mat = MatId{2};
    view.number = RecordNumber{99};
    view.table = TableLine::alone;
    view.has_bout = true;
    view.bout = a_head();
    view.frames = {now, later};
    view.next = {a_head(), BoutHead{}};
    return view;
}

inline Finished a_finished() {
    Finished item;
    item.number = RecordNumber{120};
    item.mat = MatId{4};
    item.bout = a_head();
    item.result.winner = Winner::blue;
    item.result.way = Way::waza_ari;
    item.result.golden_score = true;
    item.result.regular = seconds(240);
    item.result.golden = seconds(40);
    item.result.blue.score[index(Level::waza_ari)] = 1;
    item.result.rules_hash.fill(0xab);
    item.result.fold_version = 2;
    item.result.means = Means::hold;
    item.result.flags = 3;
    item.result.decided = Duration{40001};
    item.result.stopped = Duration{40002};
    item.result.points = 7;
    item.result.names_exchanged = true;
    item.result.administrative = true;
    item.words = "blue wins by waza-ari, 4:00 + golden score 0:40";
    item.confirmed = Instant{777};
    item.from = ResultFrom::other_record;
    item.replaces = RecordNumber{99};
    Finished other;
    other.number = RecordNumber{120};
    other.words = "white wins by ippon, 1:20";
    item.also = {other};
    item.no_result = {Reopened{RecordNumber{120}, MatId{4}, BoutId{13}, RecordNumber{98}}};
    return item;
}

inline CallList a_call_list() {
    CallList list;
    list.number = RecordNumber{121};
    CallList::OnMat first;
    first.mat = MatId{1};
    first.table = TableLine::live;
    first.on = a_head();
    first.phase = Phase::fighting;
    first.next = {BoutHead{}, a_head()};
    CallList::OnMat second;
    second.mat = MatId{65535};
    second.table = TableLine::alone;
    list.mats = {first, second};
    return list;
}

inline BoutSheet a_sheet() {
    BoutSheet sheet;
    sheet.number = RecordNumber{122};
    sheet.mat = MatId{3};
    sheet.bout = a_head();
    sheet.rules = "rules as invented";
    sheet.time = seconds(240);
    sheet.golden = seconds(180);
    sheet.phase = Phase::confirmed;
    sheet.has_result = true;
    sheet.result = a_finished().result;
    sheet.words = "blue wins by waza-ari";
    SheetLine called;
    called.elapsed = Duration{61234};
    called.golden = true;
    called.call = "shido";
    called.side = both_sides();
    called.reason = Reason::leg_grab;
    called.words = "shido to both for leg grab";
    called.white.shido = 1;
    called.blue.score[index(Level::waza_ari)] = 1;
    SheetLine by_itself;
    by_itself.why = Happening::hold_level;
    by_itself.words = "waza-ari to blue by hold";
    sheet.lines = {called, by_itself};
    sheet.changed = RecordNumber{119};
    sheet.result_number = RecordNumber{118};
    sheet.at_desk = true;
    return sheet;
}

inline Door a_door() {
    Door door;
    door.number = RecordNumber{140};
    door.anyone = true;
    door.waiting = {
        {DeviceId{7}, "012345", Role::set_up, "Ngaio", "table 0.2.0", Instant{9000}, true},
        {DeviceId{8}, "999999", Role::table, "", "", Instant{}, false}};
    door.inside = {{DeviceId{9}, Right::table, MatId{2}, Instant{4294967295U}, "Renske", 3},
                   {DeviceId{9}, Right::desk, MatId{}, Instant{1}, "", 0}};
    return door;
}

inline Tables some_tables() {
    Tables tables;
    tables.number = RecordNumber{123};
    tables.missing = 4;
    Tables::OfMat held;
    held.mat = MatId{2};
    held.line = TableLine::live;
    held.device = DeviceId{0xfedcba9876543210};
    held.hand = "Ngaio Ō";
    held.term = Term{6};
    held.taken = Instant{4294967295U};
    held.measured = true;
    held.offset_ms = -2000000000;
    held.round_trip_ms = 31;
    held.differs = true;
    held.watching = 3;
    Tables::OfMat free;
    free.mat = MatId{3};
    free.offset_ms = 2000000000;
    tables.mats = {held, free};
    tables.mirror = {Mirrored::How::stopped, 17, "The stick is full."};
    return tables;
}

inline SetAside a_set_aside() {
    Dice dice(11);
    SetAside waiting;
    waiting.number = RecordNumber{124};
    SetAside::OfBout planned;
    planned.device = DeviceId{0x2a};
    planned.hand = "Renske";
    planned.mat = MatId{2};
    planned.bout = BoutId{12};
    planned.head = a_head();
    for (const What& what : dice.whats()) {
        planned.calls.push_back({dice.call(what), RecordNumber{dice.from_to(1, 1000)},
                                 dice.among(Verdict::without_effect, Verdict::set_aside),
                                 Instant{dice.u32()}});
    }
    SetAside::OfBout typed;
    typed.mat = MatId{2};
    typed.bout = BoutId{4000000001U};
    typed.typed_white = "Tui Marama";
    typed.typed_blue = "Hana Lund";
    typed.typed_note = "-57 kg";
    waiting.bouts = {planned, typed};
    return waiting;
}

}  // namespace honbu

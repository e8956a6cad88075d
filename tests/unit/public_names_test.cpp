// What the public is shown of a name.
//
// What one letter is: UAX #29, 3.1 (a base and what extends it; GB6 to GB8 for Hangul, GB9, GB9a,
// GB9c for Indic scripts). How initials are written where a name has several parts or a hyphen:
// common practice, no source. That no more is shown than the purpose needs: Regulation (EU)
// 2016/679, Art. 5(1)(c) (from memory).
#include "hub/core/public_names.h"

#include <gtest/gtest.h>

namespace honbu {
namespace {

TEST(PublicNames, InitialsOfPartsInTheirOrder) {
    EXPECT_EQ(initials("Aiko Brandt"), "A. B.");
    EXPECT_EQ(initials("Aiko"), "A.");
    EXPECT_EQ(initials("  Aiko   Brandt "), "A. B.");
    EXPECT_EQ(initials("Anna van der Berg"), "A. v. d. B.");
    EXPECT_EQ(initials("Jean-Luc Mbeki"), "J.-L. M.");
    EXPECT_EQ(initials("Ines Valcourt-Ferreiro"), "I. V.-F.");
    EXPECT_EQ(initials("Ines Valcourt \u2010 Ferreiro"), "I. V. F.");
    EXPECT_EQ(initials("Ines\u00A0Valcourt"), "I. V.");
    EXPECT_EQ(initials("Tara O'Hara"), "T. O.");
    EXPECT_EQ(initials("Piet 't Hooft"), "P. t. H.");
    EXPECT_EQ(initials("R. Skeld (jun.)"), "R. S. j.");
    EXPECT_EQ(initials("Élodie Ærø"), "É. Æ.");
    EXPECT_EQ(initials("-"), "");
    EXPECT_EQ(initials("- Brandt"), "B.");
    EXPECT_EQ(initials(""), "");
}

TEST(PublicNames, TheSurnameFirstIsTurnedRound) {
    EXPECT_EQ(initials("Brandt, Aiko"), "A. B.");
    EXPECT_EQ(initials("van der Berg, Anna Maria"), "A. M. v. d. B.");
    EXPECT_EQ(initials("Brandt,"), "B.");
    EXPECT_EQ(initials(", Aiko"), "A.");
}

TEST(PublicNames, ALetterKeepsItsMarks) {
    // Decomposed: A with a ring, E with an acute and a dot below.
    EXPECT_EQ(initials("A\u030Asa E\u0323\u0301va"), "A\u030A. E\u0323\u0301.");
    EXPECT_EQ(initials("דָּוִד כהן"), "דָּ. כ.");
    EXPECT_EQ(initials("किरण वर्मा"), "कि. व.");  // GB9a: a spacing mark
    EXPECT_EQ(initials("क्षितिज"), "क्षि.");       // GB9c: a conjunct
    EXPECT_EQ(initials("\u1100\u1161\u11A8 민준"), "\u1100\u1161\u11A8. 민.");  // GB6 to GB8
}

TEST(PublicNames, OtherScriptsHaveInitialsToo) {
    EXPECT_EQ(initials("Нюша Ёлкина"), "Н. Ё.");
    EXPECT_EQ(initials("محمد علي"), "م. ع.");
    EXPECT_EQ(initials("山田　太郎"), "山. 太.");
    EXPECT_EQ(initials("山田太郎"), "山.");
    EXPECT_EQ(initials("김민준"), "김.");
    EXPECT_EQ(initials("𠮷田 花"), "𠮷. 花.");
}

BoutHead some_bout() {
    BoutHead head;
    head.bout = BoutId{12};
    head.white_word = "white";
    head.blue_word = "blue";
    head.white = Seat{PersonId{3}, "Aiko Brandt", "JC Fjord", Slot::From::person, {}};
    head.blue.from = Slot::From::winner_of;
    head.blue.from_bout = BoutId{7};
    return head;
}

TEST(PublicNames, FullIsFull) { EXPECT_EQ(publicly(some_bout(), PublicNames::full), some_bout()); }

TEST(PublicNames, WithInitialsTheClubGoes) {
    const BoutHead head = publicly(some_bout(), PublicNames::initials);
    EXPECT_EQ(head.white.name, "A. B.");
    EXPECT_EQ(head.white.club, "");
    EXPECT_EQ(head.blue, some_bout().blue);  // nobody is known there yet
}

TEST(PublicNames, HiddenIsTheSideAndTheBout) {
    const BoutHead head = publicly(some_bout(), PublicNames::hidden);
    EXPECT_EQ(head.white.name, "white, bout 12");
    EXPECT_EQ(head.white.club, "");
    EXPECT_EQ(head.white.person, PersonId{});  // nor a number to follow a person by
    EXPECT_EQ(head.blue, some_bout().blue);
}

TEST(PublicNames, WhatIsErasedStaysAsItIs) {
    BoutHead head = some_bout();
    head.white = Seat{PersonId{3}, name_of_erased(PersonId{3}), "", Slot::From::person, {}};
    EXPECT_EQ(publicly(head, PublicNames::initials).white.name, "Athlete 3");
    EXPECT_EQ(publicly(head, PublicNames::hidden).white.name, "white, bout 12");
}

TEST(PublicNames, EverythingThatNamesPeopleIsCut) {
    const std::string full = "Aiko Brandt";
    MatView view;
    view.has_bout = true;
    view.bout = some_bout();
    view.next = {some_bout()};
    view = publicly(view, PublicNames::initials);
    EXPECT_EQ(view.bout.white.name, "A. B.");
    EXPECT_EQ(view.next.front().white.name, "A. B.");
    CallList list;
    list.mats.resize(1);
    list.mats[0].on = some_bout();
    list.mats[0].next = {some_bout()};
    list = publicly(list, PublicNames::initials);
    EXPECT_EQ(list.mats[0].on->white.name, "A. B.");
    EXPECT_EQ(list.mats[0].next[0].white.name, "A. B.");
    Finished item;
    item.bout = some_bout();
    item.also = {item};
    item = publicly(item, PublicNames::initials);
    EXPECT_EQ(item.bout.white.name, "A. B.");
    EXPECT_EQ(item.also[0].bout.white.name, "A. B.");
    BoutSheet sheet;
    sheet.bout = some_bout();
    EXPECT_EQ(publicly(sheet, PublicNames::initials).bout.white.name, "A. B.");
}

}  // namespace
}  // namespace honbu

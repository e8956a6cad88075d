#include "hub/core/public_names.h"

#include <algorithm>
#include <array>
#include <utility>

#include "hub/core/combining_marks.h"
#include "hub/core/plain_text.h"

namespace honbu {
namespace {

bool is_mark(char32_t c) {
    const auto range = std::lower_bound(
        combining_marks.begin(), combining_marks.end(), c,
        [](const CharacterRange& one, char32_t value) { return one.last < value; });
    return range != combining_marks.end() && c >= range->first;
}
bool is_joiner(char32_t c) { return c == 0x200C || c == 0x200D; }

// A syllable of Hangul in its own letters: vowels and closing consonants go with what is before
// them (UAX #29, GB6 to GB8).
bool is_hangul(char32_t c) {
    return (c >= 0x1100 && c <= 0x11FF) || (c >= 0xA960 && c <= 0xA97C) ||
           (c >= 0xAC00 && c <= 0xD7FB);
}
bool goes_on_hangul(char32_t c) {
    return (c >= 0x1160 && c <= 0x11FF) || (c >= 0xD7B0 && c <= 0xD7FB);
}
// Joins two consonants of an Indic script into one (UAX #29, GB9c).
bool is_linker(char32_t c) {
    constexpr std::array<char32_t, 6> linkers = {0x94D, 0x9CD, 0xACD, 0xB4D, 0xC4D, 0xD4D};
    return std::find(linkers.begin(), linkers.end(), c) != linkers.end();
}

bool is_blank(char32_t c) { return c == ' ' || c == 0xA0 || c == 0x3000 || c == 0x202F; }
bool is_hyphen(char32_t c) { return c == '-' || c == 0x2010 || c == 0x2011; }
// What may stand before a letter without being one: quotes, brackets, dots, an apostrophe.
bool is_sign(char32_t c) {
    const bool letter = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9');
    return (c < 0x80 && !letter) || c == 0xB4 || c == 0xB7 || c == 0xAB || c == 0xBB ||
           (c >= 0x2012 && c <= 0x203A) || (c >= 0x3001 && c <= 0x301F) || c == 0x30FB;
}

// From the front of `text`, which begins with a letter: it, and what belongs to it.
std::string_view take_letter(std::string_view& text) {
    const std::string_view whole = text;
    const char32_t base = take_character(text);
    char32_t last = base;
    while (!text.empty()) {
        std::string_view behind = text;
        const char32_t next = take_character(behind);
        const bool belongs = is_mark(next) || is_joiner(next) ||
                             (is_hangul(base) && goes_on_hangul(next)) ||
                             (is_linker(last) && next >= 0x900 && next <= 0xD7F);
        if (!belongs) break;
        if (!is_joiner(next)) last = next;
        text = behind;
    }
    return whole.substr(0, whole.size() - text.size());
}

// Of the parts in the order in which they stand.
std::string in_order(std::string_view name) {
    std::string out;
    std::string between;  // what joins the next part to the one before
    bool in_part = false;
    while (!name.empty()) {
        std::string_view behind = name;
        const char32_t c = take_character(behind);
        if (is_blank(c) || is_hyphen(c)) {
            const bool hyphen = is_hyphen(c) && in_part;
            if (!out.empty() && (in_part || !hyphen)) between = hyphen ? "-" : " ";
            in_part = false;
            name = behind;
        } else if (in_part || is_sign(c) || is_mark(c)) {
            name = behind;
        } else {
            out += between;
            out += take_letter(name);
            out += '.';
            in_part = true;
        }
    }
    return out;
}

Seat publicly(Seat seat, PublicNames names, const std::string& side_word, BoutId bout) {
    if (seat.name.empty() && seat.person == PersonId{}) return seat;
    switch (names) {
    case PublicNames::full: return seat;
    case PublicNames::initials:
        if (seat.name != name_of_erased(seat.person)) seat.name = initials(seat.name);
        break;
    case PublicNames::hidden:
        // Nor a number by which one could follow a person from bout to bout.
        seat.name = side_word + ", bout " + std::to_string(bout.value);
        seat.person = PersonId{};
        break;
    }
    seat.club.clear();
    return seat;
}

}  // namespace

std::string name_of_erased(PersonId person) { return "Athlete " + std::to_string(person.value); }

std::string initials(std::string_view name) {
    const std::size_t comma = name.find(',');
    if (comma == std::string_view::npos) return in_order(name);
    const std::string given = in_order(name.substr(comma + 1));
    const std::string surname = in_order(name.substr(0, comma));
    return given.empty() || surname.empty() ? given + surname : given + " " + surname;
}

BoutHead publicly(BoutHead head, PublicNames names) {
    head.white = publicly(std::move(head.white), names, head.white_word, head.bout);
    head.blue = publicly(std::move(head.blue), names, head.blue_word, head.bout);
    return head;
}

MatView publicly(MatView view, PublicNames names) {
    if (view.has_bout) view.bout = publicly(std::move(view.bout), names);
    for (BoutHead& head : view.next)
        head = publicly(std::move(head), names);
    return view;
}

CallList publicly(CallList list, PublicNames names) {
    for (CallList::OnMat& mat : list.mats) {
        if (mat.on) mat.on = publicly(std::move(*mat.on), names);
        for (BoutHead& head : mat.next)
            head = publicly(std::move(head), names);
    }
    return list;
}

Finished publicly(Finished item, PublicNames names) {
    item.bout = publicly(std::move(item.bout), names);
    for (Finished& other : item.also)
        other = publicly(std::move(other), names);
    return item;
}

BoutSheet publicly(BoutSheet sheet, PublicNames names) {
    sheet.bout = publicly(std::move(sheet.bout), names);
    return sheet;
}

}  // namespace honbu

// What is kept beside the chain about people: who sees it; found, and erased.
//
// A record names people by number only, so that a name can go for good while every record stays as
// it is. From then on the number stands where the name stood: on screens, in results, after every
// restart, and in what a file says when it is loaded again.
#include <algorithm>
#include <set>
#include <utility>

#include "hub/core/inside.h"

namespace honbu {
namespace {

bool typed_by_hand(const PersonErased& erased) { return erased.person == PersonId{}; }

// Of ASCII; of other letters people write what they look for as it is written there.
std::string in_small_letters(std::string_view text) {
    std::string out(text);
    for (char& c : out) {
        if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
    }
    return out;
}

bool holds(std::string_view text, const std::string& small_words) {
    return in_small_letters(text).find(small_words) != std::string::npos;
}

}  // namespace

// Whoever was let in sees whole names: tables, the desk, the hall's own displays. Never who came in
// with the crowd.
Subscribe Hub::Inside::with_names_for(const Greeted& session, Subscribe wish) const {
    wish.names = session.hello.entrance == Entrance::hall && (anyone || session.let_in);
    return wish;
}

bool Hub::Inside::stands_in(const BoutLog& log, PersonId person) const {
    return progress.person_in(log.entry.white) == person ||
           progress.person_in(log.entry.blue) == person;
}

std::optional<Hub::Inside::No> Hub::Inside::cannot_erase(const PersonErased& wish) const {
    if (typed_by_hand(wish)) {
        const std::string bout = "bout " + std::to_string(wish.bout.value);
        if (typed_erased.contains(wish.bout)) {
            return No{Cause::changed, "What was typed for " + bout + " is erased already."};
        }
        if (typed.contains(wish.bout)) return std::nullopt;
        return No{Cause::no_such_person, "Nothing was typed by hand for " + bout + "."};
    }
    const std::string person = std::to_string(wish.person.value);
    if (erased.contains(wish.person)) {
        return No{Cause::changed, "The name of person " + person + " is erased already."};
    }
    if (people.contains(wish.person)) return std::nullopt;
    return No{Cause::no_such_person, "There is no person " + person +
                                         " in this competition. Look for the name to find the "
                                         "number."};
}

void Hub::Inside::erase_person(SessionId session, const ErasePerson& wish, Instant now) {
    if (!is_desk(session, wish.request)) return;
    if (const auto no = cannot_erase(wish.erased)) {
        refuse(session, no->reason, no->words, wish.request);
        return;
    }
    record(wish.erased, Verdict::none, Asker{session, wish.request}, now, {beside_of(wish.erased)});
}

void Hub::Inside::commit_erased(const Waiting& waiting_record, const PersonErased& wish) {
    const RecordNumber number = waiting_record.record.number;
    aside_stale = aside_stale || !aside.empty();
    if (typed_by_hand(wish)) {
        typed.erase(wish.bout);
        const bool listed_there = std::any_of(aside.begin(), aside.end(), [&](const auto& item) {
            return item.second.call.bout == wish.bout && item.second.record <= number;
        });
        if (listed_there) aside_changed = number;
        done(waiting_record,
             "What was typed for bout " + std::to_string(wish.bout.value) + " is erased.");
        return;
    }
    people.erase(wish.person);
    const std::string name = name_of_erased(wish.person);
    tell(Renamed{number, wish.person, name});
    std::set<MatId> on;
    for (const auto& [id, log] : bouts) {
        if (!stands_in(log, wish.person)) continue;
        feed.sheet_changed(id);
        on.insert(log.entry.mat);
    }
    for (const MatId id : on) {
        mats.at(id).number = number;
        publish(id);
        give_allotment(id);
    }
    done(waiting_record, "The name is erased. Screens and results show " + name + " instead.");
}

// By number, or by a part of the name, the club or the note. Who was erased is found by number.
std::vector<PeopleFound::One> Hub::Inside::people_like(std::string_view words) const {
    const std::string small = in_small_letters(words);
    std::vector<PeopleFound::One> out;
    const auto add = [&](PeopleFound::One one, std::uint32_t number) {
        const bool fits = std::to_string(number) == words || holds(one.name, small) ||
                          holds(one.club, small);
        if (fits) out.push_back(std::move(one));
    };
    const auto standing = [this](PersonId person) {
        std::vector<BoutId> in;
        for (const auto& [id, log] : bouts) {
            if (stands_in(log, person)) in.push_back(id);
        }
        return in;
    };
    for (const auto& [id, person] : people)
        add({id, {}, person.name, person.club, false, {}}, id.value);
    for (const PersonId id : erased) {
        if (people.contains(id)) continue;  // not on the disk yet
        add({id, {}, name_of_erased(id), {}, true, {}}, id.value);
    }
    for (const auto& [bout, names] : typed)
        add({{}, bout, names.white + " - " + names.blue, names.note, false, {}}, bout.value);
    for (PeopleFound::One& one : out) {
        if (one.person != PersonId{}) one.bouts = standing(one.person);
    }
    return out;
}

void Hub::Inside::find_people(SessionId session, const FindPeople& wish) {
    if (!is_desk(session, wish.request)) return;
    PeopleFound found;
    found.request = wish.request;
    found.people = people_like(wish.words);
    if (found.people.size() > people_found_max) {
        found.more = static_cast<std::uint32_t>(found.people.size() - people_found_max);
        found.people.resize(people_found_max);
    }
    outlet.reply(session, found);
}

std::string Hub::erase(const PersonErased& erased, Instant now) {
    if (const auto no = in_->cannot_erase(erased)) return no->words;
    in_->record(erased, Verdict::none, {}, now, {beside_of(erased)});
    return {};
}

std::vector<PeopleFound::One> Hub::people(std::string_view words) const {
    return in_->people_like(words);
}

}  // namespace honbu

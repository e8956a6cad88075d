#include "hub/people_commands.h"

#include <algorithm>
#include <atomic>
#include <iostream>
#include <set>

#include "engine/record/canon.h"
#include "hub/clock.h"
#include "hub/core/hub.h"
#include "hub/core/nobody.h"
#include "hub/core/plain_text.h"
#include "hub/journal/journal.h"
#include "hub/journal/reader.h"
#include "hub/words/how_many.h"
#include "hub/words/record_line.h"

namespace honbu {
namespace {

int fail(const std::string& words) {
    std::cerr << words << "\n";
    return 1;
}

// Writes what the hub appends, once there is a journal to write it to.
struct Writer final : Nobody {
    Journal* journal = nullptr;
    void append(RecordNumber number, std::string bytes, std::vector<Beside> beside) override {
        journal->append(number, std::move(bytes), std::move(beside));
    }
};

OrFault<void> replay_into(Hub& hub, JournalReader& reader) {
    const auto beside = reader.beside(
        [&hub](std::string_view key, std::string_view value) { hub.replay_beside(key, value); });
    if (!beside) return beside;
    const auto end = reader.records([&hub](RecordNumber, std::string_view bytes, const Hash& hash) {
        return hub.replay(bytes, hash);
    });
    if (!end) return end.error();
    hub.replayed();
    return {};
}

std::string text(const PeopleFound::One& one) {
    std::string out = one.person != PersonId{}
                          ? "person " + std::to_string(one.person.value) + "  "
                          : "typed for bout " + std::to_string(one.typed.value) + "  ";
    out += one.name;
    if (!one.club.empty()) out += ", " + one.club;
    if (one.erased) out += " (erased)";
    for (std::size_t i = 0; i < one.bouts.size(); ++i)
        out += (i == 0 ? "  bouts " : ", ") + std::to_string(one.bouts[i].value);
    return out;
}

std::set<BoutId> about(const Fact& fact) {
    struct About {
        std::set<BoutId> operator()(const Call& f) const { return {f.bout}; }
        std::set<BoutId> operator()(const SetAsideDecided& f) const { return {f.into}; }
        std::set<BoutId> operator()(const ResultEntered& f) const { return {f.bout}; }
        std::set<BoutId> operator()(const RecordMoved& f) const { return {f.from, f.to}; }
        std::set<BoutId> operator()(const BoutGivenBack& f) const { return {f.bout}; }
        std::set<BoutId> operator()(const CallsHandedIn& f) const {
            std::set<BoutId> out;
            for (const Call& call : f.calls)
                out.insert(call.bout);
            return out;
        }
        std::set<BoutId> operator()(const EpochBegan&) const { return {}; }
        std::set<BoutId> operator()(const CompetitionLoaded&) const { return {}; }
        std::set<BoutId> operator()(const MatTaken&) const { return {}; }
        std::set<BoutId> operator()(const MatFreed&) const { return {}; }
        std::set<BoutId> operator()(const DeviceLetIn&) const { return {}; }
        std::set<BoutId> operator()(const DeviceShutOut&) const { return {}; }
        std::set<BoutId> operator()(const PersonErased&) const { return {}; }
    };
    return std::visit(About{}, fact);
}

void print_bout(const BoutSheet& sheet, PersonId person) {
    const bool white = sheet.bout.white.person == person;
    std::cout << "bout " << sheet.bout.bout.value << ", mat " << sheet.mat.value << ", "
              << sheet.bout.category << ", " << sheet.bout.round << ", as "
              << (white ? sheet.bout.white_word : sheet.bout.blue_word)
              << (sheet.words.empty() ? "" : ": ") << sheet.words << "\n";
}

}  // namespace

int people_of_journal(const std::filesystem::path& data, const std::string& words) {
    const auto reader = JournalReader::open(data);
    if (!reader) return fail(reader.error().words);
    Nobody nobody;
    Hub hub(nobody, nobody, nobody);
    if (const auto read = replay_into(hub, **reader); !read) return fail(read.error().words);
    const auto found = hub.people(words);
    for (const PeopleFound::One& one : found)
        std::cout << text(one) << "\n";
    std::cout << std::flush;
    if (!found.empty() || words.empty()) return 0;
    return fail("Nobody here has '" + words +
                "' in the name or the club. Look for another part of it; without FIND all are "
                "listed.");
}

int person_of_journal(const std::filesystem::path& data, PersonId person) {
    const auto reader = JournalReader::open(data);
    if (!reader) return fail(reader.error().words);
    Nobody nobody;
    Hub hub(nobody, nobody, nobody);
    if (const auto read = replay_into(hub, **reader); !read) return fail(read.error().words);
    const auto all = hub.people({});
    const auto one = std::find_if(all.begin(), all.end(),
                                  [person](const auto& each) { return each.person == person; });
    if (person == PersonId{} || one == all.end()) {
        return fail("There is no person " + std::to_string(person.value) +
                    " in this journal. honbu journal people lists all.");
    }
    std::cout << text(*one) << "\n\nThe bouts:\n";
    for (const BoutId bout : one->bouts) {
        if (const auto sheet = hub.sheet(bout)) print_bout(*sheet, person);
    }
    std::cout << "\nThe records of these bouts. What was called of the other athlete is among "
                 "them: take it out before this is handed on.\n";
    const std::set<BoutId> bouts(one->bouts.begin(), one->bouts.end());
    const auto end = (*reader)->records([&](RecordNumber number, std::string_view bytes,
                                            const Hash&) {
        const auto record = decode_record(bytes);
        if (!record) return std::string();
        const auto of = about(record->fact);
        const auto* erased = std::get_if<PersonErased>(&record->fact);
        const bool named = erased != nullptr && erased->person == person;
        if (named ||
            std::any_of(of.begin(), of.end(), [&](BoutId bout) { return bouts.contains(bout); })) {
            std::cout << number.value << "  " << line(*record) << "\n";
        }
        return std::string();
    });
    std::cout << std::flush;
    return end ? 0 : fail(end.error().words);
}

int erase_from_journal(const std::filesystem::path& data, const PersonErased& wish) {
    PersonErased erased = wish;
    if ((erased.person == PersonId{}) == (erased.bout == BoutId{})) {
        return fail("Name who is to be erased: --person N, or --bout N for names typed by hand.");
    }
    if (has_control(erased.reason) || erased.reason.find_first_not_of(' ') == std::string::npos) {
        return fail("The --reason is one line of words, without the name: it is kept.");
    }
    erased.reason = without_hidden(erased.reason);
    auto reader = JournalReader::open(data);
    if (!reader) return fail(reader.error().words);
    const auto mark = (*reader)->mark();
    if (!mark) return fail(mark.error().words);
    if (*mark != 0) {
        return fail("The folder " + data.string() +
                    " holds a copy. Erase in the journal itself, then bring this copy up to date: "
                    "honbu journal copy.");
    }
    std::atomic<std::uint32_t> kept = 0;
    JournalEvents events;
    events.committed = [&kept](RecordNumber number) { kept = number.value; };
    events.room = [](bool) {};
    events.log = [](const std::string& words) { std::cerr << words << "\n"; };
    const auto journal = Journal::open(data, std::move(events));
    if (!journal) return fail(journal.error().words);
    Writer writer;
    writer.journal = journal->get();
    Hub hub(writer, writer, writer);
    if (const auto read = replay_into(hub, **reader); !read) return fail(read.error().words);
    const auto begun = (*reader)->begun_wall_ms();
    if (!begun) return fail(begun.error().words);
    HubClock::Start start;
    start.now_wall_ms = wall_ms();
    start.begun_wall_ms = begun->value_or(start.now_wall_ms);
    start.has_last = true;
    start.last = hub.last_received();
    start.rate = hub.rehearsal_rate();
    const auto clock = HubClock::start(start);
    if (!clock) return fail(clock.error().words);
    (*reader).reset();  // who reads keeps the log from being emptied
    const RecordNumber before = hub.last_committed();
    if (const std::string no = hub.erase(erased, clock->now()); !no.empty()) return fail(no);
    (*journal)->close();
    if (kept <= before.value) return fail("Nothing was erased: it could not be written.");
    std::cout << "Erased, by record " << before.value + 1;
    if ((*journal)->wants_wipe()) {
        std::cout << ".\nAnother program reads this journal, so the name stands in its log until "
                     "that has ended: close it, and start a hub on this folder once";
    } else {
        std::cout << ", and gone from the files in " << data.string();
    }
    std::cout << ".\nBring every copy of this journal up to date (honbu journal copy), or destroy "
                 "it; printed lists and what others have copied are for you to find.\n";
    return 0;
}

}  // namespace honbu

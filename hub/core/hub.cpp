#include "hub/core/hub.h"

#include <algorithm>
#include <stdexcept>
#include <utility>

#include "engine/record/bytes.h"
#include "hub/core/inside.h"

namespace honbu {
namespace {

constexpr std::string_view person_prefix = "person/";
constexpr std::string_view typed_prefix = "typed/";
constexpr std::string_view device_prefix = "device/";
constexpr char separator = '\x1f';  // ASCII unit separator: in no name

Beside beside_of(const Person& person) {
    return {std::string(person_prefix) + std::to_string(person.id.value),
            person.name + separator + person.club, false};
}

std::optional<std::uint32_t> number_in(std::string_view text) {
    std::uint32_t number = 0;
    for (const char c : text) {
        if (c < '0' || c > '9') return std::nullopt;
        number = number * 10 + static_cast<std::uint32_t>(c - '0');
    }
    return number;
}

// Up to the next separator, which is taken as well.
std::string next_part(std::string_view& text) {
    const std::size_t cut = std::min(text.find(separator), text.size());
    std::string part(text.substr(0, cut));
    text.remove_prefix(std::min(cut + 1, text.size()));
    return part;
}

}  // namespace

Beside beside_of(BoutId bout, const Typed& typed) {
    return {std::string(typed_prefix) + std::to_string(bout.value),
            typed.white + separator + typed.blue + separator + typed.note, false};
}

Beside beside_of(const PersonErased& erased) {
    const bool typed = erased.person == PersonId{};
    return {std::string(typed ? typed_prefix : person_prefix) +
                std::to_string(typed ? erased.bout.value : erased.person.value),
            {},
            true};
}

Hub::Hub(JournalPort& journal, OutletPort& outlet, FeedPort& feed)
    : in_(std::make_unique<Inside>(journal, outlet, feed)) {}
Hub::~Hub() = default;

std::string Hub::replay(std::string_view record_bytes) {
    return replay(record_bytes, sha256(record_bytes));
}

std::string Hub::replay(std::string_view record_bytes, const Hash& hash) {
    auto decoded = decode_record(record_bytes);
    const std::string place = "record " + std::to_string(in_->decided.value + 1);
    if (!decoded) return place + " can't be read: it is not in the form this version writes";
    if (decoded->number.value != in_->decided.value + 1) {
        return place + " is missing: number " + std::to_string(decoded->number.value) +
               " follows instead";
    }
    if (decoded->previous != in_->last_hash) {
        return place + " does not follow the one before it: the journal was changed or damaged";
    }
    in_->replaying = true;
    in_->last_hash = hash;
    Waiting waiting{std::move(*decoded), {}, {}, {}, 0, 0};
    try {
        waiting.counted = in_->decide(waiting.record);
        in_->commit(waiting);
    } catch (const std::out_of_range&) {
        return place + " speaks of a mat, a bout or a call that is not there";
    }
    return {};
}

void Hub::replay_beside(std::string_view key, std::string_view value) {
    if (key.starts_with(device_prefix)) {
        in_->know_key(key.substr(device_prefix.size()), value);
        return;
    }
    const bool person = key.starts_with(person_prefix);
    if (!person && !key.starts_with(typed_prefix)) return;
    const auto number = number_in(key.substr(person ? person_prefix.size() : typed_prefix.size()));
    if (!number) return;
    if (value.empty()) {  // erased: the record says so too
        if (person) in_->people.erase(PersonId{*number});
        if (!person) in_->typed.erase(BoutId{*number});
        return;
    }
    const std::string first = next_part(value);
    const std::string second = next_part(value);
    if (person) {
        in_->people[PersonId{*number}] = Person{PersonId{*number}, first, second};
    } else {
        in_->typed[BoutId{*number}] = Typed{first, second, std::string(value)};
    }
}

void Hub::replayed() {
    in_->replaying = false;
    in_->aside_stale = false;
    in_->check_all();
    in_->publish_all();
}

void Hub::begin(Epoch epoch, std::uint32_t rehearsal_rate, Instant now) {
    in_->record(EpochBegan{epoch, fold_version, rehearsal_rate}, Verdict::none, {}, now);
}

void Hub::begin_again(Epoch epoch, Instant now) {
    in_->record(EpochBegan{epoch, fold_version, in_->epoch.rehearsal_rate, in_->epoch.epoch},
                Verdict::none, {}, now);
}

void Hub::load(const Competition& competition, Instant now) {
    std::vector<Beside> beside;
    for (const Person& person : competition.people) {
        in_->people[person.id] = person;
        beside.push_back(beside_of(person));
    }
    in_->record(competition.loaded, Verdict::none, {}, now, std::move(beside));
}

void Hub::command(SessionId session, const Command& command, Instant now) {
    struct Take {
        Inside& in;
        SessionId session;
        Instant now;
        void operator()(const Hello& c) const { in.hello(session, c, now); }
        void operator()(const ClockAsk& c) const {
            in.outlet.reply(session, ClockAnswer{c.sent, now});
        }
        void operator()(const Subscribe& c) const { in.subscribe(session, c); }
        void operator()(const TakeMat& c) const { in.take_mat(session, c, now); }
        void operator()(const LeaveMat& c) const { in.leave_mat(session, c, now); }
        void operator()(const Submit& c) const { in.submit(session, c, now); }
        void operator()(const ClockMeasured& c) const { in.clock_measured(session, c); }
        void operator()(const Ask& c) const { in.ask(session, c, now); }
        void operator()(const AnswerAsk& c) const { in.answer(session, c); }
        void operator()(const OpenBout& c) const { in.open_bout(session, c); }
        void operator()(const DecideSetAside& c) const { in.decide_set_aside(session, c, now); }
        void operator()(const EnterResult& c) const { in.enter_result(session, c, now); }
        void operator()(const MoveRecord& c) const { in.move_record(session, c, now); }
        void operator()(const GiveBack& c) const { in.give_back(session, c, now); }
        void operator()(const ErasePerson& c) const { in.erase_person(session, c, now); }
        void operator()(const FindPeople& c) const { in.find_people(session, c); }
        void operator()(const HandIn& c) const { in.hand_in(session, c, now); }
        void operator()(const UseCode& c) const { in.use_code(session, c, now); }
        void operator()(const LetIn& c) const { in.let_in(session, c, now); }
        void operator()(const ShutOut& c) const { in.shut_out(session, c, now); }
        void operator()(const Heartbeat&) const {}
    };
    const bool greeted = in_->sessions.count(session) != 0;
    const bool waits = in_->at_door.count(session) != 0;
    if (waits && std::holds_alternative<Heartbeat>(command)) return;
    if (greeted && !in_->still_let_in(session, now)) return;
    const bool from_the_door = waits && std::holds_alternative<UseCode>(command);
    if (!greeted && !from_the_door && (waits || !std::holds_alternative<Hello>(command))) {
        in_->outlet.close(session,
                          Goodbye{Cause::hello_first,
                                  waits ? "This device waits to be let in; until then it only "
                                          "stays connected."
                                        : "The first message must be a hello.",
                                  false});
        return;
    }
    std::visit(Take{*in_, session, now}, command);
}

void Hub::left(SessionId session) {
    if (in_->at_door.erase(session) > 0) in_->publish_door();
    in_->feed.leave(session);
    const auto found = in_->sessions.find(session);
    if (found == in_->sessions.end()) return;
    const DeviceId device = found->second.hello.device;
    const bool table = found->second.hello.role == Role::table;
    const bool let_in = found->second.let_in;
    in_->forget_asks_of(session);
    in_->sessions.erase(found);
    if (let_in) in_->publish_door();
    in_->table_sessions.erase(session);
    const bool missed = in_->missing.erase(session) > 0;
    if (table || missed) in_->publish_tables();
    if (!table) return;
    for (const auto& [id, mat] : in_->mats) {
        if (mat.known_holder == device) in_->publish(id);
    }
}

void Hub::mirrored(const Mirrored& now) {
    if (in_->mirror == now) return;
    in_->mirror = now;
    in_->publish_tables();
}

void Hub::journal_damaged(const std::string& words) {
    in_->damage = words;
    in_->publish_tables();
}

const Mirrored& Hub::mirror() const { return in_->mirror; }

void Hub::committed(RecordNumber number) {
    in_->in_batch = true;
    while (!in_->waiting.empty() && in_->waiting.front().record.number <= number) {
        Waiting next = std::move(in_->waiting.front());
        in_->waiting.pop_front();
        in_->touched(next.record.fact, -1);
        in_->commit(next);
    }
    in_->in_batch = false;
    if (std::exchange(in_->call_list_stale, false)) in_->publish_call_list();
    in_->give_stale_allotments();
    if (std::exchange(in_->aside_stale, false)) in_->publish_set_aside();
    in_->check_equal();
}

Refusal no_room_for(const Command& command) {
    Refusal refusal;
    refusal.reason = Cause::no_room;
    refusal.words = no_room_words;
    refusal.request = request_of(command);
    if (const auto* submit = std::get_if<Submit>(&command)) {
        refusal.about_call = true;
        refusal.call = submit->call.id;
    }
    return refusal;
}

void Hub::no_room() {
    for (const auto& [id, session] : in_->sessions) {
        if (session.hello.role == Role::table) in_->refuse(id, Cause::no_room, no_room_words);
    }
}

// Not to shut a device out: that has to work while nothing can be kept, and is kept later.
bool Hub::would_record(SessionId session, const Command& command) const {
    if (in_->sessions.count(session) == 0 && in_->at_door.count(session) == 0) return false;
    if (const auto* take = std::get_if<TakeMat>(&command); take != nullptr) {
        // Coming back to one's own mat is no record.
        const auto mat = in_->mats.find(take->mat);
        const auto known = in_->sessions.find(session);
        return mat == in_->mats.end() || known == in_->sessions.end() ||
               mat->second.holder != known->second.hello.device;
    }
    return std::holds_alternative<Submit>(command) || std::holds_alternative<LeaveMat>(command) ||
           std::holds_alternative<DecideSetAside>(command) ||
           std::holds_alternative<EnterResult>(command) ||
           std::holds_alternative<MoveRecord>(command) ||
           std::holds_alternative<ErasePerson>(command) ||
           std::holds_alternative<GiveBack>(command) || std::holds_alternative<HandIn>(command) ||
           std::holds_alternative<LetIn>(command) || std::holds_alternative<UseCode>(command);
}

bool Hub::has_epoch() const { return !in_->epochs.empty(); }
bool Hub::has_competition() const { return in_->has_competition; }
void Hub::show_publicly(PublicNames names) { in_->public_names = names; }
PublicNames Hub::public_names() const { return in_->public_names; }
Epoch Hub::epoch() const { return in_->epoch.epoch; }
std::uint32_t Hub::rehearsal_rate() const { return in_->epoch.rehearsal_rate; }
const std::string& Hub::title() const { return in_->competition.title; }
const CompetitionLoaded* Hub::loaded() const {
    return in_->has_competition ? &in_->competition : nullptr;
}
RecordNumber Hub::last_committed() const { return in_->committed; }
Instant Hub::last_received() const { return in_->last_received; }

void Hub::let_anyone_score() { in_->anyone = true; }
void Hub::rights_last(Duration by_hub) { in_->rights_last = by_hub; }
void Hub::expect_code(const Hash& hash) { in_->one_time = Inside::OneTimeCode{hash, 0}; }
void Hub::salt_door(const Hash& salt) { in_->door_salt = salt; }
bool Hub::has_desk(Instant now) const {
    return std::any_of(in_->rights.begin(), in_->rights.end(),
                       [&](const auto& one) { return in_->has(one.first, Right::desk, now); });
}
bool Hub::expects_code() const { return in_->one_time.has_value(); }
std::size_t Hub::at_the_door() const { return in_->at_door.size(); }

const Hub::Tallies& Hub::tallies() const { return in_->tallies; }
std::uint32_t Hub::missing() const { return in_->most_missing(); }

std::array<std::size_t, 6> Hub::connected() const {
    std::array<std::size_t, 6> by_role{};
    for (const auto& [id, session] : in_->sessions)
        ++by_role.at(static_cast<std::size_t>(session.hello.role));
    return by_role;
}

bool Hub::same_competition(const Competition& competition) const {
    Record mine;
    mine.fact = in_->competition;
    Record theirs;
    theirs.fact = competition.loaded;
    std::set<PersonId> all = in_->erased;
    for (const auto& [id, person] : in_->people)
        all.insert(id);
    if (encode(mine) != encode(theirs) || all.size() != competition.people.size()) return false;
    for (const Person& person : competition.people) {
        if (in_->erased.contains(person.id)) continue;  // whatever the file still says
        const auto found = in_->people.find(person.id);
        if (found == in_->people.end() || found->second.name != person.name ||
            found->second.club != person.club) {
            return false;
        }
    }
    return true;
}

std::string Hub::state_bytes() const {
    Writer w;
    for (const auto& [id, bout] : in_->bouts) {
        const auto calls = in_->committed_calls(bout);
        w.u32(id.value);
        w.u32(static_cast<std::uint32_t>(calls.size()));
        if (!calls.empty()) w.raw(encode(in_->so_far(bout).last(in_->under(bout))));
        w.flag(bout.known_at_desk);
        w.u32(bout.standing_since.value);
        if (bout.standing) w.text(words(in_->under(bout).rules, *bout.standing));
    }
    return w.take();
}

std::string Hub::summary() const {
    std::string out;
    for (const auto& [id, bout] : in_->bouts) {
        const auto calls = in_->committed_calls(bout);
        if (calls.empty() && !bout.standing) continue;
        const BoutHead head = in_->head(bout);
        out += "bout " + std::to_string(id.value) + ", mat " +
               std::to_string(bout.entry.mat.value) + ", " + head.category + ", " + head.round +
               ": " + head.white.name + " - " + head.blue.name + ": " +
               std::to_string(calls.size()) + " calls";
        const Inside::Stands now = in_->stands(bout);
        if (bout.known_at_desk) out += ", at the desk";
        if (bout.standing) {
            out += ", confirmed: " + now.words;
        } else if (!now.words.empty()) {
            out += ", " + now.words;
        }
        out += "\n";
    }
    return out;
}

}  // namespace honbu

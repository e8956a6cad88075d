// Who may come in: checked with the hello, and again with each message.
//
// A right counts from the moment it is on the disk; one that is taken away ends at once. What a
// device keeps that was shut out is set aside when it is let in again, since its mat was freed
// meanwhile. Nothing here is about addresses: a whole hall may sit behind one.
#include <algorithm>
#include <utility>

#include "hub/core/inside.h"

namespace honbu {
namespace {

// A code of eight signs has 2^40 values: so many guesses find one in ten million. Fewer would let a
// single phone burn each code that is made.
constexpr unsigned guesses_max = 100'000;
constexpr unsigned guesses_of_one_max = 5;  // on one connection

Right needed_for(Role role) {
    switch (role) {
    case Role::table: return Right::table;
    case Role::desk: return Right::desk;
    case Role::set_up: return Right::set_up;
    case Role::board:
    case Role::hall:
    case Role::none: break;
    }
    return Right::none;
}

// A screen that has a secret wishes to be known as one of the hall's.
Right wanted_by(const Hello& hello) {
    const Right needed = needed_for(hello.role);
    return needed == Right::none ? Right::display : needed;
}

std::size_t at(Right right) { return static_cast<std::size_t>(right); }

std::string_view name_of(Right right) {
    switch (right) {
    case Right::none: break;
    case Right::table: return "a table";
    case Right::desk: return "a desk";
    case Right::set_up: return "the set-up";
    case Right::display: return "a screen of the hall";
    }
    return "nothing";
}

Beside beside_of(DeviceId device, const Hash& key) {
    return {"device/" + std::to_string(device.value), std::string(key.begin(), key.end())};
}

}  // namespace

// The signs are those of Crockford's Base32, which no two people read differently.
Hash code_hash(std::string_view typed) {
    std::string code;
    for (const char c : typed) {
        const char capital = c >= 'a' && c <= 'z' ? static_cast<char>(c - 'a' + 'A') : c;
        if (capital == ' ' || capital == '-') continue;
        const bool one = capital == 'I' || capital == 'L';
        code += capital == 'O' ? '0' : one ? '1' : capital;
    }
    return sha256(code);
}

void Hub::Inside::know_key(std::string_view device, std::string_view hash) {
    Hash key{};
    std::uint64_t number = 0;
    for (const char c : device) {
        if (c < '0' || c > '9') return;
        number = number * 10 + static_cast<std::uint64_t>(c - '0');
    }
    if (hash.size() != key.size()) return;
    std::copy(hash.begin(), hash.end(), key.begin());
    keys[DeviceId{number}] = key;
}

bool Hub::Inside::has(DeviceId device, Right right, Instant now) const {
    const auto found = rights.find(device);
    return found != rights.end() && !leaving.contains(device) &&
           now < found->second[at(right)].until;
}

bool Hub::Inside::may_come_in(const Hello& hello, const Hash& key, Instant now) const {
    if (needed_for(hello.role) == Right::none && key == Hash{}) return true;  // only looks
    if (hello.entrance == Entrance::crowd) return false;
    if (anyone) return true;
    const auto known = keys.find(hello.device);
    return known != keys.end() && known->second == key && has(hello.device, wanted_by(hello), now);
}

MatId Hub::Inside::only_mat(const Hello& hello) const {
    const auto found = table_mats.find(hello.device);
    if (anyone || hello.role != Role::table || found == table_mats.end()) return {};
    return found->second;
}

// A right ends at its time also for who is inside.
bool Hub::Inside::still_let_in(SessionId session, Instant now) {
    const Greeted& known = sessions.at(session);
    const Hello& hello = known.hello;
    const Right needed = known.let_in ? wanted_by(hello) : needed_for(hello.role);
    if (anyone || needed == Right::none || has(hello.device, needed, now)) return true;
    if (leaving.contains(hello.device)) return false;  // it was told why
    outlet.close(session, Goodbye{Cause::not_let_in,
                                  "The time for which this device was let in is over. It asks "
                                  "again by itself; let it in at the desk.",
                                  true});
    return false;
}

void Hub::Inside::use_code(SessionId session, const UseCode& wish, Instant now) {
    const auto waits = at_door.find(session);
    if (waits == at_door.end() || waits->second.hello.role != Role::desk) {
        refuse(session, Cause::wrong_code,
               "The code of the hub's terminal is for a desk that waits to be let in.");
        return;
    }
    if (!one_time) {
        refuse(session, Cause::wrong_code,
               "The hub expects no code now. On its machine, honbu code --data DIR shows a new "
               "one; or let another desk let this one in.");
        return;
    }
    if (code_hash(wish.code) != one_time->hash) {
        if (++one_time->guesses >= guesses_max) one_time.reset();
        if (++waits->second.guesses >= guesses_of_one_max) {
            at_door.erase(waits);
            outlet.close(session, Goodbye{Cause::wrong_code,
                                          "Too many wrong codes from this page. Reload it and look "
                                          "at the code again.",
                                          false});
            publish_door();
            return;
        }
        refuse(session, Cause::wrong_code,
               one_time ? "That is not the code that the hub's terminal shows."
                        : "That is not it, and too many wrong codes were tried: it does not count "
                          "any more. On the hub's machine, honbu code --data DIR shows a new one.");
        return;
    }
    one_time.reset();
    const AtDoor& door = waits->second;
    const DeviceId device = door.hello.device;
    record(DeviceLetIn{device, Right::desk, {}, now + rights_last}, Verdict::none, {}, now,
           {beside_of(device, door.key)});
    keys[device] = door.key;
}

// The set-up lets in tables and screens, and a desk everybody.
bool Hub::Inside::keeps_the_door(SessionId session, Right right, std::uint32_t request) {
    const Role role = sessions.at(session).hello.role;
    const bool small = right == Right::table || right == Right::display;
    if (role == Role::set_up && small) return true;
    if (role == Role::desk) return is_desk(session, request);
    refuse(session, Cause::not_the_desk,
           role == Role::set_up ? "Only a desk lets desks and set-ups in, and shuts them out."
                                : "Only the desk and the set-up let devices in.",
           request);
    return false;
}

void Hub::Inside::let_in(SessionId session, const LetIn& wish, Instant now) {
    if (!keeps_the_door(session, wish.right, wish.request)) return;
    const bool table = wish.right == Right::table;
    if (table && mats.count(wish.mat) == 0) {
        refuse(session, Cause::no_such_mat,
               "This competition has no mat " + std::to_string(wish.mat.value) + ".", wish.request);
        return;
    }
    std::optional<Hash> key;
    if (wish.code.empty()) {
        if (!has(wish.device, Right::table, now) && !has(wish.device, Right::desk, now) &&
            !has(wish.device, Right::set_up, now) && !has(wish.device, Right::display, now)) {
            refuse(session, Cause::not_let_in,
                   "This device is not inside. Let it ask, and compare the code that it shows.",
                   wish.request);
            return;
        }
        key = keys.at(wish.device);
    } else {
        Right other = Right::none;  // another page of the device may want something else
        for (const auto& [id, door] : at_door) {
            if (door.hello.device != wish.device || door.code != wish.code) continue;
            if (wanted_by(door.hello) == wish.right) {
                key = door.key;
            } else {
                other = wanted_by(door.hello);
            }
        }
        if (!key && other != Right::none) {
            refuse(session, Cause::impossible,
                   "It asks to be let in as " + std::string(name_of(other)) + ", not as " +
                       std::string(name_of(wish.right)) + ".",
                   wish.request);
            return;
        }
        const auto known = keys.find(wish.device);
        if (!key || (known != keys.end() && known->second != *key)) {
            refuse(session, Cause::changed,
                   "No device at the door shows this code any more. Look again.", wish.request);
            return;
        }
    }
    record(DeviceLetIn{wish.device, wish.right, table ? wish.mat : MatId{}, now + rights_last},
           Verdict::none, Asker{session, wish.request}, now, {beside_of(wish.device, *key)});
    keys[wish.device] = *key;
}

// Who uses a right keeps it: else all of them would end together, on the last day.
void Hub::Inside::renew(const Hello& hello, Instant now) {
    const Right right = wanted_by(hello);
    const Granted& granted = rights.at(hello.device)[at(right)];
    if (granted.until - now > Duration{rights_last.ms / 2}) return;
    for (const Waiting& w : waiting) {
        const auto* fact = std::get_if<DeviceLetIn>(&w.record.fact);
        if (fact != nullptr && fact->device == hello.device) return;
    }
    record(DeviceLetIn{hello.device, right, granted.mat, now + rights_last}, Verdict::none, {},
           now);
}

void Hub::Inside::shut_out(SessionId session, const ShutOut& wish, Instant now) {
    const auto found = rights.find(wish.device);
    const bool high = has(wish.device, Right::desk, now) || has(wish.device, Right::set_up, now);
    if (!keeps_the_door(session, high ? Right::desk : Right::table, wish.request)) return;
    if (found == rights.end() || leaving.contains(wish.device)) {
        refuse(session, Cause::changed, "This device is not inside any more. Look again.",
               wish.request);
        return;
    }
    if (wish.device == sessions.at(session).hello.device) {
        refuse(session, Cause::impossible,
               "A desk does not shut itself out. Another desk can do it.", wish.request);
        return;
    }
    record(DeviceShutOut{wish.device, wish.reason}, Verdict::none, Asker{session, wish.request},
           now);
    // At once, and not only when it is on the disk, which may be full.
    for (const auto& [id, known] : sessions) {
        if (!known.let_in || known.hello.device != wish.device) continue;
        outlet.close(id, Goodbye{Cause::shut_out,
                                 "The desk has shut this device out: " + wish.reason +
                                     ". What it keeps stays here; talk to the desk.",
                                 false});
    }
}

// A table that is let in for another mat has left the one that it had.
void Hub::Inside::decide_let_in(const DeviceLetIn& fact) {
    if (fact.right != Right::table) return;
    table_mats[fact.device] = fact.mat;
    for (auto& [id, mat] : mats) {
        if (mat.holder == fact.device && id != fact.mat) mat.holder = DeviceId{};
    }
}

void Hub::Inside::decide_shut_out(const DeviceShutOut& fact) {
    leaving.insert(fact.device);
    table_mats.erase(fact.device);
    for (auto& [id, mat] : mats) {
        if (mat.holder == fact.device) mat.holder = DeviceId{};
    }
}

void Hub::Inside::lose_mats(const Waiting& done_record, DeviceId device, MatId but) {
    for (auto& [id, mat] : mats) {
        if (mat.known_holder != device || id == but) continue;
        mat.known_holder = DeviceId{};
        mat.hand.clear();
        mat.number = done_record.record.number;
        publish(id);
        for (const auto& [session, known] : sessions) {
            if (known.hello.role != Role::table || known.hello.device != device) continue;
            outlet.reply(session, MatLost{id, mat.known_term,
                                          "The desk has taken mat " + std::to_string(id.value) +
                                              " from this device.",
                                          false});
        }
    }
    publish_tables();
}

void Hub::Inside::commit_let_in(const Waiting& done_record, const DeviceLetIn& fact) {
    Granted& granted = rights[fact.device][at(fact.right)];
    const MatId before = std::exchange(granted, Granted{fact.until, fact.mat}).mat;
    if (fact.right == Right::table) lose_mats(done_record, fact.device, fact.mat);
    if (replaying) return;
    for (const auto& [id, known] : sessions) {
        const bool moved = known.let_in && known.hello.role == Role::table && before != MatId{} &&
                           before != fact.mat && known.hello.device == fact.device;
        if (!moved || fact.right != Right::table) continue;
        outlet.close(id, Goodbye{Cause::not_yours,
                                 "The desk has put this table at mat " +
                                     std::to_string(fact.mat.value) + ".",
                                 true});
    }
    turn_liars_away(fact.device);
    std::vector<std::pair<SessionId, Hello>> come;
    for (const auto& [id, door] : at_door) {
        if (may_come_in(door.hello, door.key, last_received)) come.emplace_back(id, door.hello);
    }
    for (const auto& [id, hello] : come) {
        hands[fact.device] = hello.hand;
        at_door.erase(id);
    }
    for (const auto& [id, hello] : come)
        greet(id, hello, true, last_received);
    publish_door();
    done(
        done_record,
        "Let in as " + std::string(name_of(fact.right)) +
            (fact.right == Right::table ? " of mat " + std::to_string(fact.mat.value) + "." : "."));
}

void Hub::Inside::commit_shut_out(const Waiting& done_record, const DeviceShutOut& fact) {
    leaving.erase(leaving.find(fact.device));
    rights.erase(fact.device);
    lose_mats(done_record, fact.device, {});
    if (replaying) return;
    publish_door();
    done(done_record, "Shut out. What it still keeps is set aside if it is let in again.");
}

}  // namespace honbu

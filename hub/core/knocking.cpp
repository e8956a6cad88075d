// Who waits at the door, and what the desk sees of it.
#include <algorithm>
#include <utility>

#include "hub/core/inside.h"

namespace honbu {
namespace {

constexpr std::size_t code_digits = 6;

// Six digits that a device shows again when it comes again, and that nobody can choose: they hang on
// its secret, and on one of the hub's.
std::string digits_of(const Hash& salt, const Hash& key, std::uint8_t turn) {
    std::string mix(salt.begin(), salt.end());
    mix.append(key.begin(), key.end());
    mix += static_cast<char>(turn);
    const Hash mixed = sha256(mix);
    std::string digits = std::to_string(first_bytes(mixed) % 1'000'000);
    digits.insert(0, code_digits - digits.size(), '0');
    return digits;
}

}  // namespace

void Hub::Inside::knock(SessionId session, Hello hello, const Hash& key, Instant now) {
    const auto known = keys.find(hello.device);
    if (hello.device == DeviceId{}) {
        outlet.close(session, Goodbye{Cause::unreadable,
                                      "Whoever wants to be let in says hello with a device of its "
                                      "own. Reload the page.",
                                      false});
        return;
    }
    if (known != keys.end() && known->second != key) {
        outlet.close(session, Goodbye{Cause::not_let_in,
                                      "The hub knows this device with another secret. If its "
                                      "browser has lost some of its data, clear the rest of this "
                                      "page's data too, once nothing is kept there.",
                                      false});
        return;
    }
    if (at_door.size() >= at_the_door_max) make_room_at_the_door();
    const auto taken = [&](const std::string& code) {
        return std::any_of(at_door.begin(), at_door.end(), [&](const auto& other) {
            return other.second.code == code && other.second.hello.device != hello.device;
        });
    };
    std::uint8_t turn = 0;
    while (taken(digits_of(door_salt, key, turn)))
        ++turn;
    AtDoor waits{std::move(hello), key, digits_of(door_salt, key, turn), now, 0};
    outlet.reply(session,
                 AtTheDoor{waits.code, one_time.has_value() && waits.hello.role == Role::desk});
    at_door[session] = std::move(waits);
    publish_door();
}

// Whoever has waited longest goes, but for devices that the hub knows: else a single phone could hold
// all the places.
void Hub::Inside::make_room_at_the_door() {
    const auto stranger = [this](const auto& waits) {
        return keys.count(waits.second.hello.device) == 0;
    };
    auto oldest = std::find_if(at_door.begin(), at_door.end(), stranger);
    if (oldest == at_door.end()) oldest = at_door.begin();
    const SessionId session = oldest->first;
    at_door.erase(oldest);
    outlet.close(session, Goodbye{Cause::too_many,
                                  "Very many devices ask to be let in. This one asks again by "
                                  "itself; tell the desk.",
                                  true});
}

// Who waits under the name of a device that was let in, with another secret.
void Hub::Inside::turn_liars_away(DeviceId device) {
    const auto known = keys.find(device);
    std::vector<SessionId> liars;
    for (const auto& [id, door] : at_door) {
        if (door.hello.device == device && known != keys.end() && door.key != known->second)
            liars.push_back(id);
    }
    for (const SessionId liar : liars) {
        at_door.erase(liar);
        outlet.close(liar, Goodbye{Cause::not_let_in,
                                   "The hub knows this device with another secret.", false});
    }
}

void Hub::Inside::publish_door() {
    if (replaying) return;
    Door door;
    door.number = committed;
    door.anyone = anyone;
    for (const auto& [id, waits] : at_door) {
        const DeviceId device = waits.hello.device;
        door.waiting.push_back({device, waits.code, waits.hello.role, waits.hello.hand,
                                waits.hello.page, waits.since,
                                keys.count(device) != 0 && rights.count(device) == 0});
    }
    std::map<DeviceId, std::uint32_t> pages;
    for (const auto& [id, known] : sessions) {
        if (known.let_in) ++pages[known.hello.device];
    }
    for (const auto& [device, granted] : rights) {
        const auto hand = hands.find(device);
        for (const Right right : {Right::table, Right::desk, Right::set_up, Right::display}) {
            const Granted& one = granted.at(static_cast<std::size_t>(right));
            if (one.until == Instant{}) continue;
            door.inside.push_back({device, right, one.mat, one.until,
                                   hand == hands.end() ? std::string() : hand->second,
                                   pages[device]});
        }
    }
    feed.door(door);
}

}  // namespace honbu

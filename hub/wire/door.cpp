// Who may come in: the words at the door, both ways.
#include <algorithm>

#include "engine/view/json.h"
#include "hub/wire/parts.h"
#include "hub/wire/wire.h"

namespace honbu {
namespace wire {
namespace {

constexpr std::size_t token_signs_min = 22;  // of base64url: 128 bits
constexpr std::size_t token_signs_max = 200;
constexpr std::size_t code_bytes_max = 40;

bool base64url(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' ||
           c == '_';
}

}  // namespace

// RFC 4648, section 5, without padding. What was sent is not repeated: it is a secret.
std::string token_of(const std::string& token, Check& check) {
    if (token.empty()) return {};
    if (token.size() < token_signs_min || token.size() > token_signs_max ||
        !std::all_of(token.begin(), token.end(), base64url)) {
        check.wrong("hello.token is not a secret of 128 bits or more in base64url without padding: "
                    "22 to 200 letters, digits, - and _.");
        return {};
    }
    return token;
}

void put(const UseCode& command, v1::UseCode& out) { out.set_code(command.code); }

void put(const LetIn& command, v1::LetIn& out) {
    out.set_request(command.request);
    out.set_device(name_text(command.device.value));
    out.set_code(command.code);
    out.set_right(static_cast<v1::Right>(command.right));
    out.set_mat(command.mat.value);
}

void put(const ShutOut& command, v1::ShutOut& out) {
    out.set_request(command.request);
    out.set_device(name_text(command.device.value));
    out.set_reason(command.reason);
}

UseCode use_code_of(const v1::UseCode& in, Check& check) {
    check.text(in.code(), code_bytes_max, "use_code.code");
    return UseCode{in.code()};
}

LetIn let_in_of(const v1::LetIn& in, Check& check) {
    LetIn wish;
    wish.request = in.request();
    wish.device = DeviceId{check.name(in.device(), "let_in.device")};
    wish.code = in.code();
    check.text(wish.code, code_bytes_max, "let_in.code");
    wish.right = check.among<Right>(in.right(), v1::RIGHT_TABLE, v1::RIGHT_DISPLAY, "let_in.right");
    if (wish.right == Right::table) {
        wish.mat = check.mat(in.mat(), "let_in.mat");
    } else if (in.mat() != 0) {
        check.wrong("let_in.mat is " + std::to_string(in.mat()) +
                    "; only a table is let in for a mat, leave it out.");
    }
    return wish;
}

ShutOut shut_out_of(const v1::ShutOut& in, Check& check) {
    ShutOut wish;
    wish.request = in.request();
    wish.device = DeviceId{check.name(in.device(), "shut_out.device")};
    wish.reason = in.reason();
    wish.reason = check.reason(wish.reason, "shut_out.reason");
    return wish;
}

void put(const Door& door, v1::Door& out) {
    out.set_number(door.number.value);
    out.set_anyone(door.anyone);
    for (const Door::Waiting& each : door.waiting) {
        v1::Door::Waiting& waiting = *out.add_waiting();
        waiting.set_device(optional_name_text(each.device.value));
        waiting.set_code(each.code);
        waiting.set_role(static_cast<v1::Role>(each.role));
        waiting.set_hand(each.hand);
        waiting.set_page(each.page);
        waiting.set_since(each.since.ms);
        waiting.set_shut_out(each.shut_out);
    }
    for (const Door::Inside& each : door.inside) {
        v1::Door::Inside& inside = *out.add_inside();
        inside.set_device(optional_name_text(each.device.value));
        inside.set_right(static_cast<v1::Right>(each.right));
        inside.set_mat(each.mat.value);
        inside.set_until(each.until.ms);
        inside.set_hand(each.hand);
        inside.set_connected(each.connected);
    }
}

}  // namespace wire

std::string to_wire(const Door& door) {
    v1::ToClient out;
    wire::put(door, *out.mutable_door());
    return out.SerializeAsString();
}

}  // namespace honbu

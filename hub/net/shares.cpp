#include "hub/net/shares.h"

namespace honbu {
namespace {

constexpr std::uint64_t second_us = 1'000'000;

}  // namespace

Shares::Shares(std::size_t descriptors, bool encrypted)
    : hall_cost_(encrypted ? descriptors_through_tls : 1) {
    std::size_t left = descriptors - std::min(descriptors, descriptors_kept_back);
    if (encrypted) {
        // A socket for each handshake; as many descriptors again for who is slow to go.
        constexpr std::size_t sixteenth = 16;
        handshakes_ = std::min(handshakes_at_once, left / sixteenth);
        left -= 2 * handshakes_;
    }
    const auto give = [this, &left](ClientKind kind, std::size_t cost, std::size_t part) {
        std::size_t& connections = of_[static_cast<std::size_t>(kind)].connections;
        connections = std::min(connections, left / (part * cost));
        left -= connections * cost;
    };
    constexpr std::size_t quarter = 4;
    constexpr std::size_t half = 2;
    for (const ClientKind kind :
         {ClientKind::table, ClientKind::desk, ClientKind::door, ClientKind::knocking})
        give(kind, hall_cost_, quarter);
    give(ClientKind::display, hall_cost_, half);
    give(ClientKind::crowd_door, 1, quarter);
    give(ClientKind::crowd, 1, 1);
}

std::size_t Shares::hall_connections() const {
    std::size_t all = 0;
    for (const ClientKind kind : {ClientKind::door, ClientKind::knocking, ClientKind::table,
                                  ClientKind::desk, ClientKind::display}) {
        all += (*this)[kind].connections;
    }
    return all;
}

std::size_t Shares::descriptors() const {
    const std::size_t handshakes = hall_cost_ == 1 ? 0 : 2 * handshakes_;
    return descriptors_kept_back + handshakes + hall_connections() * hall_cost_ +
           (*this)[ClientKind::crowd_door].connections + (*this)[ClientKind::crowd].connections;
}

ClientKind kind_of(Role role) {
    if (role == Role::table) return ClientKind::table;
    if (role == Role::board || role == Role::hall) return ClientKind::display;
    return ClientKind::desk;
}

Goodbye full_farewell(ClientKind kind) {
    std::string words = "All places for spectators are taken. This page tries again by itself.";
    if (kind == ClientKind::table) {
        words = "The hub has as many tables as it can take. Close some that are not needed; this "
                "one tries again by itself.";
    } else if (kind == ClientKind::desk) {
        words = "The hub has as many desk pages as it can take. Close some; this one tries again "
                "by itself.";
    } else if (kind == ClientKind::display) {
        words = "The hub has as many screens as it can take. This one tries again by itself.";
    } else if (kind == ClientKind::knocking) {
        words = "As many devices as there is room for wait to be let in. This one tries again by "
                "itself.";
    }
    return {Cause::full, words, true};
}

Goodbye too_fast_farewell() {
    return {Cause::too_fast,
            "This page sent more than the hub reads from one of its kind, for too long. It comes "
            "back by itself.",
            true};
}

std::uint64_t Pace::one_more(std::uint64_t now_us, const Share& share) {
    const std::uint64_t each = second_us / share.messages_per_s;
    const std::uint64_t ahead = each * share.at_once;
    due_us_ = std::max(due_us_, now_us) + each;
    if (due_us_ <= now_us + ahead) {
        slow_since_us_ = 0;
        return 0;
    }
    if (slow_since_us_ == 0) slow_since_us_ = now_us;
    return due_us_ - now_us - ahead;
}

void Pace::owe_at_most(std::uint64_t debt_us, std::uint64_t now_us, const Share& share) {
    const std::uint64_t ahead = second_us / share.messages_per_s * share.at_once;
    due_us_ = std::min(due_us_, now_us + ahead + debt_us);
}

bool Pace::too_long(std::uint64_t now_us, const Share& share) const {
    return slow_since_us_ != 0 && now_us - slow_since_us_ > share.patience_s * second_us;
}

}  // namespace honbu
